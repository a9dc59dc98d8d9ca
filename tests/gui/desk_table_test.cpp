// The table of captures in the real window: what it proposes, its keys, one edit of all.
#include "tests/gui/desk_bench.h"
#include "ui/controls/row_list.h"
#include "ui/desk/capture_table.h"

#include <QApplication>
#include <QLabel>
#include <QLineEdit>
#include <QTest>
#include <catch2/catch.hpp>

using Catch::Contains;

namespace {

/// Four films of one camera and one of another size, as they came in.
struct TableBench : DeskBench {
    TableBench()
    {
        for (const char* name : {"direct_1", "direct_2", "hub_1", "hub_2"})
            film(name + std::string(".mp4"), static_cast<std::uint64_t>(++m_films));
        footage::Spec larger;
        larger.seed = 9;
        larger.camera.width = 480;
        larger.camera.height = 270;
        larger.camera.frames = 120;
        larger.scene.presses = 1;
        larger.storage.preset = "ultrafast";
        footage::make(larger, folder / "lamp.mp4");
        addConfigurations({"Direct", "Hub"});
        drop({path("direct_1.mp4"), path("direct_2.mp4"), path("hub_1.mp4"), path("hub_2.mp4"), path("lamp.mp4")});
        settle();
    }
    const session::Capture& capture(std::size_t place) const { return *session::inOrder(document()->captures)[place]; }
    ui::CaptureTable& table() const { return *desk().findChild<ui::CaptureTable*>(); }
    std::string row(int at) const { return table().findChild<ui::RowList*>()->item(at)->text().toStdString(); }
    std::string text(const char* name) const
    {
        return table().findChild<QLabel*>(QString::fromLatin1(name))->text().toStdString();
    }
    void open()
    {
        key(Qt::Key_T, Qt::ControlModifier);
        REQUIRE(table().isVisible());
    }
    std::string nameOfRun(std::size_t place) const
    {
        const session::Run* run = session::find(*document(), capture(place).run);
        return run ? run->name : std::string();
    }

private:
    int m_films = 0;
};

} // namespace

TEST_CASE("several captures that came in are tagged by one table and one edit", "[table]")
{
    TableBench bench;
    REQUIRE(bench.document()->clocks.size() == 5);
    CHECK_THAT(bench.desk().findChild<QWidget*>(QStringLiteral("cue"))->accessibleName().toStdString(),
               Contains("Ctrl T"));
    bench.open();
    CHECK(bench.row(0) == "direct_1, no configuration, direct_1, direct_1");
    CHECK(bench.row(1) == "direct_2, no configuration, direct_2, same as direct_1?");
    CHECK_THAT(bench.row(4), Contains("lamp, no configuration, lamp, lamp"));

    // The first two by a digit, the others by another, all on one clock, the last one for the lamp.
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down, Qt::ShiftModifier);
    CHECK_THAT(bench.text("likeness"), Contains("same camera as direct_1? M. Alike: 320 x 180, h264, stored at "));
    bench.key(Qt::Key_1);
    bench.key(Qt::Key_Down);
    bench.key(Qt::Key_Down, Qt::ShiftModifier);
    bench.key(Qt::Key_2);
    bench.key(Qt::Key_J);
    bench.key(Qt::Key_A, Qt::ControlModifier);
    bench.key(Qt::Key_M);
    CHECK(bench.row(1) == "direct_2, Direct, direct_2, same as direct_1");
    CHECK(bench.row(3) == "hub_2, Hub, hub_1, same as direct_1");
    bench.key(Qt::Key_End);
    CHECK_THAT(bench.text("likeness"), Contains("its picture is 480 x 270, that of hub_2 320 x 180"));
    bench.key(Qt::Key_L);
    CHECK_THAT(bench.row(4), Contains("lamp reference"));
    CHECK(bench.document()->clocks.size() == 5); // nothing is in the session yet

    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK_FALSE(bench.table().isVisible());
    CHECK(bench.document()->clocks.size() == 2);
    CHECK(bench.capture(3).clock == bench.capture(0).clock);
    CHECK(bench.nameOfRun(0) == "direct_1");
    CHECK(bench.nameOfRun(1) == "direct_2");
    CHECK(bench.capture(2).run == bench.capture(3).run);
    CHECK(bench.capture(1).configuration != bench.capture(2).configuration);
    CHECK(bench.capture(4).lampReference);
    CHECK_FALSE(bench.capture(4).run);

    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(bench.document()->clocks.size() == 5);
    CHECK(bench.document()->runs.empty());
    CHECK_FALSE(bench.capture(4).lampReference);
    CHECK(bench.problems().isEmpty());
}

