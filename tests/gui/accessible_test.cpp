// What a screen reader is told: Qt's own accessibility tree, the one that its AT-SPI bridge hands on, read in this
// process, since offscreen there is no bus to ask.
#include "tests/gui/pages_session.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include "ui/window/main_window.h"
#include "ui/controls/page.h"
#include "ui/model/window_memory.h"

#include <QAbstractScrollArea>
#include <QAccessible>
#include <QApplication>
#include <QDir>
#include <QStandardPaths>
#include <QTemporaryDir>
#include <QTest>
#include <catch2/catch.hpp>

namespace {

QString nameOf(QWidget* widget)
{
    QAccessibleInterface* told = QAccessible::queryAccessibleInterface(widget);
    return told ? told->text(QAccessible::Name) : QString();
}

std::string described(QWidget* widget)
{
    const QPoint at = widget->mapTo(widget->window(), QPoint());
    return QStringLiteral("%1 \"%2\" \"%3\" at %4, %5")
        .arg(QString::fromLatin1(widget->metaObject()->className()), widget->objectName(), nameOf(widget))
        .arg(at.x())
        .arg(at.y())
        .toStdString();
}

bool isStop(const QWidget* widget)
{
    return widget->isVisible() && widget->isEnabled() && (widget->focusPolicy() & Qt::TabFocus) && !widget->focusProxy()
           && !widget->visibleRegion().isEmpty();
}

} // namespace

TEST_CASE("every page tells a screen reader what has the keyboard, and Tab goes through all of it", "[accessible]")
{
    QCoreApplication::setApplicationName(
        QStringLiteral("tallyframe-accessible-tests-%1").arg(QCoreApplication::applicationPid()));
    QStandardPaths::setTestModeEnabled(true);
    ui::memory::readAgain();
    QTemporaryDir folder;
    ui::SessionModel model;
    REQUIRE(pages_session::openIn(model, folder.path(), pages_session::document()));
    ui::FootagePool pool;
    ui::MainWindow window(model, pool);
    window.resize(1920, 1080);
    window.show();
    REQUIRE(QTest::qWaitForWindowActive(&window));

    for (const char* name : {"Plan", "Clock", "Read", "Results", "Publish"}) {
        window.showPage(QString::fromLatin1(name));
        REQUIRE(pages_session::settled(model));
        QTest::qWait(50);
        const ui::Page* page = window.page(QString::fromLatin1(name));
        INFO("page " << name);
        QVector<QWidget*> visited;
        QStringList nameless, disordered;
        // Twice around: the trial list chooses a trial when it gets the keyboard, which gives the trial's buttons work.
        for (int round = 0; round < 2; ++round) {
            QVector<QWidget*> seen;
            for (QWidget* now = QApplication::focusWidget(); now && !seen.contains(now) && seen.size() < 500;
                 now = QApplication::focusWidget()) {
                seen << now;
                if (nameOf(now).trimmed().isEmpty())
                    nameless << QString::fromStdString(described(now));
                const QAccessibleInterface* told = QAccessible::queryAccessibleInterface(now);
                if (!told || told->role() == QAccessible::NoRole || !told->state().focused)
                    nameless << QStringLiteral("not told as focused: ") + QString::fromStdString(described(now));
                QTest::keyClick(now, Qt::Key_Tab);
                QWidget* next = QApplication::focusWidget();
                REQUIRE(next);
                // Within one box the keyboard goes on as one reads.
                const QRect here = now->geometry(), there = next->geometry();
                if (next->parentWidget() == now->parentWidget() && !seen.contains(next) && there.bottom() < here.top()
                    && there.left() <= here.right())
                    disordered << QString::fromStdString(described(now) + " -> " + described(next));
            }
            visited << seen;
        }
        CHECK(nameless.join(QLatin1Char('\n')).toStdString() == "");
        CHECK(disordered.join(QLatin1Char('\n')).toStdString() == "");
        QStringList missed;
        for (QWidget* widget : page->findChildren<QWidget*>())
            if (isStop(widget) && !visited.contains(widget))
                missed << QString::fromStdString(described(widget));
        CHECK(missed.join(QLatin1Char('\n')).toStdString() == "");
        CHECK(visited.size() > 3);
    }
    for (const auto place :
         {QStandardPaths::AppDataLocation, QStandardPaths::AppConfigLocation, QStandardPaths::CacheLocation})
        QDir(QStandardPaths::writableLocation(place)).removeRecursively();
}
