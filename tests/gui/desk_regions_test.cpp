// Regions in the real window: placed and sized by key, found, named, carried to other captures. And marks that were
// taken elsewhere.
#include "tests/footage/reaction_film.h"
#include "tests/gui/desk_bench.h"
#include "ui/controls/row_list.h"
#include "ui/desk/frame_message.h"
#include "ui/desk/marks_table.h"
#include "ui/desk/trial_list.h"
#include "ui/footage/frame_view.h"

#include <QAction>
#include <QFile>
#include <QFileDialog>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>

using Catch::Contains;
using session::RegionKind;

namespace {

/// Three films of one camera with the same presses, the first one on the desk, without regions.
struct RegionsBench : DeskBench {
    std::vector<footage::ReactionTruth> truths;

    RegionsBench()
    {
        for (int k = 0; k < 3; ++k) {
            footage::ReactionSpec spec;
            spec.seed = 60 + std::uint64_t(k);
            spec.kind = footage::ReactionKind::Step;
            spec.width = 320;
            spec.height = 180;
            spec.presses = 2;
            spec.pressGap = 0.5;
            const std::string name = "take" + std::to_string(k + 1) + ".mp4";
            truths.push_back(footage::filmReactions(spec, folder / name));
            drop({path(name)});
        }
        waitFor([this] { return desk().captureInView() == capture(2).id; }); // what came in last is shown
        desk().showCapture(capture(0).id);
        settle();
        waitFor([this] { return view().visible().width > 0; });
    }
    const session::Capture& capture(std::size_t at) const { return *session::inOrder(document()->captures)[at]; }
    ui::FrameView& view() const { return *window->findChild<ui::FrameView*>(); }
    std::string said() const
    {
        return desk().findChild<QWidget*>(QStringLiteral("cue"))->accessibleName().toStdString();
    }
    /// A region placed by keys alone: `begin` starts it, coarse and fine steps do the rest.
    void placeByKeys(int begin, const footage::Rect& wanted)
    {
        key(begin);
        waitFor([this] { return view().isDrawingRegion(); });
        key(Qt::Key_Right); // makes one in the middle
        const auto draft = [this] { return *view().regionDraft(); };
        const auto go = [&](int forth, int back, int distance, Qt::KeyboardModifiers modifiers) {
            const int arrow = distance < 0 ? back : forth;
            for (distance = std::abs(distance); distance >= 10; distance -= 10)
                key(arrow, modifiers | Qt::ControlModifier);
            for (; distance > 0; --distance)
                key(arrow, modifiers);
        };
        go(Qt::Key_Right, Qt::Key_Left, wanted.x - draft().x, {});
        go(Qt::Key_Down, Qt::Key_Up, wanted.y - draft().y, {});
        go(Qt::Key_Right, Qt::Key_Left, wanted.width - draft().width, Qt::ShiftModifier);
        go(Qt::Key_Down, Qt::Key_Up, wanted.height - draft().height, Qt::ShiftModifier);
        key(Qt::Key_Return);
        settle();
    }
    static std::string place(const session::Region* region)
    {
        if (!region)
            return "none";
        return region->name + " " + std::to_string(region->x) + " " + std::to_string(region->y) + " "
               + std::to_string(region->width) + " " + std::to_string(region->height);
    }
    std::string first(std::size_t at, RegionKind kind) const { return place(session::firstRegion(capture(at), kind)); }
    QAction& entry(const char* begins) const
    {
        for (QAction* action : window->findChildren<QAction*>())
            if (action->text().remove(QLatin1Char('&')).startsWith(QLatin1String(begins)))
                return *action;
        FAIL("no such entry: " << begins);
        throw;
    }
    /// Marks that another program wrote, chosen in the dialog by its path.
    void bringIn(const char* table)
    {
        QFile file(path("marks.csv"));
        REQUIRE(file.open(QIODevice::WriteOnly));
        file.write(table);
        file.close();
        entry("Bring in marks").trigger();
        auto* dialog = window->findChild<QFileDialog*>();
        REQUIRE(dialog);
        auto* name = dialog->findChild<QLineEdit*>();
        name->setText(path("marks.csv"));
        QTest::keyClick(name, Qt::Key_Return);
        window->activateWindow(); // which a window manager does
        REQUIRE(QTest::qWaitForWindowActive(window.get()));
    }
    ui::MarksTable& marks() const { return *desk().findChild<ui::MarksTable*>(); }
    std::string row(int at) const { return marks().findChild<ui::RowList*>()->item(at)->text().toStdString(); }
    std::string marksSaid() const
    {
        return marks().findChild<QLabel*>(QStringLiteral("marksSaid"))->text().toStdString();
    }
};

std::string text(const footage::Rect& r, const char* name)
{
    return std::string(name) + " " + std::to_string(r.x) + " " + std::to_string(r.y) + " " + std::to_string(r.width)
           + " " + std::to_string(r.height);
}

} // namespace

