#include "app/arguments.h"
#include "app/commands.h"
#include "core/session/limits.h"

#include <QCommandLineParser>
#include <QCoreApplication>

namespace app {

Arguments::Arguments(const Form& form, const QStringList& arguments)
{
    QCommandLineParser parser;
    for (const Option& option : form.options)
        parser.addOption(QCommandLineOption(QLatin1String(option.name), {}, QLatin1String(option.value)));
    if (!parser.parse(QStringList{QCoreApplication::applicationName()} + arguments)) {
        if (const QStringList unknown = parser.unknownOptionNames(); !unknown.isEmpty())
            throw UsageError("there is no option " + std::string(unknown.front().size() > 1 ? "--" : "-")
                             + unknown.front().toStdString() + " here");
        const QString problem = parser.errorText(); // "Missing value after '--out'."
        throw UsageError(problem.left(1).toLower().toStdString() + problem.mid(1, problem.size() - 2).toStdString());
    }
    for (const QString& name : parser.optionNames()) {
        if (m_options.contains(name))
            throw UsageError("the option --" + name.toStdString() + " is given twice");
        m_options.insert(name, parser.value(name));
    }
    m_operands = parser.positionalArguments();
    for (const Option& option : form.options)
        if (option.needed && !has(QLatin1String(option.name)))
            throw UsageError(std::string(form.command) + " needs --" + option.name + " " + option.value + ", "
                             + option.meaning);
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

std::optional<std::int64_t> Arguments::seed() const
{
    const QString option = QStringLiteral("seed");
    if (!has(option))
        return std::nullopt;
    bool isNumber = false;
    const qint64 seed = value(option).toLongLong(&isNumber);
    if (!isNumber || seed < 0 || seed > session::limits::number)
        throw UsageError("--seed takes a whole number from 0 to " + std::to_string(session::limits::number) + ", \""
                         + value(option).toStdString() + "\" isn't one");
    return seed;
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

std::optional<media::Rect> Arguments::region(const QString& option) const
{
    const QString text = value(option);
    if (!has(option))
        return std::nullopt;
    const QStringList parts = text.split(QLatin1Char(','));
    std::array<int, 4> numbers{};
    bool right = parts.size() == 4;
    for (qsizetype i = 0; right && i < 4; ++i)
        numbers[static_cast<std::size_t>(i)] = parts[i].trimmed().toInt(&right);
    if (!right || numbers[0] < 0 || numbers[1] < 0 || numbers[2] < 1 || numbers[3] < 1)
        throw UsageError("--" + option.toStdString() + " takes X,Y,W,H in whole pixels, width and height at least 1, \""
                         + text.toStdString() + "\" isn't that");
    return media::Rect{numbers[0], numbers[1], numbers[2], numbers[3]};
}

media::Rect Arguments::regionIn(media::Size picture, const QString& option) const
{
    const media::Rect rect = region(option).value_or(media::Rect{0, 0, picture.width, picture.height});
    if (rect.width > picture.width || rect.height > picture.height || rect.x > picture.width - rect.width
        || rect.y > picture.height - rect.height)
        throw UsageError("--" + option.toStdString() + " reaches beyond the picture of " + std::to_string(picture.width)
                         + " x " + std::to_string(picture.height));
    return rect;
}

QString Arguments::onlyOperand(const QString& what) const
{
    if (m_operands.size() != 1)
        throw UsageError("exactly one " + what.toStdString() + " is needed, " + std::to_string(m_operands.size())
                         + " given");
    return m_operands.front();
}

} // namespace app
