// How a trial that the traces propose is read from its press to the next, and what the desk says against slips.
#include "core/analysis/results.h"
#include "tests/footage/reaction_film.h"
#include "tests/gui/desk_bench.h"
#include "tests/watched_disk.h"
#include "ui/controls/row_list.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/todo_list.h"
#include "ui/desk/trial_list.h"
#include "ui/desk/trial_panel.h"
#include "ui/look/key_cap.h"

#include <QAction>
#include <QLabel>
#include <QStackedWidget>
#include <QTest>
#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>
#include <thread>

namespace {

footage::ReactionTruth walk(const std::filesystem::path& path, std::uint64_t seed)
{
    footage::ReactionSpec spec;
    spec.seed = seed;
    spec.kind = footage::ReactionKind::MotionStarts;
    spec.width = 320;
    spec.height = 180;
    spec.presses = 5;
    spec.pressGap = 0.5;
    spec.shake = 0.7;
    spec.ripple = 0.02;
    spec.noise = 2.5;
    return footage::filmReactions(spec, path);
}

/// Films of a figure that starts to walk, with regions drawn and proposed presses there.
struct FlowBench : DeskBench {
    std::vector<footage::ReactionTruth> truths;
    int struck = 0;

    explicit FlowBench(int films)
    {
        footage::Truth regions;
        for (int k = 0; k < films; ++k) {
            const std::string name = "walk" + std::to_string(k + 1) + ".mp4";
            truths.push_back(walk(folder / name, 40 + std::uint64_t(k)));
            drop({path(name)}); // one after the other: captures stand in the order in which they were ready
        }
        regions.lamp = truths.front().lamp;
        regions.screen = truths.front().screen;
        drawRegions(regions); // the other captures take them over
        desk().showCapture(session::inOrder(document()->captures).front()->id);
        waitFor([this] { return proposed() == 5 && desk().quiet(); }, 60);
    }
    qsizetype proposed() const { return window->findChild<ui::TrialList*>()->proposed(); }
    std::int64_t frame() const { return desk().frameInView().value; }
    void strike(int which, Qt::KeyboardModifiers modifiers = Qt::NoModifier)
    {
        key(which, modifiers);
        ++struck;
    }
    void stepTo(std::int64_t target)
    {
        std::int64_t left = target - frame();
        for (; std::abs(left) > 5; left -= left > 0 ? 10 : -10)
            strike(left > 0 ? Qt::Key_Right : Qt::Key_Left, Qt::ShiftModifier);
        for (; left != 0; left -= left > 0 ? 1 : -1)
            strike(left > 0 ? Qt::Key_Right : Qt::Key_Left);
        settle();
        REQUIRE(frame() == target);
    }
    bool says(const QString& words) const
    {
        const auto labels = window->findChildren<QLabel*>();
        return std::ranges::any_of(labels,
                                   [&](const QLabel* l) { return l->isVisible() && l->text().contains(words); });
    }
};

} // namespace

TEST_CASE("evidence of the trial on the desk is one entry away from being published", "[desk][flow]")
{
    FlowBench bench(1);
    const auto publish = [&] {
        for (QAction* action : bench.window->findChildren<QAction*>())
            if (action->text().remove(QLatin1Char('&')).startsWith(QStringLiteral("Publish evidence")))
                return action->trigger();
        FAIL("no such entry");
    };
    const auto page = [&] { return bench.window->findChild<QStackedWidget*>()->currentWidget(); };
    publish();
    CHECK(page() == &bench.desk()); // no trial is current
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down);
    bench.key(Qt::Key_Return);
    bench.settle();
    bench.stepTo(*bench.truths.front().presses.front().response);
    bench.key(Qt::Key_R);
    bench.settle();
    publish();
    CHECK(page() == bench.window->page(QStringLiteral("Publish")));
    bench.settle();
    CHECK(bench.document()->settings.publish.shownTrials == "walk1:1");
}

