// Keys of the reading desk and what they do to the session.
#include "tests/gui/desk_bench.h"
#include "core/session/evidence_store.h"
#include "ui/footage/frame_view.h"
#include "ui/look/key_cap.h"
#include "ui/look/own_keys.h"
#include <QApplication>
#include <QDir>
#include <QLineEdit>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

using session::RejectReason;

namespace {

const session::Reading& readingOf(const session::Trial& trial)
{
    const session::Reading* counting = session::countingReading(trial);
    REQUIRE(counting);
    return *counting;
}

/// A capture with both regions, ready to be read.
struct ReadyBench : DeskBench {
    footage::Truth truth;
    ReadyBench() : truth(film("run.mp4"))
    {
        drop({path("run.mp4")});
        drawRegions(truth);
        addConfigurations({"direct", "hub"});
    }
};

} // namespace

TEST_CASE("a press, a response and Enter make a read trial; the next press begins another", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.right(12);
    bench.key(Qt::Key_R);
    bench.settle();
    CHECK_FALSE(readingOf(bench.trial(1)).accepted);
    bench.key(Qt::Key_Return);
    bench.right(100);
    bench.key(Qt::Key_F);
    bench.settle();
    REQUIRE(bench.trials("run").size() == 2);
    CHECK(readingOf(bench.trial(1)).press->frame.value == 40);
    CHECK(readingOf(bench.trial(1)).response->frame.value == 52);
    CHECK(readingOf(bench.trial(1)).accepted);
    CHECK(readingOf(bench.trial(2)).press->frame.value == 152);
    CHECK_FALSE(readingOf(bench.trial(2)).response);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("keys that come faster than marks are made lose nothing: each mark belongs to its frame in view", "[desk]")
{
    ReadyBench bench;
    // Not one event is handled between these keys. No trial begins where the lamp lights: accepting one that does goes
    // on to the next press as soon as that is known.
    bench.right(30);
    bench.key(Qt::Key_F);
    bench.right(7);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_Return);
    bench.right(20);
    bench.key(Qt::Key_F);
    bench.right(9);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_D);
    bench.key(Qt::Key_Return);
    bench.right(25);
    bench.key(Qt::Key_F);
    bench.settle();
    REQUIRE(bench.trials("run").size() == 3);
    CHECK(readingOf(bench.trial(1)).press->frame.value == 30);
    CHECK(readingOf(bench.trial(1)).response->frame.value == 37);
    CHECK(readingOf(bench.trial(2)).press->frame.value == 57);
    CHECK(readingOf(bench.trial(2)).response->frame.value == 66);
    CHECK(readingOf(bench.trial(2)).doubtful);
    CHECK(readingOf(bench.trial(2)).accepted);
    CHECK(readingOf(bench.trial(3)).press->frame.value == 91);
}

TEST_CASE("a mark keeps the picture's hash and four crops on disk", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.settle();
    const session::Mark& mark = *readingOf(bench.trial(1)).press;
    CHECK(mark.pictureHash.size() == 32);
    for (const std::string& crop :
         {mark.crops.lampBefore, mark.crops.lampAt, mark.crops.screenBefore, mark.crops.screenAt})
        CHECK(crop.size() == 64);
    CHECK(bench.model->evidence()->load(mark.crops.lampAt));
    CHECK(bench.model->evidence()->load(mark.crops.screenBefore));
}

TEST_CASE("of readings that differ the analyst says which counts, and drops one that was only begun", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.right(12);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_Return);
    bench.settle();
    bench.desk().goToTrial(bench.trial(1).id);
    bench.settle();
    bench.key(Qt::Key_R, Qt::ControlModifier);
    bench.settle();
    CHECK_FALSE(bench.trial(1).settled); // there is nothing to choose

    const auto again = [&] {
        const auto actions = bench.window->findChildren<QAction*>();
        const auto entry = std::ranges::find_if(actions, [](QAction* action) {
            return action->text().remove(QLatin1Char('&')) == QLatin1String("Read again");
        });
        REQUIRE(entry != actions.end());
        (*entry)->trigger();
        bench.settle();
    };
    again();
    REQUIRE(bench.trial(1).readings.size() == 2);
    bench.key(Qt::Key_Delete);
    bench.settle();
    REQUIRE(bench.trials("run").size() == 1); // the reading went, not the trial
    REQUIRE(bench.trial(1).readings.size() == 1);

    again();
    bench.right(41 - bench.desk().frameInView().value);
    bench.key(Qt::Key_F);
    bench.right(13);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_Return);
    bench.settle();
    REQUIRE(bench.trial(1).readings.size() == 2);
    CHECK(session::isOpen(bench.trial(1)));
    bench.desk().goToTrial(bench.trial(1).id);
    bench.settle();
    for (const std::size_t counts : {1, 0, 1}) {
        bench.key(Qt::Key_R, Qt::ControlModifier);
        bench.settle();
        CHECK(session::countingReading(bench.trial(1)) == &bench.trial(1).readings[counts]);
        CHECK_FALSE(session::isOpen(bench.trial(1)));
    }
    bench.key(Qt::Key_Delete);
    bench.settle();
    CHECK(bench.trials("run").empty());
}

