// Opening, saving and closing sessions on disks that answer late or never.
#include "core/error.h"
#include "tests/gui/pages_session.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/disk_jobs.h"
#include "ui/window/main_window.h"
#include "ui/window/problem_bar.h"
#include "ui/model/window_memory.h"

#include <QAction>
#include <QDir>
#include <QElapsedTimer>
#include <QFileInfo>
#include <QSignalSpy>
#include <QStandardPaths>
#include <QTemporaryDir>
#include <QTest>
#include <QTimer>
#include <algorithm>
#include <catch2/catch.hpp>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

using namespace pages_session;
using Phase = ui::SessionModel::Phase;

namespace {

/// Stands for a disk on a network that is gone: whoever comes to it waits, in a system call, until it answers again.
class DeadDisk {
public:
    explicit DeadDisk(const QTemporaryDir& folder) : m_path(folder.filePath(QStringLiteral("gone")).toStdString())
    {
        REQUIRE(::mkfifo(m_path.c_str(), 0600) == 0);
    }
    ~DeadDisk()
    {
        if (m_writer < 0)
            answer();
        ::close(m_writer);
    }
    static void waitFor(const std::string& path)
    {
        const int file = ::open(path.c_str(), O_RDONLY); // returns once somebody writes
        if (file >= 0)
            ::close(file);
    }
    const std::string& path() const { return m_path; }
    /// Whoever waits goes on, and nobody waits from now on.
    void answer()
    {
        m_writer = ::open(m_path.c_str(), O_RDWR);
        if (!QTest::qWaitFor([] { return !ui::DiskJobs::anyRunning(); }, 10000))
            WARN("somebody still waits for a disk");
    }

private:
    std::string m_path;
    int m_writer = -1;
};

/// The core's own way with session files, but for those on the dead disk.
ui::SessionFiles openingWaitsFor(const DeadDisk& disk)
{
    ui::SessionFiles files;
    files.open = [gone = disk.path()](const std::filesystem::path& path, session::OpenSession::Notices notices) {
        if (path.filename() == "dead.tallyframe")
            DeadDisk::waitFor(gone);
        return session::OpenSession::open(path, std::move(notices));
    };
    return files;
}

ui::SessionFiles savingWaitsFor(const DeadDisk& disk)
{
    ui::SessionFiles files;
    files.save = [gone = disk.path()](session::OpenSession& open) {
        if (open.path().filename() == "dead.tallyframe")
            DeadDisk::waitFor(gone);
        open.save();
    };
    return files;
}

class Desk {
public:
    explicit Desk(const ui::SessionFiles& files) : model(std::make_unique<ui::SessionModel>(files))
    {
        QStandardPaths::setTestModeEnabled(true);
        for (const char* name : {"dead.tallyframe", "alive.tallyframe"})
            session::OpenSession::create(path(name).toStdString(), {});
        QObject::connect(model.get(), &ui::SessionModel::problem,
                         [this](const QString& sentence) { problems << sentence; });
        window = std::make_unique<ui::MainWindow>(*model, pool);
        window->show();
        REQUIRE(QTest::qWaitForWindowActive(window.get()));
    }
    QString path(const char* name) const { return m_folder.filePath(QString::fromLatin1(name)); }
    void open(const char* name)
    {
        QSignalSpy opened(model.get(), &ui::SessionModel::opened);
        model->open(path(name));
        REQUIRE(QTest::qWaitFor([&] { return !opened.isEmpty(); }));
        REQUIRE(model->path() == path(name));
    }
    bool edit(double marginMs)
    {
        return model->edit([&](const session::Document& latest) { return session::setMargin(latest, marginMs); });
    }
    bool alive()
    {
        // The window's thread goes round: a timer of it comes again and again.
        int beats = 0;
        QTimer beat;
        QObject::connect(&beat, &QTimer::timeout, [&] { ++beats; });
        beat.start(1);
        return QTest::qWaitFor([&] { return beats >= 20; }, 2000);
    }
    QAction* action(const char* words) const
    {
        for (QAction* action : window->findChildren<QAction*>())
            if (action->text().remove(QLatin1Char('&')) == QString::fromLatin1(words))
                return action;
        FAIL("no action " << words);
        return nullptr;
    }

private:
    QTemporaryDir m_folder;

public:
    QStringList problems;
    std::unique_ptr<ui::SessionModel> model;
    ui::FootagePool pool;
    std::unique_ptr<ui::MainWindow> window;
};

} // namespace

