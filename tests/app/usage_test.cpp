// How the program says that it is called, and what it makes of wrong calls.
#include "tests/app/program.h"
#include "tests/footage/temp_folder.h"

#include <QDir>
#include <QElapsedTimer>
#include <QRegularExpression>
#include <QThread>
#include <catch2/catch.hpp>
#include <csignal>
#include <filesystem>

namespace {

const QStringList commands{"inspect", "clock",   "hints",   "stills",    "runsheet", "packet",
                           "bringin", "results", "publish", "thumbnail", "check"};

QStringList optionsOf(const QString& text)
{
    QStringList options;
    auto found = QRegularExpression(QStringLiteral("--[a-z][a-z0-9-]*")).globalMatch(text);
    while (found.hasNext())
        options << found.next().captured();
    options.removeDuplicates();
    options.sort();
    return options;
}

} // namespace

TEST_CASE("help, manual page and completion name every command with the same options", "[app][usage]")
{
    const QString help = run({"--help"}).output;
    const QString manual = QString(run({"--man-page"}).output).replace("\\-", "-");
    const QString completion = run({"--completion"}).output;
    QStringList ofCommands;
    for (const QString& command : commands) {
        INFO(command.toStdString());
        CHECK(help.contains("  tallyframe " + command + ' '));
        CHECK(manual.contains(".SS tallyframe " + command + ' '));
        CHECK(completion.contains("        " + command + ") options="));
        const Outcome own = run({command, "--help"});
        CHECK(own.status == 0);
        CHECK(own.output.startsWith("  tallyframe " + command.toUtf8() + ' '));
        ofCommands << optionsOf(own.output);
    }
    ofCommands << optionsOf("--help --version --man-page --completion --until-usable");
    ofCommands.removeDuplicates();
    ofCommands.sort();
    CHECK(optionsOf(help) == ofCommands);
    CHECK(optionsOf(manual) == ofCommands);
    CHECK(optionsOf(completion.mid(completion.indexOf("local commands"))) == ofCommands);
    for (const QByteArray& line : run({"--help"}).output.split('\n')) {
        INFO(line.toStdString());
        CHECK(line.size() <= 80);
    }
}

TEST_CASE("the version is told alike everywhere", "[app][usage]")
{
    const QString version = QString(run({"--version"}).output).trimmed();
    CHECK(QRegularExpression("^tallyframe [0-9]+\\.[0-9]+\\.[0-9]+$").match(version).hasMatch());
    CHECK(run({"--man-page"}).output.contains('"' + version.toUtf8() + '"'));
}

TEST_CASE("a wrong option is told in one sentence", "[app][usage]")
{
    const auto problem = [](const QStringList& arguments) {
        const Outcome outcome = run(arguments);
        CHECK(outcome.status == 2);
        CHECK(outcome.output.isEmpty());
        CHECK(outcome.problem.count("tallyframe: ") == 1);
        return QString(outcome.problem);
    };
    CHECK(problem({"inspect", "--speed", "x.mp4"}).contains("there is no option --speed here"));
    CHECK(problem({"inspect", "--stream"}).contains("missing value after '--stream'"));
    CHECK(problem({"inspect", "x.mp4", "--json=yes"}).contains("unexpected value after '--json'"));
    CHECK(problem({"results", "a", "--json", "--json"}).contains("the option --json is given twice"));
    CHECK(problem({"publish", "a.tallyframe"}).contains("publish needs --out DIR"));
    CHECK(problem({"clock", "a.mp4"}).contains("clock needs --lamp-frequency HZ"));
    CHECK(problem({"inspect"}).contains("tallyframe --help shows how it is called"));
}

TEST_CASE("a program that is asked to end closes its session and leaves no lock", "[app][signals]")
{
    const TempFolder folder;
    const std::filesystem::path from(SAMPLE_SESSION), session = folder / from.filename();
    std::filesystem::copy(from, session);
    const QDir there(QString::fromStdString(session.parent_path().string()));
    const QStringList before = there.entryList(QDir::AllEntries | QDir::Hidden | QDir::NoDotAndDotDot);

    for (const int signal : {SIGTERM, SIGHUP, SIGINT}) {
        INFO(signal);
        QProcess program;
        QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
        environment.insert("QT_QPA_PLATFORM", "offscreen");
        environment.insert("XDG_CONFIG_HOME", QString::fromStdString((folder / "home").string()));
        environment.insert("XDG_DATA_HOME", QString::fromStdString((folder / "home").string()));
        environment.insert("XDG_CACHE_HOME", QString::fromStdString((folder / "home").string()));
        program.setProcessEnvironment(environment);
        program.start(QStringLiteral(TALLYFRAME_PROGRAM), {QString::fromStdString(session.string())});
        REQUIRE(program.waitForStarted());
        // It has the session once there is more beside the file than there was, and listens soon after.
        QElapsedTimer waited;
        waited.start();
        while (there.entryList(QDir::AllEntries | QDir::Hidden | QDir::NoDotAndDotDot).size() <= before.size()
               && waited.elapsed() < 30'000)
            QThread::msleep(20);
        CHECK_FALSE(program.waitForFinished(1500));
        ::kill(static_cast<pid_t>(program.processId()), signal);
        REQUIRE(program.waitForFinished(30'000));
        CHECK(program.exitStatus() == QProcess::NormalExit);
        CHECK(program.exitCode() == 0);
        CHECK(there.entryList({"*.lock"}, QDir::AllEntries | QDir::Hidden).isEmpty());
    }
}