TEST_CASE("F on a half-read trial moves its press, past a complete one it begins the next", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.right(-2);
    bench.key(Qt::Key_F);
    bench.settle();
    REQUIRE(bench.trials("run").size() == 1);
    CHECK(readingOf(bench.trial(1)).press->frame.value == 38);
    bench.right(10);
    bench.key(Qt::Key_R);
    bench.right(60);
    bench.key(Qt::Key_F); // without Enter
    bench.settle();
    REQUIRE(bench.trials("run").size() == 2);
    CHECK(readingOf(bench.trial(1)).press->frame.value == 38);
    CHECK(readingOf(bench.trial(2)).press->frame.value == 108);
}

TEST_CASE("without regions nothing is marked; drawing what is missing begins instead", "[desk]")
{
    DeskBench bench;
    bench.film("run.mp4");
    bench.drop({bench.path("run.mp4")});
    auto* frame = bench.window->findChild<ui::FrameView*>();
    DeskBench::waitFor([&] { return bool(bench.pool->picture(bench.path("run.mp4"), {0})); });
    bench.key(Qt::Key_F);
    bench.settle();
    CHECK(bench.document()->trials.empty());
    CHECK(frame->isDrawingRegion());
}

TEST_CASE("X, a letter and Enter reject for that reason; Esc leaves the trial as it is", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.keys(QStringLiteral("F"));
    bench.right(5);
    bench.keys(QStringLiteral("R"));
    bench.keys(QStringLiteral("X"));
    bench.key(Qt::Key_Escape);
    bench.settle();
    CHECK_FALSE(bench.trial(1).reject);
    bench.keys(QStringLiteral("XD"));
    bench.settle();
    CHECK_FALSE(bench.trial(1).reject);
    bench.key(Qt::Key_Return);
    bench.settle();
    REQUIRE(bench.trial(1).reject);
    CHECK(bench.trial(1).reject->reason == RejectReason::DoublePress);

    SECTION("and K keeps it after all")
    {
        bench.key(Qt::Key_PageUp);
        bench.keys(QStringLiteral("XK"));
        bench.settle();
        CHECK_FALSE(bench.trial(1).reject);
    }
    SECTION("another reason has to be said")
    {
        bench.key(Qt::Key_PageUp);
        bench.keys(QStringLiteral("XO"));
        bench.settle();
        CHECK(bench.trial(1).reject->reason == RejectReason::DoublePress);
        bench.keys(QStringLiteral("FOG"));
        bench.key(Qt::Key_Return);
        bench.settle();
        CHECK(bench.trial(1).reject->reason == RejectReason::Other);
        CHECK(bench.trial(1).reject->note == "fog");
    }
}

TEST_CASE("a reason typed out is no row of commands", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.keys(QStringLiteral("F"));
    bench.right(5);
    bench.keys(QStringLiteral("R"));
    SECTION("the name of one")
    {
        bench.keys(QStringLiteral("Xhitch"));
        bench.key(Qt::Key_Return);
        bench.settle();
        REQUIRE(bench.trial(1).reject);
        CHECK(bench.trial(1).reject->reason == RejectReason::Hitch);
    }
    SECTION("words of one's own")
    {
        bench.keys(QStringLiteral("Xdog on the desk"));
        bench.key(Qt::Key_Return);
        bench.settle();
        REQUIRE(bench.trial(1).reject);
        CHECK(bench.trial(1).reject->reason == RejectReason::Other);
        CHECK(bench.trial(1).reject->note == "dog on the desk");
    }
    CHECK(bench.trials("run").size() == 1);
    CHECK_FALSE(readingOf(bench.trial(1)).doubtful);
    CHECK(readingOf(bench.trial(1)).press->frame.value == 40);
}

TEST_CASE("what is typed after T where there is no trial marks nothing", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.keys(QStringLiteral("Tlamp flickers from here"));
    bench.key(Qt::Key_Escape);
    bench.settle();
    CHECK(bench.trials("run").empty());
    CHECK(session::inOrder(bench.document()->captures).front()->configuration == session::ConfigurationId{});
    bench.right(3);
    bench.keys(QStringLiteral("F")); // the keyboard is the desk's again
    bench.settle();
    CHECK(readingOf(bench.trial(1)).press->frame.value == 43);
}

