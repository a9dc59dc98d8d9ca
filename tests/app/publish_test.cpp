// Publishing on the command line.
#include "tests/app/program.h"
#include "tests/footage/temp_folder.h"

#include <QFile>
#include <QImage>
#include <QProcess>
#include <QStandardPaths>
#include <fstream>
#include <map>
#include <set>

namespace fs = std::filesystem;

TEST_CASE("publishing on the command line replaces its own files, and others only when told to", "[app][publish]")
{
    const TempFolder folder;
    const fs::path out = folder / "published";
    QStringList call{"publish", SAMPLE_SESSION, "--out", QString::fromStdString(out.string())};
    const Outcome first = run(call);
    INFO(first.problem.toStdString());
    REQUIRE(first.status == 0);
    CHECK_FALSE(first.problem.contains("tallyframe:"));
    CHECK(first.output.endsWith("checksums.txt\n"));
    const Outcome again = run(call);
    CHECK(again.status == 0);
    CHECK(again.output.contains("files are as they were.\n"));
    CHECK_FALSE(again.output.contains("checksums.txt"));

    std::ofstream(out / "sentences.txt") << "in somebody's own words";
    const Outcome refused = run(call);
    CHECK(refused.status == 1);
    CHECK(refused.output.isEmpty());
    CHECK(refused.problem.contains("sentences.txt"));
    CHECK(refused.problem.contains("--replace"));
    CHECK(run(call << "--replace").status == 0);
    CHECK(fs::file_size(out / "sentences.txt") > 100);
}

TEST_CASE("who has the tables works the figures out again with the script beside them", "[app][publish]")
{
    const TempFolder folder;
    const fs::path out = folder / "published";
    REQUIRE(run({"publish", SAMPLE_SESSION, "--out", QString::fromStdString(out.string()), "--only", "table"}).status
            == 0);
    const auto check = [&] {
        QProcess python;
        python.start("python3", {QString::fromStdString((out / "check_figures.py").string())});
        REQUIRE(python.waitForFinished());
        const QString said = QString::fromUtf8(python.readAllStandardOutput());
        return std::pair(python.exitCode(), said);
    };
    const auto [status, said] = check();
    INFO(said.toStdString());
    CHECK(status == 0);
    CHECK(said.contains("Every figure agrees."));
    CHECK(said.count("mean, ms:") == 7);
    CHECK(said.count("minus Direct, 144 Hz, ms:") == 6);

    // A delay that was changed is found.
    QFile trials(QString::fromStdString((out / "trials.csv").string()));
    REQUIRE(trials.open(QIODevice::ReadWrite));
    QByteArray bytes = trials.readAll();
    bytes.replace(",22.930998540754643,", ",23.930998540754643,");
    trials.resize(0);
    trials.write(bytes);
    trials.close();
    CHECK(check().first == 1);
}

TEST_CASE("a browser without a network shows the report, and prints all of it", "[app][publish]")
{
    const QString browser = QStandardPaths::findExecutable(QStringLiteral("chromium"));
    if (browser.isEmpty()) {
        WARN("chromium isn't here: the report wasn't opened");
        return;
    }
    const TempFolder folder;
    const fs::path out = folder / "published";
    REQUIRE(run({"publish", SAMPLE_SESSION, "--out", QString::fromStdString(out.string()), "--only", "report"}).status
            == 0);
    const auto inside = [&](const char* name) { return QString::fromStdString((folder / name).string()); };
    const auto browse = [&](const QStringList& options) {
        QProcess process;
        QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
        environment.insert(QStringLiteral("HOME"), inside("home"));
        process.setProcessEnvironment(environment);
        process.start(browser, QStringList{"--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                                           "--host-resolver-rules=MAP * ~NOTFOUND",
                                           "--user-data-dir=" + inside("profile"), "--window-size=1200,1600"}
                                   + options + QStringList{"file://" + inside("published/report.html")});
        REQUIRE(process.waitForFinished(120'000));
        CHECK(process.exitCode() == 0);
        return QString::fromUtf8(process.readAllStandardOutput());
    };
    const QString page = browse({"--dump-dom"});
    for (const char* words : {"What was found", "Direct, 144 Hz", "Press frame: "})
        CHECK(page.contains(QLatin1String(words)));
    CHECK_FALSE(page.contains(QLatin1String("parsererror"))); // what a browser makes of XML that isn't well-formed

    browse({"--hide-scrollbars", "--screenshot=" + inside("report.png")});
    const QImage shown(inside("report.png"));
    REQUIRE(shown.size() == QSize(1200, 1600));
    // The chart stands on top, on its own ground.
    std::map<QRgb, int> colours;
    for (int y = 0; y < shown.height(); y += 4)
        for (int x = 0; x < shown.width(); x += 4)
            ++colours[shown.pixel(x, y)];
    CHECK(colours[qRgb(0x14, 0x14, 0x14)] > 10'000); // of 120,000
    CHECK(colours[qRgb(0x55, 0x60, 0xc4)] > 100);    // bars
    CHECK(colours.size() > 200);                     // smooth letters

    browse({"--print-to-pdf=" + inside("report.pdf")});
    QFile pdf(inside("report.pdf"));
    REQUIRE(pdf.open(QIODevice::ReadOnly));
    CHECK(pdf.readAll().count("/Type /Page\n") >= 5); // every trial of 25 captures
}

TEST_CASE("evidence and clips of the trials that are named are published", "[app][publish]")
{
    const TempFolder folder;
    const fs::path out = folder / "published";
    const QStringList call{"publish", SAMPLE_SESSION,  "--out",  QString::fromStdString(out.string()),
                           "--only",  "evidence,clip", "--size", "640x360"};
    const Outcome made = run(call + QStringList{"--trials", "run04:3,run01:2", "--side-by-side"});
    INFO(made.problem.toStdString());
    REQUIRE(made.status == 0);
    for (const char* name : {"evidence-1.png", "still-pair-1.png", "evidence-2.png", "still-pair-2.png",
                             "clip-side-by-side.mp4", "checksums.txt"})
        CHECK(fs::exists(out / name));
    const Outcome unknown = run(call + QStringList{"--trials", "run04:33"});
    CHECK(unknown.status == 2);
    CHECK(unknown.problem.contains("run04:33"));
    CHECK(run(call + QStringList{"--trials", "run04:3", "--side-by-side"}).status == 2);
}

TEST_CASE("a file manager gets the chart of a session as a small picture", "[app][publish]")
{
    const TempFolder folder;
    const QString out = QString::fromStdString((folder / "small.png").string());
    const Outcome made = run({"thumbnail", SAMPLE_SESSION, "--out", out, "--size", "128"});
    INFO(made.problem.toStdString());
    REQUIRE(made.status == 0);
    const QImage picture(out);
    CHECK(picture.size() == QSize(128, 96));
    std::set<QRgb> colours;
    for (int y = 0; y < picture.height(); ++y)
        for (int x = 0; x < picture.width(); ++x)
            colours.insert(picture.pixel(x, y));
    CHECK(colours.size() > 100); // bars, dots and smooth letters on their ground
    CHECK(run({"thumbnail", SAMPLE_SESSION, "--out", out, "--size", "4"}).status == 2);
    const Outcome nothing = run({"thumbnail", out, "--out", out + ".png"});
    CHECK(nothing.status == 3);
    CHECK(nothing.problem.count("tallyframe: ") == 1);
    CHECK_FALSE(QFile::exists(out + ".png"));
}
