#pragma once
#include <QString>
#include <optional>

namespace ui {

/// A number as it is typed: decimal point or comma, spaces around it. Empty when it is no finite number.
std::optional<double> typedNumber(const QString& text);
/// A rate as it is typed: "240", "239.76", "240000/1001". Empty unless it is above 0.
std::optional<double> typedRate(const QString& text);

/// The shortest text that typedNumber() reads back as the same number: "2", "0.5", "239.76".
QString shortNumber(double value);
QString shortNumber(const std::optional<double>& value); ///< empty for none

/// "1 trial", "24 trials"; the plural is the singular with an s.
QString counted(qint64 count, const QString& singular);

} // namespace ui