TEST_CASE("Delete while a region is drawn removes no trial", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.keys(QStringLiteral("F"));
    bench.settle();
    bench.keys(QStringLiteral("L"));
    bench.key(Qt::Key_Delete);
    bench.settle();
    CHECK(bench.trials("run").size() == 1);
    bench.key(Qt::Key_Escape);
    bench.key(Qt::Key_Delete);
    bench.settle();
    CHECK(bench.trials("run").empty());
}

TEST_CASE("digits tag the capture while no trial is current, else the trial", "[desk]")
{
    ReadyBench bench;
    const auto configurations = session::inOrder(bench.document()->configurations);
    bench.key(Qt::Key_2);
    bench.settle();
    CHECK(session::inOrder(bench.document()->captures).front()->configuration == configurations[1]->id);
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.settle();
    CHECK(bench.trial(1).configuration == configurations[1]->id);
    bench.key(Qt::Key_1);
    bench.settle();
    CHECK(bench.trial(1).configuration == configurations[0]->id);
    CHECK(session::inOrder(bench.document()->captures).front()->configuration == configurations[1]->id);
}

TEST_CASE("letters typed into a note are text, and Enter ends the note, not the trial", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.right(5);
    bench.key(Qt::Key_R);
    bench.settle();
    bench.key(Qt::Key_T);
    REQUIRE(qobject_cast<QLineEdit*>(QApplication::focusWidget()));
    bench.keys(QStringLiteral("FDX"));
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(bench.trial(1).note == "fdx");
    CHECK_FALSE(readingOf(bench.trial(1)).accepted);
    CHECK_FALSE(readingOf(bench.trial(1)).doubtful);
    CHECK(readingOf(bench.trial(1)).press->frame.value == 40);
    bench.key(Qt::Key_D); // the keyboard is the desk's again
    bench.settle();
    CHECK(readingOf(bench.trial(1)).doubtful);
}

TEST_CASE("N says that nothing reacted, and that is a complete reading", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.keys(QStringLiteral("FN"));
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(readingOf(bench.trial(1)).noReaction);
    CHECK(readingOf(bench.trial(1)).accepted);
}

TEST_CASE("Shift Space flips with the last frame before the press, whatever frame is in view", "[desk]")
{
    ReadyBench bench;
    const auto flip = [&] {
        bench.key(Qt::Key_Space, Qt::ShiftModifier);
        bench.settle();
        return bench.desk().frameInView().value;
    };
    const auto said = [&] {
        return bench.desk().findChild<QWidget*>(QStringLiteral("cue"))->accessibleName().toStdString();
    };
    bench.right(40);
    CHECK(flip() == 40);
    CHECK_THAT(said(), Catch::StartsWith("Mark the press first"));
    bench.key(Qt::Key_F);
    bench.right(25);
    bench.settle();
    CHECK(flip() == 39);
    CHECK(flip() == 65);
    bench.key(Qt::Key_Space);
    bench.settle();
    CHECK(bench.desk().frameInView().value == 64);
    CHECK(flip() == 65); // back from either
    CHECK(flip() == 39);
    bench.key(Qt::Key_Right); // whoever steps on has left the flip
    bench.settle();
    CHECK(flip() == 39);
    CHECK(flip() == 40);
}

TEST_CASE("sentences name a key where the analyst has it", "[desk]")
{
    ReadyBench bench;
    ui::keys::put(Qt::Key_N, Qt::Key_Z);
    ui::keys::follow(*bench.window);
    bench.key(Qt::Key_Z);
    bench.settle();
    const auto* cue = bench.desk().findChild<QWidget*>(QStringLiteral("cue"));
    CHECK(cue->accessibleName() == QStringLiteral("Mark the press first; then Z says that there was no reaction."));
    // So do the caps, to whoever has them read out.
    const auto isSpoken = [&](const char* name) {
        return std::ranges::any_of(bench.window->findChildren<ui::KeyCaps*>(), [&](const ui::KeyCaps* caps) {
            return caps->accessibleName() == QLatin1String(name);
        });
    };
    CHECK(isSpoken("Z names"));
    CHECK_FALSE(isSpoken("N names"));
    ui::keys::setMoved({});
    ui::keys::follow(*bench.window);
    CHECK(isSpoken("N names"));
}

TEST_CASE("undo right after a mark's key takes that mark back, and redo brings it again", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.right(12);
    bench.key(Qt::Key_R); // no event is handled between these keys, so both marks are still being made
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(readingOf(bench.trial(1)).press->frame.value == 40);
    CHECK_FALSE(readingOf(bench.trial(1)).response);
    bench.key(Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.trials("run").empty());
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("Backspace clears the last mark, Delete removes the trial, and undo brings both back", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F);
    bench.right(5);
    bench.key(Qt::Key_R);
    bench.key(Qt::Key_Backspace);
    bench.settle();
    CHECK_FALSE(readingOf(bench.trial(1)).response);
    bench.key(Qt::Key_Delete);
    bench.settle();
    CHECK(bench.document()->trials.empty());
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(readingOf(bench.trial(1)).press->frame.value == 40);
    CHECK(readingOf(bench.trial(1)).response->frame.value == 45);
}

