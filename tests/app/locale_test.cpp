// The user's language and time zone change nothing of what is written for others to read.
#include "tests/app/program.h"
#include "tests/footage/temp_folder.h"

#include <QDir>
#include <QFile>

namespace {

/// What the program prints and publishes of the sample: a text for each file.
std::map<QString, QByteArray> written(const QProcessEnvironment& environment, const QString& folder)
{
    std::map<QString, QByteArray> files;
    const auto keep = [&](const QString& name, const QStringList& arguments) {
        QProcess program;
        program.setProcessEnvironment(environment);
        program.start(QStringLiteral(TALLYFRAME_PROGRAM), arguments);
        REQUIRE(program.waitForFinished(120'000));
        INFO(program.readAllStandardError().toStdString());
        REQUIRE(program.exitCode() == 0);
        files[name] = program.readAllStandardOutput();
    };
    keep("results", {"results", SAMPLE_SESSION});
    keep("results.json, printed", {"results", SAMPLE_SESSION, "--json"});
    keep("publish", {"publish", SAMPLE_SESSION, "--out", folder, "--only", "chart,table,sentences,note,report"});
    files.erase("publish"); // names the folder
    const QDir made(folder);
    for (const QString& name : made.entryList(QDir::Files)) {
        QFile file(made.filePath(name));
        REQUIRE(file.open(QIODevice::ReadOnly));
        files[name] = file.readAll();
    }
    return files;
}

} // namespace

TEST_CASE("a decimal comma, a dotless i and a far time zone change no byte that is published", "[app][locale]")
{
    const TempFolder folder;
    const QString inside = QString::fromStdString((folder / "").string());
    QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
    environment.insert("LOCPATH", inside); // locales made here, so that it needn't be the machine's
    environment.insert("TZ", "UTC");
    environment.insert("LC_ALL", "C");
    const auto expected = written(environment, inside + "plain");
    REQUIRE(expected.size() > 10);
    environment.insert("TZ", "XXX-14");
    for (const QString& language : {QStringLiteral("de_DE"), QStringLiteral("tr_TR")}) {
        INFO(language.toStdString());
        const QString name = language + ".UTF-8";
        if (QProcess::execute("localedef", {"-i", language, "-f", "UTF-8", inside + name}) < 0
            || !QDir(inside + name).exists()) {
            WARN("localedef can't make this locale (package locales): nothing was compared");
            continue;
        }
        environment.insert("LC_ALL", name);
        const auto found = written(environment, inside + language);
        CHECK(found.size() == expected.size());
        for (const auto& [file, bytes] : expected) {
            INFO(file.toStdString());
            CHECK((found.count(file) == 1 && found.at(file) == bytes));
        }
    }
}