TEST_CASE("a session whose disk doesn't answer freezes nothing, and another is opened meanwhile", "[pages][session]")
{
    const QTemporaryDir folder;
    DeadDisk disk(folder);
    Desk desk(openingWaitsFor(disk));
    desk.open("alive.tallyframe");

    desk.model->open(desk.path("dead.tallyframe"));
    CHECK(desk.model->phase() == Phase::Opening);
    REQUIRE(QTest::qWaitFor([&] { return desk.model->state() == QStringLiteral("opening dead.tallyframe"); }));
    CHECK(desk.alive());
    // What is open stays in use.
    CHECK(desk.edit(0.5));
    REQUIRE(settled(*desk.model));
    CHECK(desk.model->document()->settings.plan.marginMs == 0.5);
    CHECK(desk.model->path() == desk.path("alive.tallyframe"));

    SECTION("it is given up")
    {
        QAction* stop = desk.action("Stop opening");
        REQUIRE(stop->isVisible());
        stop->trigger();
        CHECK_FALSE(stop->isVisible());
    }
    SECTION("another is asked for instead")
    {
        QSignalSpy opened(desk.model.get(), &ui::SessionModel::opened);
        desk.model->newDraft();
        REQUIRE(QTest::qWaitFor([&] { return !opened.isEmpty(); }));
        CHECK(desk.model->isDraft());
    }
    CHECK(desk.model->phase() == Phase::Open);
    const QString inUse = desk.model->path();

    // Coming late it changes nothing, and isn't held.
    disk.answer();
    CHECK(desk.alive());
    CHECK(desk.model->path() == inUse);
    QSignalSpy opened(desk.model.get(), &ui::SessionModel::opened);
    desk.model->open(desk.path("dead.tallyframe"));
    REQUIRE(QTest::qWaitFor([&] { return !opened.isEmpty(); }));
    CHECK_FALSE(desk.model->readOnly());
    CHECK(desk.problems.isEmpty());
}

TEST_CASE("a file that is still being closed is opened again once it is free", "[pages][session]")
{
    const QTemporaryDir folder;
    DeadDisk disk(folder);
    Desk desk(savingWaitsFor(disk));
    desk.open("dead.tallyframe");
    REQUIRE(desk.edit(0.5));
    REQUIRE(settled(*desk.model));
    desk.open("alive.tallyframe"); // doesn't wait until the other is saved
    QSignalSpy opened(desk.model.get(), &ui::SessionModel::opened);
    desk.model->open(desk.path("dead.tallyframe"));
    CHECK(desk.alive());
    CHECK(desk.model->phase() == Phase::Opening);
    CHECK(desk.model->path() == desk.path("alive.tallyframe"));
    disk.answer();
    REQUIRE(QTest::qWaitFor([&] { return !opened.isEmpty(); }));
    CHECK(desk.model->path() == desk.path("dead.tallyframe"));
    CHECK_FALSE(desk.model->readOnly());
    CHECK(desk.model->document()->settings.plan.marginMs == 0.5);
    CHECK(desk.problems.isEmpty());
}

TEST_CASE("quitting while the disk doesn't take the session is told, and the analyst can leave", "[pages][session]")
{
    const QTemporaryDir folder;
    DeadDisk disk(folder);
    Desk desk(savingWaitsFor(disk));
    desk.open("dead.tallyframe");
    REQUIRE(desk.edit(0.5));
    REQUIRE(settled(*desk.model));

    desk.window->close();
    CHECK(desk.model->phase() == Phase::Closing);
    CHECK(desk.window->isVisible());
    CHECK(desk.alive());
    CHECK(desk.model->state() == QStringLiteral("closing"));
    CHECK_FALSE(desk.edit(0.75));
    desk.window->close(); // an impatient second time leaves nothing behind yet
    CHECK(desk.window->isVisible());

    auto* told = desk.window->findChild<ui::ProblemBar*>();
    REQUIRE(QTest::qWaitFor(
        [&] {
            return std::ranges::any_of(
                told->sentences(), [](const QString& one) { return one.contains(QStringLiteral("doesn't answer")); });
        },
        10000));
    CHECK(desk.model->state() == QStringLiteral("closing, its disk doesn't answer"));
    SECTION("the analyst leaves")
    {
        desk.window->close();
        CHECK_FALSE(desk.window->isVisible());
        desk.window.reset();
        QElapsedTimer timer;
        timer.start();
        desk.model.reset();
        CHECK(timer.elapsed() < 2000); // doesn't wait as for a disk that works
        CHECK(ui::DiskJobs::anyRunning());
    }
    SECTION("the disk comes back")
    {
        disk.answer();
        REQUIRE(QTest::qWaitFor([&] { return !desk.window->isVisible(); }));
        CHECK(desk.model->phase() == Phase::Nothing);
    }
    disk.answer();
    const session::Document read = session::readSession(desk.path("dead.tallyframe").toStdString());
    CHECK(read.settings.plan.marginMs == 0.5);
}