TEST_CASE("a proposed trial takes few keys, and the next press follows by itself, into the next capture",
          "[desk][flow]")
{
    FlowBench bench(2);
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down);
    bench.settle();
    std::vector<int> counts;
    // Three of ten responses are read 1 to 3 frames beside their hint; of one the hint isn't used.
    constexpr int beside[] = {0, 1, 0, 0, -2, 0, 99, 0, 3, 0};
    for (std::size_t k = 0; k < 10; ++k) {
        INFO("trial " << k + 1);
        const footage::ReactionTruth::Press& truth = bench.truths[k / 5].presses[k % 5];
        REQUIRE(truth.response);
        CHECK(bench.frame() >= truth.first);
        CHECK(bench.frame() <= truth.plain);
        bench.struck = 0;
        bench.strike(Qt::Key_Return); // takes the press over
        bench.settle();
        const bool hinted = beside[k] != 99;
        if (hinted) {
            bench.strike(Qt::Key_Down);
            bench.settle();
        }
        const std::int64_t read = *truth.response + (hinted ? beside[k] : 0);
        bench.stepTo(read);
        bench.strike(Qt::Key_R);
        bench.settle();
        bench.strike(Qt::Key_Return);
        bench.settle();
        counts.push_back(bench.struck);
        const auto trials = bench.trials(k < 5 ? "walk1" : "walk2");
        REQUIRE(trials.size() == k % 5 + 1);
        const session::Reading& reading = trials.back()->readings.front();
        CHECK(reading.accepted);
        REQUIRE(reading.response);
        CHECK(reading.response->frame.value == read);
        if (k < 9) {
            const auto& next = bench.truths[(k + 1) / 5].presses[(k + 1) % 5];
            DeskBench::waitFor([&] { return bench.frame() >= next.first && bench.frame() <= next.plain; }, 60);
        }
    }
    std::ranges::sort(counts);
    INFO("median " << counts[5] << ", 90th percentile " << counts[8]);
    CHECK(counts[5] <= 8);
    CHECK(counts[8] <= 14);
    const auto* cue = bench.window->findChild<ui::FrameMessage*>(QStringLiteral("cue"));
    DeskBench::waitFor([&] { return cue->sentence().contains(QStringLiteral("last press that nobody had read")); }, 60);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("a proposed press says so where it is, and is taken by its button", "[desk][flow]")
{
    FlowBench bench(1);
    const auto* list = bench.window->findChild<ui::TrialList*>()->findChild<ui::RowList*>();
    ui::KeyButton* accept = bench.window->findChild<ui::TrialPanel*>()->findChildren<ui::KeyButton*>().front();
    bench.key(Qt::Key_Home);
    bench.settle();
    CHECK(accept->text() == QStringLiteral("Accept"));
    CHECK_FALSE(accept->isEnabled());
    CHECK(list->currentRow() == -1);
    bench.key(Qt::Key_Down);
    bench.settle();
    CHECK(list->currentRow() == 0);
    CHECK(bench.says(QStringLiteral("a press is proposed here")));
    bench.key(Qt::Key_X);
    const auto* cue = bench.window->findChild<ui::FrameMessage*>(QStringLiteral("cue"));
    CHECK(cue->sentence().startsWith(QStringLiteral("Nobody has read this press")));
    CHECK(accept->text() == QStringLiteral("Take it"));
    REQUIRE(accept->isEnabled());
    const std::int64_t press = bench.frame();
    QTest::mouseClick(accept, Qt::LeftButton);
    bench.settle();
    REQUIRE(bench.document()->trials.size() == 1);
    CHECK(bench.trial(1).readings.front().press->frame.value == press);
    CHECK(accept->text() == QStringLiteral("Accept"));
}

TEST_CASE("presses on record are proposed before the footage has been looked through again", "[desk][flow]")
{
    FlowBench bench(1);
    const auto& capture = [&]() -> const session::Capture& { return *bench.document()->captures.begin()->second; };
    DeskBench::waitFor([&] { return capture().presses && !bench.model->pending(); }, 60);
    const auto frames = capture().presses->proposed;
    REQUIRE(frames.size() == 5);
    std::atomic<bool> stuck = true;
    const WatchedDisk disk(bench.folder / "walk1.mp4", [&](std::int64_t) {
        while (stuck)
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
    });
    bench.restart({});
    CHECK(bench.proposed() == 5);
    CHECK_FALSE(bench.pool->isOpen(bench.path("walk1.mp4")));
    stuck = false;
    DeskBench::waitFor([&] { return bench.pool->isOpen(bench.path("walk1.mp4")); }, 60);
}

