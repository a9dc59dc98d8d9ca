#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "tests/fuzz/target.h"

#include <QJsonObject>

namespace app {

// What needs a window, or writes: their forms are asked for and the arguments taken apart, no more.
int workstation(const Arguments&) { return Fine; }
int publish(const Arguments&) { return Fine; }
int thumbnail(const Arguments&) { return Fine; }
int hints(const Arguments&) { return Fine; }
int stills(const Arguments&) { return Fine; }
int results(const Arguments&) { return Fine; }
int runSheet(const Arguments&) { return Fine; }
int packet(const Arguments&) { return Fine; }
int bringIn(const Arguments&) { return Fine; }
int check(const Arguments&) { return Fine; }
int exportSession(const Arguments&) { return Fine; }
int importSession(const Arguments&) { return Fine; }

/// Results and problems are made and go nowhere.
void printLine(const QString& line) { fuzz::require(line.toUtf8().size() >= 0, "a line"); }
void printField(const char*, const QString& value) { printLine(value); }
void printJson(const QJsonObject& object) { fuzz::require(!object.isEmpty(), "an empty answer"); }
void printProblem(const std::string& sentence) { fuzz::require(!sentence.empty(), "a problem without a sentence"); }

} // namespace app

namespace fuzz {
namespace {

/// Arguments are separated by zeros. What isn't an option and could be a file here is made one that isn't there.
void readArguments(const std::string& input)
{
    QStringList given = QString::fromUtf8(input.data(), std::ssize(input)).split(QChar(0));
    for (qsizetype i = 1; i < given.size(); ++i)
        if (!given[i].startsWith(QLatin1Char('-'))
            && (given[i].contains(QLatin1Char('/')) || given[i] == QLatin1String(".")
                || given[i] == QLatin1String("..")))
            given[i] = QStringLiteral("/nowhere/") + given[i];
    const app::Form& form = app::formOf(given);
    try {
        const app::Arguments arguments(form, given.mid(*form.command ? 1 : 0));
        arguments.stream();
        arguments.seed();
        arguments.regionIn({1920, 1080});
        form.run(arguments);
    } catch (const app::UsageError& error) {
        require(*error.what() != 0, "a wrong use without a sentence");
    } catch (const core::Error&) {
    }
}

std::vector<std::string> argumentSeeds()
{
    const auto joined = [](std::initializer_list<const char*> words) {
        std::string text;
        for (const char* word : words)
            text += (text.empty() ? "" : std::string(1, '\0')) + word;
        return text;
    };
    return {joined({"clock", "film.mov", "--lamp-frequency", "100", "--region", "1,2,30,40", "--lamp-tolerance", "50",
                    "--json"}),
            joined({"clock", "film.mov", "--bands=1000", "--bands-tolerance", "2e1", "--from-frame", "3"}),
            joined({"inspect", "film.mov", "other.mov", "--stream", "1", "--all", "--stamps", "--joined"}),
            joined({"packet", "a.tallyframe", "--out", "b", "--seed", "77", "--share", "12.5"}),
            joined({"publish", "a.tallyframe", "--out", "b", "--size", "1920x1080"})};
}

/// One word taken out, or one that belongs somewhere put in its place or before it.
std::string changedArguments(const std::string& input, Random& random)
{
    static const std::vector<QByteArray> words = [] {
        std::vector<QByteArray> all{
            "film.mov", "0",  "-1",      "1e309",     "nan", "2147483648", "9223372036854775808",
            "-",        "--", "1,2,3,4", "1920x1080", "",    "0x10",       "1,2,-3,2147483647"};
        for (const app::Form& form : app::forms()) {
            all.emplace_back(form.command);
            for (const app::Option& option : form.options) {
                all.push_back(QByteArray("--") + option.name);
                all.push_back(all.back() + "=1");
            }
        }
        return all;
    }();
    QList<QByteArray> given = QByteArray::fromStdString(input).split('\0');
    const auto at = static_cast<qsizetype>(random() % static_cast<std::size_t>(given.size()));
    const QByteArray& word = words[random() % words.size()];
    switch (random() % 3) {
    case 0: given.removeAt(at); break;
    case 1: given[at] = word; break;
    default: given.insert(at, word);
    }
    return given.join('\0').toStdString();
}

} // namespace

std::vector<Target> argumentTargets() { return {{"arguments", readArguments, argumentSeeds, changedArguments}}; }

} // namespace fuzz