TEST_CASE("a session that can't be written at closing stays open once, and closing again closes", "[pages][session]")
{
    ui::SessionFiles files;
    files.save = [](session::OpenSession&) { throw core::Error(core::ErrorKind::WriteFailed, "The disk is full."); };
    Desk desk(files);
    desk.open("alive.tallyframe");
    REQUIRE(desk.edit(0.5));
    REQUIRE(settled(*desk.model));
    desk.window->close();
    REQUIRE(QTest::qWaitFor([&] { return !desk.problems.isEmpty(); }));
    CHECK(desk.problems == QStringList{QStringLiteral("The disk is full.")});
    CHECK(desk.window->isVisible());
    CHECK(desk.model->phase() == Phase::Open);
    CHECK(desk.edit(0.75)); // nothing is lost, work goes on
    REQUIRE(settled(*desk.model));
    CHECK(desk.model->document()->settings.plan.marginMs == 0.75);
    desk.window->close();
    CHECK_FALSE(desk.window->isVisible());
}

TEST_CASE("a session that can't be opened leaves the one before as it was", "[pages][session]")
{
    Desk desk({});
    desk.open("alive.tallyframe");
    QSignalSpy notOpened(desk.model.get(), &ui::SessionModel::notOpened);
    desk.model->open(desk.path("not there.tallyframe"));
    REQUIRE(QTest::qWaitFor([&] { return !notOpened.isEmpty(); }));
    CHECK(desk.problems.size() == 1);
    CHECK(desk.problems.front().contains(QStringLiteral("not there.tallyframe")));
    CHECK(desk.model->path() == desk.path("alive.tallyframe"));
    CHECK(desk.edit(0.5));
    REQUIRE(settled(*desk.model));
    CHECK(desk.model->state() == QStringLiteral("every change is saved"));

    // The same again is no other session.
    QSignalSpy replaced(desk.model.get(), &ui::SessionModel::sessionReplaced);
    desk.open("alive.tallyframe");
    CHECK(replaced.isEmpty());
}

TEST_CASE("what the window remembers is kept, and a disk that doesn't answer holds nobody up", "[pages][session]")
{
    QStandardPaths::setTestModeEnabled(true);
    const QDir folder(QStandardPaths::writableLocation(QStandardPaths::AppConfigLocation));
    REQUIRE(QDir().mkpath(folder.path()));
    const std::string file = folder.filePath(QStringLiteral("window.ini")).toStdString();
    REQUIRE(ui::memory::keep());
    ::unlink(file.c_str());
    REQUIRE(::mkfifo(file.c_str(), 0600) == 0); // reading it waits for a writer
    ui::memory::readAgain();

    QElapsedTimer timer;
    timer.start();
    CHECK_FALSE(ui::memory::lightLook());
    CHECK(timer.elapsed() < 5000);
    ui::memory::setLightLook(true);
    CHECK(ui::memory::lightLook());
    CHECK_FALSE(ui::memory::keep());

    const int writer = ::open(file.c_str(), O_RDWR | O_NONBLOCK);
    REQUIRE(writer >= 0);
    ::unlink(file.c_str());
    QTest::qWait(50);
    ::close(writer); // whoever waited comes to the end of an empty file
    REQUIRE(QTest::qWaitFor([] { return ui::memory::keep(); }, 10000));
    ui::memory::readAgain();
    CHECK(ui::memory::lightLook());
    ui::memory::setLightLook(false);
    CHECK(ui::memory::keep());
}