TEST_CASE("slips of the hand are told at the trial, and stop nothing", "[desk][flow]")
{
    FlowBench bench(1);
    const auto& presses = bench.truths.front().presses;
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down);
    bench.settle();
    const std::int64_t first = bench.frame();
    bench.key(Qt::Key_Return);
    bench.settle();
    SECTION("the response before the press")
    {
        bench.stepTo(first - 6);
        bench.key(Qt::Key_R);
        bench.settle();
        CHECK(bench.says(QStringLiteral("at or before the press")));
    }
    SECTION("the response where nothing changes, then where it does")
    {
        bench.stepTo(first + 1);
        bench.key(Qt::Key_R);
        bench.settle();
        DeskBench::waitFor([&] { return bench.says(QStringLiteral("Nothing on the screen changes at the response")); });
        bench.stepTo(*presses.front().response);
        bench.key(Qt::Key_R);
        bench.settle();
        DeskBench::waitFor([&] { return !bench.says(QStringLiteral("Nothing on the screen changes")); });
    }
    SECTION("the press where the lamp doesn't change")
    {
        bench.stepTo(first - 40);
        bench.key(Qt::Key_F);
        bench.settle();
        DeskBench::waitFor([&] { return bench.says(QStringLiteral("The lamp doesn't change at the press")); });
    }
    SECTION("the next press taken for the response")
    {
        bench.stepTo(presses[1].first);
        bench.key(Qt::Key_R);
        bench.key(Qt::Key_Return);
        bench.settle();
        bench.stepTo(presses[1].first);
        bench.key(Qt::Key_F);
        bench.settle();
        bench.key(Qt::Key_PageUp);
        bench.settle();
        CHECK(bench.says(QStringLiteral("at or after the next press")));
    }
    CHECK(bench.trials("walk1").front()->reject == std::nullopt);
}

TEST_CASE("what is left to do is one key away, and Enter goes there", "[desk][flow]")
{
    FlowBench bench(1);
    const auto& presses = bench.truths.front().presses;
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down);
    bench.key(Qt::Key_Return);
    bench.settle();
    bench.stepTo(*presses.front().response);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_D);
    bench.key(Qt::Key_Return);
    bench.settle();
    auto* todo = bench.window->findChild<ui::TodoList*>();
    bench.key(Qt::Key_O);
    REQUIRE(todo->isVisible());
    CHECK(todo->count() == 5); // one in doubt, four presses that nobody has read
    CHECK(bench.says(QStringLiteral("5 to do")));
    bench.key(Qt::Key_R); // no key of the desk now
    bench.key(Qt::Key_End);
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK_FALSE(todo->isVisible());
    CHECK(bench.frame() >= presses.back().first);
    CHECK(bench.frame() <= presses.back().plain);
    bench.key(Qt::Key_O);
    bench.key(Qt::Key_Return);
    bench.settle();
    REQUIRE(bench.desk().captureInView());
    CHECK(bench.frame() == bench.trial(1).readings.front().press->frame.value);
    CHECK(bench.trials("walk1").size() == 1);
}

TEST_CASE("presses that nobody has read or dropped wait in every capture, and publishing says so", "[desk][flow]")
{
    FlowBench bench(2);
    const auto captures = session::inOrder(bench.document()->captures);
    const session::CaptureId first = captures.front()->id, second = captures.back()->id;
    DeskBench::waitFor([&] { return session::unreadPresses(*bench.document(), first).size() == 5; }, 60);
    CHECK(session::isUnlooked(*bench.document(), second)); // it has taken the regions over, nobody has opened it
    auto* todo = bench.window->findChild<ui::TodoList*>();
    bench.key(Qt::Key_O);
    CHECK(todo->count() == 6);
    bench.key(Qt::Key_End);
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(bench.desk().captureInView() == second);
    DeskBench::waitFor([&] { return session::unreadPresses(*bench.document(), second).size() == 5; }, 60);
    bench.key(Qt::Key_O);
    CHECK(todo->count() == 10);
    bench.key(Qt::Key_End);
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(bench.frame() >= bench.truths.back().presses.back().first);

    bench.key(Qt::Key_Delete); // that one is none
    bench.settle();
    CHECK(session::unreadPresses(*bench.document(), second).size() == 4);
    CHECK(bench.proposed() == 4);
    CHECK(bench.trials("walk2").empty());
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(session::unreadPresses(*bench.document(), second).size() == 5);
    bench.key(Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
    bench.settle();
    CHECK(bench.proposed() == 4);

    // A session of which only some presses are read doesn't pass for a read one.
    bench.addConfigurations({"wired"});
    bench.desk().showCapture(first);
    bench.waitFor([&] { return bench.proposed() == 5 && bench.desk().quiet(); }, 60);
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down);
    bench.key(Qt::Key_Return);
    bench.settle();
    bench.key(Qt::Key_1);
    bench.stepTo(*bench.truths.front().presses.front().response);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_Return);
    bench.settle();
    const analysis::Results results = analysis::compute(*bench.document());
    CHECK(results.unreadPresses == 8);
    CHECK(results.notLookedThrough == 0);
    bench.key(Qt::Key_5, Qt::ControlModifier);
    DeskBench::waitFor([&] { return bench.says(QStringLiteral("proposed presses aren't read")); });
}
