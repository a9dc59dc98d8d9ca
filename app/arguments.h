#pragma once
#include <QMap>
#include <QSet>
#include <QStringList>
#include <optional>

namespace app {

/// Options a command knows, split from what it works on.
class Arguments {
public:
    /// `switches` stand alone ("json"), `values` take one value ("out DIR", "out=DIR"). Throws UsageError for any other option,
    /// a missing value, or an option given twice.
    Arguments(const QStringList& arguments, const QSet<QString>& switches, const QSet<QString>& values = {});

    bool has(const QString& option) const { return m_options.contains(option); }
    QString value(const QString& option) const { return m_options.value(option); }
    /// The value of "stream": a stream's number in its container. Throws UsageError when it isn't one.
    std::optional<int> stream() const;
    const QStringList& operands() const { return m_operands; }
    /// Throws UsageError naming `what` unless there is exactly one operand.
    QString onlyOperand(const QString& what) const;

private:
    QMap<QString, QString> m_options;
    QStringList m_operands;
};

} // namespace app