TEST_CASE("the table reads the names of captures by a pattern, and Esc leaves all as it was", "[table]")
{
    TableBench bench;
    bench.open();
    bench.key(Qt::Key_N);
    auto* pattern = bench.table().findChild<QLineEdit*>();
    REQUIRE(QApplication::focusWidget() == pattern);
    QTest::keyClicks(pattern, QStringLiteral("%c_%r"));
    CHECK(bench.text("patternExample") == "direct_1: Direct, run 1; 4 of 5 names fit");
    CHECK(bench.row(3) == "hub_2, Hub, Hub 2, same as direct_1?");
    bench.key(Qt::Key_Return); // back to the rows
    CHECK(bench.table().isVisible());
    bench.key(Qt::Key_Escape);
    bench.settle();
    CHECK_FALSE(bench.table().isVisible());
    CHECK(bench.document()->runs.empty());
    CHECK_FALSE(bench.capture(0).configuration);

    bench.open();
    bench.key(Qt::Key_N);
    QTest::keyClicks(pattern, QStringLiteral("%c_%r"));
    bench.key(Qt::Key_Return);
    bench.key(Qt::Key_Return);
    bench.settle();
    CHECK(bench.nameOfRun(3) == "Hub 2");

    // What is tagged already isn't selected: a digit can't change it by mistake.
    bench.open();
    CHECK_FALSE(bench.table().findChild<ui::RowList*>()->item(0)->isSelected());
    CHECK(bench.table().findChild<ui::RowList*>()->item(1)->isSelected()); // its camera is still proposed
    bench.key(Qt::Key_Escape);
    CHECK(bench.capture(0).configuration == session::inOrder(bench.document()->configurations)[0]->id);
    CHECK(bench.document()->clocks.size() == 5); // nobody said that the camera was the same
}

TEST_CASE("a lamp reference waits for no presses, and the desk marks none in it", "[table]")
{
    DeskBench bench;
    const footage::Truth truth = bench.film("lamp.mp4");
    bench.drop({bench.path("lamp.mp4")});
    bench.drawRegions(truth);
    const auto capture = [&]() -> const session::Capture& { return *bench.document()->captures.begin()->second; };
    bench.waitFor([&] { return capture().presses && capture().presses->proposed.size() == 2; }, 60);
    CHECK(session::unreadPresses(*bench.document(), capture().id).size() == 2);
    bench.key(Qt::Key_T, Qt::ControlModifier);
    bench.key(Qt::Key_L);
    bench.key(Qt::Key_Return);
    bench.settle();
    REQUIRE(capture().lampReference);
    CHECK(session::unreadPresses(*bench.document(), capture().id).empty());
    bench.right(truth.presses.front().lampFrame.value());
    bench.keys(QStringLiteral("F"));
    bench.settle();
    CHECK(bench.document()->trials.empty());
    REQUIRE(bench.problems().size() == 1);
    CHECK_THAT(bench.problems().front().toStdString(), Contains("is a lamp reference, so it has no trials"));
}

TEST_CASE("the regions of the capture on the desk go to those selected in the table, in one undo", "[table][regions]")
{
    TableBench bench;
    session::Region region;
    region.kind = session::RegionKind::Lamp;
    region.name = "left lamp";
    region.x = region.y = 8;
    region.width = region.height = 16;
    REQUIRE(bench.model->edit(
        [&](const session::Document& latest) { return session::setRegion(latest, bench.capture(0).id, region); }));
    bench.settle();
    bench.desk().showCapture(bench.capture(0).id);
    bench.open();
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_Down);
    bench.key(Qt::Key_Down, Qt::ShiftModifier);
    bench.key(Qt::Key_R);
    CHECK(bench.text("likeness") == "2 captures took the regions of direct_1; Ctrl Z takes that back.");
    bench.settle();
    bench.key(Qt::Key_End); // another picture size
    bench.key(Qt::Key_R);
    CHECK_THAT(bench.text("likeness"), Contains("1 capture stayed whose picture has another size"));
    bench.key(Qt::Key_Home);
    bench.key(Qt::Key_R);
    CHECK_THAT(bench.text("likeness"), Contains("None of the captures chosen could take the regions of direct_1"));
    bench.key(Qt::Key_Escape);
    bench.settle();
    const auto count = [&](std::size_t at) { return bench.capture(at).regions.size(); };
    CHECK(count(1) == 1);
    CHECK(count(2) == 1);
    CHECK(count(3) == 0);
    bench.key(Qt::Key_Z, Qt::ControlModifier);
    bench.settle();
    CHECK(count(0) == 1);
    CHECK(count(1) + count(2) == 0);
    CHECK(bench.problems().isEmpty());
}
