#pragma once
#include <QMap>
#include <QSet>
#include <QStringList>
#include <array>
#include <optional>

namespace app {

inline constexpr double highestFrequency = 1e7; ///< Hz, of all that commands take

/// Options a command knows, split from what it works on.
class Arguments {
public:
    /// `switches` stand alone ("json"), `values` take one value ("out DIR", "out=DIR"). Throws UsageError for any other
    /// option, a missing value, or an option given twice.
    Arguments(const QStringList& arguments, const QSet<QString>& switches, const QSet<QString>& values = {});

    bool has(const QString& option) const { return m_options.contains(option); }
    QString value(const QString& option) const { return m_options.value(option); }
    /// The value of "stream": a stream's number in its container. Throws UsageError when it isn't one.
    std::optional<int> stream() const;
    /// A number above 0 and up to `highest`; throws UsageError with `what` it takes otherwise.
    double positiveNumber(const QString& option, double highest, const char* what) const;
    /// The value of "region", X,Y,W,H in whole pixels with W and H at least 1; empty where it isn't given. Throws
    /// UsageError.
    std::optional<std::array<int, 4>> region() const;
    const QStringList& operands() const { return m_operands; }
    /// Throws UsageError naming `what` unless there is exactly one operand.
    QString onlyOperand(const QString& what) const;

private:
    QMap<QString, QString> m_options;
    QStringList m_operands;
};

} // namespace app