TEST_CASE("regions are placed by keys, coarse and fine, and go to all captures in one undo", "[regions]")
{
    RegionsBench bench;
    const footage::Rect lamp = bench.truths[0].lamp, screen = bench.truths[0].screen;
    bench.placeByKeys(Qt::Key_L, lamp);
    CHECK(bench.first(0, RegionKind::Lamp) == text(lamp, "lamp"));
    bench.key(Qt::Key_Escape); // the screen region is asked for next
    bench.placeByKeys(Qt::Key_S, screen);
    CHECK(bench.first(0, RegionKind::Screen) == text(screen, "screen"));
    CHECK(bench.first(2, RegionKind::Screen) == text(screen, "screen")); // it had none

    // A second screen in the first capture, and its lamp moved a little; the others follow by one key.
    footage::Rect left = screen;
    left.width /= 2;
    bench.key(Qt::Key_S, Qt::ShiftModifier);
    bench.waitFor([&] { return bench.view().isDrawingRegion(); });
    bench.key(Qt::Key_Right);
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(bench.capture(0).regions.size() == 3);
    bench.key(Qt::Key_L);
    bench.key(Qt::Key_Left, Qt::ControlModifier);
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(bench.capture(1).regions.size() == 2);
    bench.key(Qt::Key_L, Qt::ControlModifier);
    bench.settle();
    CHECK_THAT(bench.said(), Contains("2 captures took the regions of take1"));
    for (const std::size_t at : {1, 2}) {
        CHECK(bench.first(at, RegionKind::Lamp) == bench.first(0, RegionKind::Lamp));
        CHECK(bench.capture(at).regions.size() == 3);
    }
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.capture(1).regions.size() == 2);
    CHECK(bench.first(2, RegionKind::Lamp) == text(lamp, "lamp"));

    // Each of these cameras runs on a clock of its own as yet.
    bench.key(Qt::Key_L, Qt::ControlModifier | Qt::ShiftModifier);
    CHECK_THAT(bench.said(), Contains("No other capture was filmed by the camera of take1"));
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("a lamp region that the camera was bumped off is put back by one key and taken by another", "[regions]")
{
    RegionsBench bench;
    const footage::Rect lamp = bench.truths[0].lamp;
    bench.drawRegions([&] {
        footage::Truth regions;
        regions.lamp = {lamp.x - 10, lamp.y + 50, lamp.width, lamp.height};
        regions.screen = bench.truths[0].screen;
        return regions;
    }());
    const std::string before = bench.first(0, RegionKind::Lamp);
    bench.key(Qt::Key_M);
    bench.waitFor([&] { return bench.view().isDrawingRegion(); });
    CHECK_THAT(bench.said(), Contains("A lamp lights here about frame "));
    CHECK(bench.first(0, RegionKind::Lamp) == before); // shown, not taken
    bench.key(Qt::Key_Escape);
    bench.settle();
    CHECK(bench.first(0, RegionKind::Lamp) == before);

    bench.key(Qt::Key_M);
    bench.waitFor([&] { return bench.view().isDrawingRegion(); });
    bench.key(Qt::Key_Return);
    bench.settle();
    const session::Region& found = *session::firstRegion(bench.capture(0), RegionKind::Lamp);
    CHECK(std::abs(found.x - lamp.x) <= 2);
    CHECK(std::abs(found.y - lamp.y) <= 2);
    CHECK(found.width == lamp.width);
    bench.waitFor([&] { return bench.window->findChild<ui::TrialList*>()->proposed() == 2; }, 60);
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.first(0, RegionKind::Lamp) == before);

    bench.key(Qt::Key_End);
    bench.settle();
    bench.key(Qt::Key_M);
    bench.waitFor([&] { return bench.said().find("Nothing outside the screen regions lights up") == 0; });
}

