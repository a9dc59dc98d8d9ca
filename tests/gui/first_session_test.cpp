// The first session, step by step, on the sample's film, by keys and buttons of the real window.
#include "core/session/open_session.h"
#include "tests/gui/desk_bench.h"
#include "ui/look/label.h"
#include "ui/window/first_session.h"

#include <QAction>
#include <QDir>
#include <QFileInfo>
#include <QPushButton>
#include <QTest>
#include <catch2/catch.hpp>

namespace {

const QString sample = QStringLiteral(SAMPLE_SESSION);

ui::FirstSession& strip(DeskBench& bench)
{
    auto* found = bench.window->findChild<ui::FirstSession*>();
    REQUIRE(found);
    REQUIRE(found->isVisible());
    return *found;
}

/// What it says, in the order of the words on it: "1 of 10", title, words.
QStringList said(DeskBench& bench)
{
    bench.settle();
    QStringList all;
    const auto labels = strip(bench).findChildren<ui::Label*>();
    for (const ui::Label* label : labels)
        all << label->text();
    return all;
}

QString step(DeskBench& bench)
{
    const QStringList words = said(bench);
    REQUIRE(words.size() == 3);
    return words[0] + QStringLiteral(": ") + words[1];
}

void press(QWidget& inside, const QString& words)
{
    const auto buttons = inside.findChildren<QPushButton*>();
    for (QPushButton* button : buttons)
        if (button->text() == words && button->isVisible()) {
            QTest::mouseClick(button, Qt::LeftButton);
            return;
        }
    FAIL("no button says " << words.toStdString());
}

void pressNamed(DeskBench& bench, const char* name)
{
    auto* button = bench.window->findChild<QPushButton*>(QLatin1String(name));
    REQUIRE(button);
    REQUIRE(button->isVisible());
    QTest::mouseClick(button, Qt::LeftButton);
}

void choose(DeskBench& bench, const QString& entry)
{
    const auto actions = bench.window->findChildren<QAction*>();
    for (QAction* action : actions)
        if (action->text().remove(QLatin1Char('&')) == entry)
            return action->trigger();
    FAIL("no entry " << entry.toStdString());
}

/// Of the sample that is marked, where its maker knows the regions to be.
footage::Truth regionsOfSample()
{
    const session::Document document = session::readSession(SAMPLE_SESSION);
    const session::Capture& capture = *session::inOrder(document.captures).front();
    footage::Truth truth;
    const auto rect = [&](session::RegionKind kind) {
        const session::Region* region = session::firstRegion(capture, kind);
        REQUIRE(region);
        return footage::Rect{region->x, region->y, region->width, region->height};
    };
    truth.lamp = rect(session::RegionKind::Lamp);
    truth.screen = rect(session::RegionKind::Screen);
    return truth;
}

} // namespace

TEST_CASE("a first session is led from taking a film in to the mean, and each step shows when it is done",
          "[desk][first]")
{
    DeskBench bench;
    bench.window->setSampleSession(sample);
    pressNamed(bench, "firstSessionAsked");
    CHECK(step(bench) == QLatin1String("1 of 10: Take in footage"));

    press(strip(bench), QStringLiteral("Take in two films of the sample"));
    DeskBench::waitFor([&] { return bench.document()->captures.size() == 2; });
    CHECK(step(bench) == QLatin1String("2 of 10: Name a set-up"));
    bench.addConfigurations({"cable"});
    CHECK(step(bench) == QLatin1String("3 of 10: Draw the lamp's region"));
    bench.drawRegions(regionsOfSample());
    CHECK(step(bench) == QLatin1String("5 of 10: Say which set-up was filmed"));
    bench.model->undo();
    CHECK(step(bench).startsWith(QLatin1String("4 of 10"))); // it follows undo
    bench.model->redo();
    CHECK(step(bench).startsWith(QLatin1String("5 of 10")));

    const auto hint = [&] {
        const auto from = bench.desk().frameInView();
        DeskBench::waitFor(
            [&] {
                bench.key(Qt::Key_Down);
                bench.settle();
                return bench.desk().frameInView() > from;
            },
            60);
    };
    bench.keys(QStringLiteral("1"));
    CHECK(step(bench) == QLatin1String("6 of 10: Mark a press"));
    hint();
    bench.keys(QStringLiteral("F"));
    CHECK(step(bench) == QLatin1String("7 of 10: Mark its response"));
    hint();
    session::CaptureId capture = bench.desk().captureInView();
    timing::FrameNumber response = bench.desk().frameInView();
    bench.keys(QStringLiteral("R"));
    CHECK(step(bench) == QLatin1String("8 of 10: Accept, and read on"));
    bench.key(Qt::Key_Return);
    CHECK(said(bench).last().startsWith(QLatin1String("1 of 5 trials are read")));
    for (int read = 2; read <= 5; ++read) {
        INFO(read);
        // Accepting goes on to the next press, as soon as the lamp's trace has come so far.
        DeskBench::waitFor(
            [&] {
                const bool another = bench.desk().captureInView() != capture;
                return bench.desk().frameInView().value > (another ? 0 : response.value);
            },
            60);
        if (bench.desk().captureInView() != capture)
            bench.keys(QStringLiteral("1"));
        bench.settle(); // the analyst sees the press before taking it over
        capture = bench.desk().captureInView();
        bench.key(Qt::Key_Return); // takes the proposed press over
        bench.settle();
        hint();
        response = bench.desk().frameInView();
        bench.keys(QStringLiteral("R"));
        bench.key(Qt::Key_Return);
        CHECK(said(bench).last().startsWith(read < 5 ? QStringLiteral("%1 of 5").arg(read)
                                                     : QStringLiteral("No milliseconds")));
    }
    CHECK(step(bench) == QLatin1String("9 of 10: Settle the clock"));
    bench.window->showPage(QStringLiteral("Clock"));
    pressNamed(bench, "settle");
    CHECK(step(bench) == QLatin1String("9 of 10: Settle the clock"));
    pressNamed(bench, "takeUnsettled");
    CHECK(step(bench) == QLatin1String("10 of 10: See your mean"));
    bench.window->showPage(QStringLiteral("Results"));
    CHECK(step(bench) == QLatin1String("10 of 10: That was the whole job"));
    press(strip(bench), QStringLiteral("Close"));
    QCoreApplication::sendPostedEvents(nullptr, QEvent::DeferredDelete);
    CHECK(bench.window->findChild<ui::FirstSession*>() == nullptr);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("a first session can be left and begun at any time, and touches no session that holds something",
          "[desk][first]")
{
    DeskBench bench; // without a sample: one's own footage is asked for
    choose(bench, QStringLiteral("A first session, step by step"));
    CHECK(step(bench).startsWith(QLatin1String("1 of 10")));
    for (const QPushButton* button : strip(bench).findChildren<QPushButton*>())
        CHECK(button->isVisible() == (button->text() == QLatin1String("Leave")));
    press(strip(bench), QStringLiteral("Leave"));
    QCoreApplication::sendPostedEvents(nullptr, QEvent::DeferredDelete);
    CHECK(bench.window->findChild<ui::FirstSession*>() == nullptr);

    bench.addConfigurations({"cable"});
    const QString mine = bench.model->path();
    choose(bench, QStringLiteral("A first session, step by step"));
    DeskBench::waitFor([&] { return bench.model->path() != mine; });
    CHECK(bench.document()->configurations.empty());
    bench.restart(mine);
    CHECK(bench.document()->configurations.size() == 1);
}
