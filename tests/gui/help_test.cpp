// Help in the real window, by keys.
#include "tests/gui/pages_session.h"
#include "ui/footage/footage_pool.h"
#include "ui/look/label.h"
#include "ui/window/help_overlay.h"
#include "ui/window/main_window.h"
#include "ui/window/window_memory.h"

#include <QDir>
#include <QScrollArea>
#include <QScrollBar>
#include <QStandardPaths>
#include <QTemporaryDir>
#include <QTest>
#include <QTextDocumentFragment>
#include <catch2/catch.hpp>

namespace {

struct Window {
    QTemporaryDir folder;
    ui::SessionModel model;
    ui::FootagePool pool;
    std::unique_ptr<ui::MainWindow> window;
    ui::HelpOverlay* help = nullptr;

    explicit Window(bool withSession)
    {
        QCoreApplication::setApplicationName(
            QStringLiteral("tallyframe-help-tests-%1").arg(QCoreApplication::applicationPid()));
        QStandardPaths::setTestModeEnabled(true);
        ui::memory::readAgain();
        if (withSession) {
            REQUIRE(pages_session::openIn(model, folder.path(), pages_session::document()));
        } else {
            model.newDraft();
            REQUIRE(QTest::qWaitFor([this] { return model.phase() == ui::SessionModel::Phase::Open; }, 20'000));
        }
        window = std::make_unique<ui::MainWindow>(model, pool);
        window->resize(1280, 800);
        window->show();
        REQUIRE(QTest::qWaitForWindowActive(window.get()));
        help = window->findChild<ui::HelpOverlay*>();
        REQUIRE(help != nullptr);
    }
    ~Window()
    {
        window.reset();
        for (const auto place :
             {QStandardPaths::AppDataLocation, QStandardPaths::AppConfigLocation, QStandardPaths::CacheLocation})
            QDir(QStandardPaths::writableLocation(place)).removeRecursively();
    }
    void key(Qt::Key code)
    {
        QTest::keyClick(window->focusWidget() != nullptr ? window->focusWidget() : window.get(), code);
        QCoreApplication::processEvents();
    }
    QScrollArea& area() const { return *help->findChild<QScrollArea*>(); }
    /// What the page that shows says, without its keys.
    QString text() const
    {
        if (const auto* label = area().widget()->findChild<ui::Label*>(QStringLiteral("helpText")))
            return QTextDocumentFragment::fromHtml(label->text()).toPlainText();
        return {};
    }
};

} // namespace

TEST_CASE("F1 in an empty session says how to begin", "[window]")
{
    Window bench(false);
    bench.key(Qt::Key_F1);
    REQUIRE(bench.help->isVisible());
    CHECK(bench.help->current() == QLatin1String("Start"));
    CHECK(bench.text().contains(QLatin1String("Open the sample session")));
    bench.key(Qt::Key_Escape);
    CHECK_FALSE(bench.help->isVisible());
}

TEST_CASE("F1 shows the page in front, Left and Right the others, and each says what it is for", "[window]")
{
    Window bench(true);
    for (const char* name : {"Plan", "Clock", "Read", "Results", "Publish"}) {
        INFO(name);
        bench.window->showPage(QLatin1String(name));
        bench.key(Qt::Key_F1);
        REQUIRE(bench.help->isVisible());
        CHECK(bench.help->current() == QLatin1String(name));
        for (const char* question : {"What is this for?", "What do I do next?", "Words"})
            CHECK(bench.text().contains(QLatin1String(question)));
        bench.key(Qt::Key_F1);
        CHECK_FALSE(bench.help->isVisible());
    }
    bench.key(Qt::Key_F1); // Publish
    bench.key(Qt::Key_Right);
    CHECK(bench.help->current() == QLatin1String("All keys"));
    bench.key(Qt::Key_Right);
    CHECK(bench.help->current() == QLatin1String("Cautions"));
    CHECK(bench.text().contains(QLatin1String("lithium")));
    CHECK(bench.text().contains(QLatin1String("seizures")));
    bench.key(Qt::Key_Right);
    CHECK(bench.help->current() == QLatin1String("Start"));
    bench.key(Qt::Key_Left);
    CHECK(bench.help->current() == QLatin1String("Cautions"));
}

TEST_CASE("help that is higher than the window moves by keys", "[window]")
{
    Window bench(true);
    bench.window->resize(1024, 640);
    bench.window->showPage(QStringLiteral("Read"));
    bench.key(Qt::Key_F1);
    QScrollBar& bar = *bench.area().verticalScrollBar();
    REQUIRE(QTest::qWaitFor([&] { return bar.maximum() > 0; }));
    bench.key(Qt::Key_PageDown);
    CHECK(bar.value() > 0);
    bench.key(Qt::Key_Home);
    CHECK(bar.value() == 0);
    bench.key(Qt::Key_End);
    CHECK(bar.value() == bar.maximum());
    CHECK(bench.area().widget()->width() <= bench.area().viewport()->width()); // nothing is cut off at the side
}
