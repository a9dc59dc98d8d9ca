#include "app/arguments.h"
#include "app/commands.h"

namespace app {

Arguments::Arguments(const QStringList& arguments, const QSet<QString>& switches, const QSet<QString>& values)
{
    bool optionsEnded = false;
    for (qsizetype i = 0; i < arguments.size(); ++i) {
        const QString& argument = arguments[i];
        if (optionsEnded || !argument.startsWith(QLatin1String("-")) || argument == QLatin1String("-")) {
            m_operands << argument;
            continue;
        }
        if (argument == QLatin1String("--")) {
            optionsEnded = true;
            continue;
        }
        const qsizetype equals = argument.indexOf(QLatin1Char('='));
        const QString name = argument.mid(2, equals < 0 ? -1 : equals - 2);
        const bool isLong = argument.startsWith(QLatin1String("--"));
        const bool isSwitch = isLong && switches.contains(name) && equals < 0;
        const bool takesValue = isLong && values.contains(name);
        if (!isSwitch && !takesValue)
            throw UsageError("there is no option " + argument.toStdString() + " here");
        if (m_options.contains(name))
            throw UsageError("the option --" + name.toStdString() + " is given twice");
        if (isSwitch) {
            m_options.insert(name, {});
        } else if (equals >= 0) {
            m_options.insert(name, argument.mid(equals + 1));
        } else {
            if (++i == arguments.size())
                throw UsageError("the option --" + name.toStdString() + " needs a value");
            m_options.insert(name, arguments[i]);
        }
    }
}

std::optional<int> Arguments::stream() const
{
    if (!has(QStringLiteral("stream")))
        return std::nullopt;
    bool isNumber = false;
    const int number = value(QStringLiteral("stream")).toInt(&isNumber);
    if (!isNumber || number < 0)
        throw UsageError("--stream takes the number of a stream, from 0, as inspect shows them");
    return number;
}

double Arguments::positiveNumber(const QString& option, double highest, const char* what) const
{
    bool isNumber = false;
    const double number = value(option).toDouble(&isNumber);
    if (!isNumber || !(number > 0) || !(number <= highest))
        throw UsageError("--" + option.toStdString() + " takes " + what + ", \"" + value(option).toStdString()
                         + "\" isn't one");
    return number;
}

std::optional<std::array<int, 4>> Arguments::region() const
{
    const QString option = QStringLiteral("region"), text = value(option);
    if (!has(option))
        return std::nullopt;
    const QStringList parts = text.split(QLatin1Char(','));
    std::array<int, 4> numbers{};
    bool right = parts.size() == 4;
    for (qsizetype i = 0; right && i < 4; ++i)
        numbers[static_cast<std::size_t>(i)] = parts[i].trimmed().toInt(&right);
    if (!right || numbers[0] < 0 || numbers[1] < 0 || numbers[2] < 1 || numbers[3] < 1)
        throw UsageError("--region takes X,Y,W,H in whole pixels, width and height at least 1, \"" + text.toStdString()
                         + "\" isn't that");
    return numbers;
}

QString Arguments::onlyOperand(const QString& what) const
{
    if (m_operands.size() != 1)
        throw UsageError("exactly one " + what.toStdString() + " is needed, " + std::to_string(m_operands.size())
                         + " given");
    return m_operands.front();
}

} // namespace app
