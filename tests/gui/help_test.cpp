// Help in the real window, by keys.
#include "tests/gui/pages_session.h"
#include "ui/footage/footage_pool.h"
#include "ui/look/label.h"
#include "ui/look/own_keys.h"
#include "ui/window/help_overlay.h"
#include "ui/window/keys_dialog.h"
#include "ui/window/main_window.h"
#include "ui/window/page_tabs.h"
#include "ui/window/problem_report.h"
#include "ui/model/window_memory.h"

#include <QAction>
#include <QClipboard>
#include <QDir>
#include <QGuiApplication>
#include <QListWidget>
#include <QMessageBox>
#include <QScrollArea>
#include <QScrollBar>
#include <QStandardPaths>
#include <QTemporaryDir>
#include <QTest>
#include <QTextDocumentFragment>
#include <QTranslator>
#include <algorithm>
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

TEST_CASE("in another language pages have their names in it and are found all the same", "[window]")
{
    class Bracketed : public QTranslator {
    public:
        bool isEmpty() const override { return false; }
        QString translate(const char*, const char* text, const char*, int) const override
        {
            return QStringLiteral("«%1»").arg(QString::fromUtf8(text));
        }
    };
    Bracketed language;
    QCoreApplication::installTranslator(&language);
    Window bench(true);
    const auto tabs = bench.window->findChild<ui::PageTabs*>()->findChildren<QAbstractButton*>();
    REQUIRE(tabs.size() == 5);
    for (QAbstractButton* tab : tabs) {
        const QString title = tab->text();
        INFO(title.toStdString());
        CHECK((title.startsWith(QStringLiteral("«")) && title.endsWith(QStringLiteral("»"))));
        tab->click();
        bench.key(Qt::Key_F1);
        REQUIRE(bench.help->isVisible());
        CHECK(bench.help->current() == title.mid(1, title.size() - 2));
        CHECK(bench.text().contains(QLatin1String("What is this for?")));
        bench.key(Qt::Key_Escape);
    }
    for (const auto& [entry, shown] : {std::pair("All &keys", "All keys"), std::pair("&Cautions", "Cautions")}) {
        const auto actions = bench.window->findChildren<QAction*>();
        const auto wanted =
            std::ranges::find(actions, QStringLiteral("«%1»").arg(QLatin1String(entry)), &QAction::text);
        REQUIRE(wanted != actions.end());
        (*wanted)->trigger();
        CHECK(bench.help->current() == QLatin1String(shown));
        bench.key(Qt::Key_Escape);
    }
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

TEST_CASE("a letter that is moved does its work elsewhere, and none is lost", "[keys]")
{
    namespace keys = ui::keys;
    keys::setMoved({QStringLiteral("F=Q"), QStringLiteral("Return=Z"), QStringLiteral("nonsense")});
    CHECK(keys::moved() == QStringList{QStringLiteral("F=Q"), QStringLiteral("Q=F")});
    keys::put(Qt::Key_R, Qt::Key_F); // what F does now, Q's, goes where R was
    CHECK(keys::own(Qt::Key_F) == Qt::Key_Q);
    CHECK(keys::own(Qt::Key_R) == Qt::Key_F);
    CHECK(keys::own(Qt::Key_Q) == Qt::Key_R);
    for (int key = Qt::Key_A; key <= Qt::Key_Z; ++key)
        CHECK(keys::delivered(keys::own(key)) == key);
    CHECK(keys::own(QKeySequence(QStringLiteral("Shift+R"))) == QKeySequence(QStringLiteral("Shift+F")));
    CHECK(keys::own(QKeySequence(QStringLiteral("Ctrl+R"))) == QKeySequence(QStringLiteral("Ctrl+R")));
    const QStringList kept = keys::moved();
    keys::setMoved({});
    CHECK(keys::moved().isEmpty());
    keys::setMoved(kept);
    CHECK(keys::moved() == kept);
    keys::put(Qt::Key_F, Qt::Key_F);
    keys::put(Qt::Key_R, Qt::Key_R);
    CHECK(keys::moved().isEmpty());
}

TEST_CASE("keys are changed in the window, hold at once and at the next start", "[keys]")
{
    const auto actionOf = [](Window& bench, const QString& words) {
        for (QAction* action : bench.window->findChildren<QAction*>())
            if (action->text().remove(QLatin1Char('&')).startsWith(words))
                return action;
        FAIL("no action " << words.toStdString());
        return static_cast<QAction*>(nullptr);
    };
    {
        Window bench(true);
        CHECK(actionOf(bench, QStringLiteral("Mark press"))->shortcut() == QKeySequence(Qt::Key_F));
        actionOf(bench, QStringLiteral("Change keys"))->trigger();
        auto* dialog = bench.window->findChild<ui::KeysDialog*>();
        REQUIRE(dialog != nullptr);
        auto* rows = dialog->findChild<QListWidget*>();
        for (int row = 0; row < rows->count() && !rows->currentItem()->text().contains(QStringLiteral("Mark press"));
             ++row)
            QTest::keyClick(dialog, Qt::Key_Down);
        REQUIRE(rows->currentItem()->text().startsWith(QStringLiteral("F: Mark press")));
        QStringList all;
        for (int row = 0; row < rows->count(); ++row)
            all << rows->item(row)->text();
        // The results page was never in front.
        CHECK(all.join(QLatin1Char('\n')).contains(QStringLiteral("Results: compare with another")));
        CHECK(all.join(QLatin1Char('\n')).contains(QStringLiteral("Results: uncertainty")));
        QTest::keyClick(dialog, Qt::Key_5);
        auto* said = dialog->findChild<ui::Label*>(QStringLiteral("said"));
        CHECK(said->text().contains(QStringLiteral("letters and signs")));
        QTest::keyClick(dialog, Qt::Key_R);
        CHECK(said->text().startsWith(QStringLiteral("R does it now, and F does what that did: Mark response")));
        QTest::keyClick(dialog, Qt::Key_Escape);
        CHECK(actionOf(bench, QStringLiteral("Mark press"))->shortcut() == QKeySequence(Qt::Key_R));
        CHECK(actionOf(bench, QStringLiteral("Mark response"))->shortcut() == QKeySequence(Qt::Key_F));
        CHECK(actionOf(bench, QStringLiteral("Save"))->shortcut() == QKeySequence(QStringLiteral("Ctrl+S")));
        CHECK(ui::memory::keep());
        ui::keys::setMoved({}); // as a start of the program finds them
        ui::memory::readAgain();
        ui::MainWindow again(bench.model, bench.pool);
        bool found = false;
        for (const QAction* action : again.findChildren<QAction*>())
            found = found
                    || (action->text().contains(QStringLiteral("Mark &press"))
                        && action->shortcut() == QKeySequence(Qt::Key_R));
        CHECK(found);
        // On the results page F shows all figures, so R does now.
        CHECK(ui::keys::delivered(Qt::Key_R) == Qt::Key_F);
    }
    ui::keys::setMoved({});
}

TEST_CASE("a problem report tells of the program and the footage, and of nobody's names", "[keys]")
{
    CHECK(ui::withoutNames(QStringLiteral("/home/me/run01.mp4 isn't there")) == QStringLiteral("… isn't there"));
    const QString path = QStringLiteral("/home/me/a b/run 01.mp4");
    CHECK(ui::withoutNames(path + QStringLiteral(" isn't there"), {path}) == QStringLiteral("… isn't there"));
    CHECK(ui::withoutNames(QStringLiteral("Capture “secret pad” has no clock; see clip.mov, 2.5 ms."))
          == QStringLiteral("Capture “…” has no clock; see …, 2.5 ms."));
    Window bench(true);
    bench.window->showProblem(QStringLiteral("The footage of “wired pedal” isn't at /home/me/films/run01.mp4."));
    QTest::keyClick(bench.window.get(), Qt::Key_F1, Qt::ControlModifier);
    auto* box = bench.window->findChild<QMessageBox*>();
    REQUIRE(box != nullptr);
    const QString report = QGuiApplication::clipboard()->text();
    for (const char* there : {"Tallyframe ", "Qt 6", "libavcodec ", "Session: ", "Capture 1: ", "Told: The footage of"})
        CHECK(report.contains(QLatin1String(there)));
    CHECK_FALSE(report.contains(QStringLiteral("/home")));
    CHECK_FALSE(report.contains(QStringLiteral("run01")));
    CHECK_FALSE(report.contains(QStringLiteral("wired pedal")));
    for (const auto& [id, configuration] : bench.model.document()->configurations)
        CHECK_FALSE(report.contains(QString::fromStdString(configuration->name)));
    box->close();
}