TEST_CASE("regions have names of the analyst's", "[regions]")
{
    RegionsBench bench;
    bench.drawRegions([&] {
        footage::Truth regions;
        regions.lamp = bench.truths[0].lamp;
        regions.screen = bench.truths[0].screen;
        return regions;
    }());
    bench.entry("Name the screen region").trigger();
    auto* dialog = bench.window->findChild<QInputDialog*>();
    REQUIRE(dialog);
    auto* edit = dialog->findChild<QLineEdit*>();
    edit->selectAll();
    QTest::keyClicks(edit, QStringLiteral("left display"));
    QTest::keyClick(edit, Qt::Key_Return);
    bench.settle();
    CHECK(session::firstRegion(bench.capture(0), RegionKind::Screen)->name == "left display");
}

TEST_CASE("marks taken elsewhere come in from a table, seen before and undone at once", "[regions][marks]")
{
    RegionsBench bench;
    bench.addConfigurations({"Direct", "Hub"});
    bench.drawRegions([&] {
        footage::Truth regions;
        regions.lamp = bench.truths[0].lamp;
        regions.screen = bench.truths[0].screen;
        return regions;
    }());
    const auto confirmed = [&](std::size_t at) {
        const auto* known = bench.pool->find(bench.model->footagePath(bench.capture(at)));
        return known && known->state() == ui::FootageState::Confirmed;
    };
    bench.waitFor([&] { return confirmed(0) && confirmed(1) && confirmed(2); }, 60);
    const auto& one = bench.truths[0].presses[0];
    const std::string table = "configuration;response;press;file\r\n\"Hub\";" + std::to_string(*one.response + 1) + ";"
                              + std::to_string(one.first + 1) + ";take1.mp4\r\n;none;31;\"take2\"\r\n;5;7;take3\r\n"
                              + "Wireless;40;20;take3\r\n";
    bench.bringIn(table.c_str());
    bench.waitFor([&] { return bench.marks().isVisible(); });
    CHECK_THAT(bench.row(2), Contains("line 4 stays out: Its response lies before its press."));
    CHECK_THAT(bench.row(3), Contains("No configuration is called \u201cWireless\u201d."));
    bench.key(Qt::Key_Return); // the analyst hasn't said where the table counts from
    CHECK_THAT(bench.marksSaid(), Contains("Say first what number the first frame"));
    CHECK(bench.document()->trials.empty());
    bench.key(Qt::Key_1);
    CHECK_THAT(bench.marksSaid(), Contains("counts frames from 1"));
    bench.key(Qt::Key_Return);
    bench.waitFor([&] { return !bench.marks().isVisible(); });
    bench.settle();
    CHECK_THAT(bench.said(), Contains("2 trials came in from marks.csv, 2 rows stayed out"));
    REQUIRE(bench.document()->trials.size() == 2);
    const session::Reading& reading = *session::countingReading(*bench.trials("take1").front());
    CHECK(reading.press->frame.value == one.first);
    CHECK(reading.response->frame.value == *one.response);
    CHECK(reading.accepted);
    CHECK(reading.press->pictureHash.size() == 32);
    CHECK(session::countingReading(*bench.trials("take2").front())->noReaction);

    // A frame beside a press that is there: the analyst says whether it is another one.
    bench.bringIn(("file,press,response\ntake1," + std::to_string(one.first + 1) + ",\n").c_str());
    bench.waitFor([&] { return bench.marks().isVisible(); });
    CHECK(bench.row(0) == "line 2 stays out: It lies beside the press of trial 1 of take1 (1 frame).");
    bench.key(Qt::Key_0);
    CHECK_THAT(bench.marksSaid(),
               Contains("1 row lies beside a press") && Contains("left out unless B says otherwise"));
    bench.key(Qt::Key_Return);
    CHECK_THAT(bench.marksSaid(), Contains("Nothing can come in"));
    bench.key(Qt::Key_B);
    CHECK_THAT(bench.marksSaid(), Contains("B leaves them out again"));
    bench.key(Qt::Key_Return);
    bench.waitFor([&] { return !bench.marks().isVisible(); });
    bench.settle();
    CHECK(bench.trials("take1").size() == 2);
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.document()->trials.empty());

    // What isn't such a table is refused in one sentence.
    CHECK(bench.problems().isEmpty());
    bench.bringIn("press,response\n1,2\n");
    bench.waitFor([&] { return !bench.problems().isEmpty(); });
    CHECK_THAT(bench.problems().front().toStdString(), Contains("The table has no column \"file\""));
    CHECK_FALSE(bench.marks().isVisible());
}
