#include "ui/controls/numbers.h"

#include <QLocale>
#include <cmath>

namespace ui {

std::optional<double> typedNumber(const QString& text)
{
    bool fine = false;
    const double value = QLocale::c().toDouble(text.trimmed().replace(QLatin1Char(','), QLatin1Char('.')), &fine);
    return fine && std::isfinite(value) ? std::optional(value) : std::nullopt;
}

std::optional<double> typedRate(const QString& text)
{
    const QStringList parts = text.split(QLatin1Char('/'));
    if (parts.size() > 2)
        return std::nullopt;
    const auto numerator = typedNumber(parts.front());
    const auto denominator = parts.size() == 2 ? typedNumber(parts.back()) : std::optional(1.0);
    if (!numerator || !denominator || !(*denominator > 0))
        return std::nullopt;
    const double rate = *numerator / *denominator;
    return std::isfinite(rate) && rate > 0 ? std::optional(rate) : std::nullopt;
}

QString shortNumber(double value) { return QString::number(value, 'g', QLocale::FloatingPointShortest); }

QString shortNumber(const std::optional<double>& value) { return value ? shortNumber(*value) : QString(); }

QString counted(qint64 count, const QString& singular)
{
    return QStringLiteral("%1 %2%3").arg(count).arg(singular, count == 1 ? QString() : QStringLiteral("s"));
}

} // namespace ui
