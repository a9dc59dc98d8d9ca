#include "app/arguments.h"
#include "app/commands.h"
#include "core/session/limits.h"

#include <QCommandLineParser>
#include <QCoreApplication>
#include <array>
#include <limits>

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
    for (const Option& option : form.options) {
        const QString name = QLatin1String(option.name);
        const auto times = parser.optionNames().count(name);
        if (times > 1)
            throw UsageError("the option --" + name.toStdString() + " is given twice");
        if (times == 1)
            m_options.insert(name, QLatin1String(option.value).isEmpty() ? QString() : parser.value(name));
    }
    m_operands = parser.positionalArguments();
    for (const Option& option : form.options)
        if (option.needed && !has(option.name))
            throw UsageError(std::string(form.command) + " needs --" + option.name + " " + option.value + ", "
                             + option.meaning);
}

std::optional<std::int64_t> Arguments::wholeNumber(const char* option, std::int64_t least, std::int64_t most,
                                                   const std::string& what) const
{
    if (!has(option))
        return std::nullopt;
    bool isNumber = false;
    const qint64 number = value(option).toLongLong(&isNumber);
    if (!isNumber || number < least || number > most)
        throw notTaken(option, what);
    return number;
}

std::optional<int> Arguments::stream() const
{
    return wholeNumber("stream", 0, std::numeric_limits<int>::max(),
                       "the number of a stream, from 0, as inspect shows them");
}

std::optional<std::int64_t> Arguments::seed() const
{
    return wholeNumber("seed", 0, session::limits::number,
                       "a whole number from 0 to " + std::to_string(session::limits::number));
}

double Arguments::positiveNumber(const char* option, double highest, const std::string& what) const
{
    bool isNumber = false;
    const double number = value(option).toDouble(&isNumber);
    if (!isNumber || !(number > 0) || !(number <= highest))
        throw notTaken(option, what);
    return number;
}

timing::ReferenceLamp Arguments::light(const char* frequency, const char* tolerance, const std::string& what) const
{
    timing::ReferenceLamp light;
    light.frequency = positiveNumber(frequency, highestFrequency, "a number of " + what + " a second above 0");
    if (has(tolerance))
        light.tolerance = positiveNumber(tolerance, 100'000, "parts per million above 0 and up to 100000") * 1e-6;
    return light;
}

media::Rect Arguments::regionIn(media::Size picture, const char* option) const
{
    if (!has(option))
        return {0, 0, picture.width, picture.height};
    const QStringList parts = value(option).split(QLatin1Char(','));
    std::array<int, 4> numbers{};
    bool right = parts.size() == 4;
    for (qsizetype i = 0; right && i < 4; ++i)
        numbers[static_cast<std::size_t>(i)] = parts[i].trimmed().toInt(&right);
    const media::Rect rect{numbers[0], numbers[1], numbers[2], numbers[3]};
    if (!right || rect.x < 0 || rect.y < 0 || rect.width < 1 || rect.height < 1)
        throw UsageError("--" + std::string(option) + " takes X,Y,W,H in whole pixels, width and height at least 1, \""
                         + text(option) + "\" isn't that");
    if (media::clipped(rect, picture) != rect)
        throw UsageError("--" + std::string(option) + " reaches beyond the picture of " + std::to_string(picture.width)
                         + " x " + std::to_string(picture.height));
    return rect;
}

UsageError Arguments::notTaken(const char* option, const std::string& what) const
{
    return UsageError("--" + std::string(option) + " takes " + what + ", \"" + text(option) + "\" isn't one");
}

QString Arguments::onlyOperand(const char* what) const
{
    if (m_operands.size() != 1)
        throw UsageError("exactly one " + std::string(what) + " is needed, " + std::to_string(m_operands.size())
                         + " given");
    return m_operands.front();
}

} // namespace app
