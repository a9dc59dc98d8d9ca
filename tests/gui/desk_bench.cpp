#include "tests/gui/desk_bench.h"
#include "core/reading/region_edits.h"
#include "ui/desk/desk_state.h"
#include "ui/model/drafts.h"
#include "ui/model/window_memory.h"

#include <QApplication>
#include <QDir>
#include <QDropEvent>
#include <QElapsedTimer>
#include <QMimeData>
#include <QSignalSpy>
#include <QStandardPaths>
#include <QTest>
#include <QUrl>
#include <catch2/catch.hpp>

DeskBench::DeskBench(WithPool withPool) : m_withPool(std::move(withPool))
{
    // Drafts and settings of its own: several may run at a time.
    QCoreApplication::setApplicationName(
        QStringLiteral("tallyframe-desk-tests-%1").arg(QCoreApplication::applicationPid()));
    QStandardPaths::setTestModeEnabled(true);
    QDir(ui::drafts::folder()).removeRecursively();
    QDir(QStandardPaths::writableLocation(QStandardPaths::AppConfigLocation)).removeRecursively();
    makeModel();
    model->newDraft();
    waitFor([this] { return model->phase() == ui::SessionModel::Phase::Open; });
    openWindow();
}

void DeskBench::makeModel()
{
    model = std::make_unique<ui::SessionModel>();
    QObject::connect(model.get(), &ui::SessionModel::problem,
                     [this](const QString& sentence) { m_problems << sentence; });
}

void DeskBench::openWindow()
{
    ui::memory::readAgain();
    pool = std::make_unique<ui::FootagePool>();
    if (m_withPool)
        m_withPool(*pool);
    window = std::make_unique<ui::MainWindow>(*model, *pool);
    QObject::connect(&desk(), &ui::Page::problem, [this](const QString& sentence) { m_problems << sentence; });
    window->resize(1280, 800);
    window->show();
    REQUIRE(QTest::qWaitForWindowActive(window.get()));
}

void DeskBench::restart(const QString& session)
{
    window->close();
    waitFor([this] { return !window->isVisible(); });
    window.reset();
    pool.reset();
    makeModel();
    if (session.isEmpty())
        model->resumeDraft();
    else
        model->open(session);
    waitFor([this] { return model->phase() != ui::SessionModel::Phase::Opening; });
    REQUIRE(model->phase() == ui::SessionModel::Phase::Open);
    openWindow();
}

DeskBench::~DeskBench()
{
    window.reset();
    pool.reset();
    model.reset();
    for (const auto place :
         {QStandardPaths::AppDataLocation, QStandardPaths::AppConfigLocation, QStandardPaths::CacheLocation})
        QDir(QStandardPaths::writableLocation(place)).removeRecursively();
}

footage::Truth DeskBench::film(const std::string& name, std::uint64_t seed)
{
    footage::Spec spec;
    spec.seed = seed;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 560;
    spec.scene.presses = 2;
    spec.scene.pressGapMin = 0.20;
    spec.scene.pressGapMax = 0.25;
    spec.storage.gop = 40;
    spec.storage.preset = "ultrafast";
    return footage::make(spec, folder / name);
}

QString DeskBench::path(const std::string& name) const { return QString::fromStdString((folder / name).string()); }

void DeskBench::offer(const QStringList& paths)
{
    QMimeData files;
    QList<QUrl> urls;
    for (const QString& path : paths)
        urls << QUrl::fromLocalFile(path);
    files.setUrls(urls);
    QWidget* target = window->childAt(window->rect().center());
    QDragEnterEvent enter(QPoint(10, 10), Qt::CopyAction, &files, Qt::LeftButton, Qt::NoModifier);
    QApplication::sendEvent(target, &enter);
    REQUIRE(enter.isAccepted());
    QDropEvent drop(QPointF(10, 10), Qt::CopyAction, &files, Qt::LeftButton, Qt::NoModifier);
    QApplication::sendEvent(target, &drop);
}

void DeskBench::drop(const QStringList& paths)
{
    const auto before = document()->captures.size();
    offer(paths);
    waitFor([&] { return document()->captures.size() == before + static_cast<std::size_t>(paths.size()); });
}

void DeskBench::drawRegions(const footage::Truth& truth)
{
    const auto captures = session::inOrder(document()->captures);
    REQUIRE(!captures.empty());
    const auto draw = [&](session::RegionKind kind, const footage::Rect& rect, const char* name) {
        session::Region region;
        region.kind = kind;
        region.name = name;
        region.x = rect.x;
        region.y = rect.y;
        region.width = rect.width;
        region.height = rect.height;
        REQUIRE(model->edit([&](const session::Document& latest) {
            return reading::drawRegion(latest, captures.front()->id, region);
        }));
    };
    draw(session::RegionKind::Lamp, truth.lamp, "lamp");
    draw(session::RegionKind::Screen, truth.screen, "screen");
    settle();
}

void DeskBench::addConfigurations(const std::vector<std::string>& names)
{
    for (const std::string& name : names) {
        session::Configuration configuration;
        configuration.name = name;
        REQUIRE(model->edit(
            [&](const session::Document& latest) { return session::addConfiguration(latest, configuration); }));
    }
    settle();
}

void DeskBench::key(int key, Qt::KeyboardModifiers modifiers)
{
    QWidget* focus = QApplication::focusWidget();
    QTest::keyClick(focus ? focus : window.get(), static_cast<Qt::Key>(key), modifiers);
}

void DeskBench::keys(const QString& letters)
{
    for (const QChar letter : letters)
        key(letter.toUpper().unicode());
}

void DeskBench::right(std::int64_t frames)
{
    const int arrow = frames < 0 ? Qt::Key_Left : Qt::Key_Right;
    frames = std::abs(frames);
    for (; frames >= 100; frames -= 100)
        key(arrow, Qt::ControlModifier);
    for (; frames >= 10; frames -= 10)
        key(arrow, Qt::ShiftModifier);
    for (; frames > 0; --frames)
        key(arrow);
}

void DeskBench::waitFor(const std::function<bool()>& holds, double seconds)
{
    QElapsedTimer timer;
    timer.start();
    while (!holds()) {
        if (static_cast<double>(timer.elapsed()) > seconds * 1000)
            FAIL("what was waited for didn't come within " << seconds << " s");
        QTest::qWait(5);
    }
}

void DeskBench::settle()
{
    waitFor([this] { return !model->pending() && desk().quiet(); });
    QCoreApplication::processEvents();
}

std::vector<const session::Trial*> DeskBench::trials(const std::string& capture) const
{
    for (const session::Capture* one : session::inOrder(document()->captures))
        if (one->name == capture)
            return session::trialsOf(*document(), one->id);
    FAIL("there is no capture " << capture);
    return {};
}

const session::Trial& DeskBench::trial(int number) const
{
    const auto all = session::trialsOf(*document(), session::inOrder(document()->captures).front()->id);
    REQUIRE(all.size() >= static_cast<std::size_t>(number));
    return *all[static_cast<std::size_t>(number - 1)];
}

ui::DeskPage& DeskBench::desk() const { return *static_cast<ui::DeskPage*>(window->page(QStringLiteral("Read"))); }