TEST_CASE("PgUp and PgDn go to the press of the trial before and after", "[desk]")
{
    ReadyBench bench;
    for (int i = 0; i < 2; ++i) {
        bench.right(40);
        bench.key(Qt::Key_F);
        bench.right(5);
        bench.key(Qt::Key_R);
        bench.key(Qt::Key_Return);
    }
    bench.settle();
    bench.key(Qt::Key_PageUp);
    bench.key(Qt::Key_PageUp);
    bench.right(1);
    bench.key(Qt::Key_F); // 41: the first one's press moves by one
    bench.key(Qt::Key_PageDown);
    bench.right(2);
    bench.key(Qt::Key_F); // 87: and the second one's by two
    bench.settle();
    CHECK(readingOf(bench.trial(1)).press->frame.value == 41);
    CHECK(readingOf(bench.trial(2)).press->frame.value == 87);
    CHECK(bench.trials("run").size() == 2);
}

TEST_CASE("going to another trial while a mark is being made leaves the mark where its key was pressed", "[desk]")
{
    const int away = GENERATE(Qt::Key_PageUp, Qt::Key_PageDown, Qt::Key_Escape);
    CAPTURE(away);
    ReadyBench bench;
    for (const int press : {40, 140}) {
        bench.key(Qt::Key_Home);
        bench.right(press);
        bench.key(Qt::Key_F);
        bench.right(12);
        bench.key(Qt::Key_R);
        bench.key(Qt::Key_Return);
        bench.settle();
    }
    bench.key(Qt::Key_Home);
    bench.right(240);
    bench.key(Qt::Key_F);
    bench.right(9);
    bench.settle();
    // Not one event is handled between these two keys.
    bench.key(Qt::Key_R);
    bench.key(away);
    bench.settle();
    REQUIRE(bench.trials("run").size() == 3);
    CHECK(readingOf(bench.trial(1)).response->frame.value == 52);
    CHECK(readingOf(bench.trial(2)).response->frame.value == 152);
    REQUIRE(readingOf(bench.trial(3)).response);
    CHECK(readingOf(bench.trial(3)).press->frame.value == 240);
    CHECK(readingOf(bench.trial(3)).response->frame.value == 249);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("delays stay hidden until Ctrl+D, and asking is recorded", "[desk]")
{
    ReadyBench bench;
    CHECK(bench.document()->settings.earlyLooks.empty());
    bench.key(Qt::Key_D, Qt::ControlModifier);
    bench.settle();
    REQUIRE(bench.document()->settings.earlyLooks.size() == 1);
    CHECK(bench.document()->settings.earlyLooks.front().what == "delays while reading");
    bench.key(Qt::Key_D, Qt::ControlModifier); // hiding them again is no look
    bench.settle();
    CHECK(bench.document()->settings.earlyLooks.size() == 1);
}

TEST_CASE("Down goes to the hints of the traces, frame by frame where the film has them", "[desk]")
{
    ReadyBench bench;
    const auto lampFrame = *bench.truth.presses[0].lampFrame;
    // A copy: the document goes when another takes its place meanwhile.
    const session::Region rect = session::inOrder(bench.document()->captures).front()->regions.front();
    DeskBench::waitFor([&] {
        const auto trace = bench.pool->trace(bench.path("run.mp4"), {rect.x, rect.y, rect.width, rect.height});
        return trace && trace->size() == bench.truth.frames.size();
    });
    const auto toHint = [&] { // hints follow the traces at leisure; without one Down stays where it is
        const auto from = bench.desk().frameInView();
        DeskBench::waitFor([&] {
            bench.key(Qt::Key_Down);
            return bench.desk().frameInView() != from;
        });
    };
    toHint();
    bench.key(Qt::Key_F);
    toHint();
    bench.key(Qt::Key_R);
    bench.settle();
    // A hint may be a frame off, the analyst adjusts; here the film is clean.
    CHECK(std::abs(readingOf(bench.trial(1)).press->frame.value - lampFrame) <= 1);
    CHECK(std::abs(readingOf(bench.trial(1)).response->frame.value - *bench.truth.presses[0].reactionFrame) <= 2);
}

TEST_CASE("F1 shows the keys, and the desk's own rest meanwhile", "[desk]")
{
    ReadyBench bench;
    bench.right(40);
    bench.key(Qt::Key_F1);
    bench.key(Qt::Key_F);
    bench.settle();
    CHECK(bench.document()->trials.empty());
    bench.key(Qt::Key_Escape);
    bench.key(Qt::Key_F);
    bench.settle();
    CHECK(bench.document()->trials.size() == 1);
}
