#include "tests/footage/footage.h"
#include "tests/gui/clock_bench.h"
#include "ui/controls/section_bar.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/row_list.h"
#include "ui/look/label.h"
#include "ui/model/window_memory.h"

#include <QTest>
#include <set>

namespace {

/// A capture in pieces: at once, slowed, at once.
session::NewCapture ramped(const std::string& name, std::int64_t slowFrom, std::int64_t slowTo)
{
    session::NewCapture added = ClockBench::newCapture(name, name + " mode", 240);
    added.capture.pieces = {{0, {}, true, 1 / 240.0}, {slowFrom, {}, true, 1 / 30.0}, {slowTo, {}, true, 1 / 240.0}};
    return added;
}

} // namespace

TEST_CASE("one section shows at a time, by click and by key, and the next start begins with it", "[gui][clock]")
{
    ui::memory::setClockSection({});
    {
        ClockBench bench;
        bench.add({ClockBench::newCapture("one", "First camera, 240 mode", 240)});
        bench.open();
        auto* bar = bench.child<ui::SectionBar>("clockSections");
        CHECK(bar->current() == QLatin1String("fit"));
        CHECK(bench.shows("findEdges"));
        CHECK_FALSE(bench.shows("eventTake"));

        // Clicks all along the bar reach every section, from the first to the last.
        QStringList met;
        for (int x = 4; x < bar->width(); x += 8) {
            QTest::mouseClick(bar, Qt::LeftButton, {}, {x, bar->height() / 2});
            if (!met.contains(bar->current()))
                met << bar->current();
        }
        CHECK(met.join(QLatin1Char(' '))
              == QLatin1String("fit events refreshes plan tags stamps pieces pictures readout"));
        CHECK(bench.shows("measureLineTime"));
        CHECK_FALSE(bench.shows("findEdges"));

        // Left and Right from the evidence, Ctrl and Page keys from within a field; the keyboard goes to the bar where
        // its field went away.
        bench.list("Evidence")->setFocus();
        bench.key(Qt::Key_Right);
        CHECK(bar->current() == QLatin1String("fit"));
        bench.key(Qt::Key_Right);
        CHECK(bench.shows("eventFirst"));
        bench.child<QLineEdit>("eventFirst")->setFocus();
        bench.key(Qt::Key_PageDown, Qt::ControlModifier);
        CHECK(bench.shows("refreshFirst"));
        CHECK(bar->hasFocus());
        bench.key(Qt::Key_Return); // into the section, not the page's settling
        CHECK_FALSE(bench.clockOf(0).settled);
        CHECK(bench.child<ui::ChoiceBox>("refreshCapture")->hasFocus());
    }
    ClockBench again;
    again.add({ClockBench::newCapture("one", "First camera, 240 mode", 240)});
    again.open();
    CHECK(again.child<ui::SectionBar>("clockSections")->current() == QLatin1String("refreshes"));
    CHECK(again.shows("refreshFirst"));
}

TEST_CASE("on a large screen the fit stays beside the other sections", "[gui][clock]")
{
    ClockBench bench;
    bench.add({ClockBench::newCapture("one", "First camera, 240 mode", 240)});
    bench.open(1920, 970);
    bench.section("pictures");
    CHECK(bench.shows("findEdges"));
    CHECK(bench.shows("lookForRepeats"));
    bench.page->resize(1280, 690);
    QCoreApplication::processEvents();
    CHECK_FALSE(bench.shows("findEdges"));
    CHECK(bench.shows("lookForRepeats"));
}

TEST_CASE("the tabulator reaches every control of a section and of the settling column", "[gui][clock]")
{
    ClockBench bench;
    bench.add({ClockBench::newCapture("one", "First camera, 240 mode", 240)});
    bench.open();
    const char* section = GENERATE("fit", "events", "refreshes", "plan", "stamps", "pieces", "pictures", "readout");
    bench.section(section);
    bench.page->entered();
    std::set<QWidget*> met;
    for (int i = 0; i < 80; ++i) {
        QWidget* now = bench.page->focusWidget();
        REQUIRE(now);
        CHECK(now->isVisible());
        met.insert(now);
        bench.key(Qt::Key_Tab);
    }
    for (QWidget* control : bench.page->findChildren<QWidget*>())
        if (control->isVisible() && control->isEnabled() && (control->focusPolicy() & Qt::TabFocus)) {
            INFO(control->objectName().toStdString() << " " << control->accessibleName().toStdString());
            CHECK(met.contains(control));
        }
}

TEST_CASE("the frame in view at the desk is taken by a click, one of another capture isn't", "[gui][clock]")
{
    ClockBench bench;
    bench.add({ClockBench::newCapture("one", "First camera, 240 mode", 240),
               ClockBench::newCapture("two", "Second camera, 480 mode", 480)});
    bench.open();
    ui::FrameInView place{bench.capture(0).id, 100};
    bench.page->setFrameInView([&] { return std::optional(place); });
    bench.section("events");
    bench.click("eventFirstInView");
    place.frame = {580};
    bench.click("eventSecondInView");
    CHECK(bench.child<QLineEdit>("eventFirst")->text() == QLatin1String("100"));
    CHECK(bench.child<QLineEdit>("eventSecond")->text() == QLatin1String("580"));
    bench.type("eventApart", QStringLiteral("2"));
    CHECK(bench.label("eventResult").startsWith(QLatin1String("240.00 camera frames a second")));

    bench.section("refreshes");
    bench.click("refreshSecondInView");
    CHECK(bench.child<QLineEdit>("refreshSecond")->text() == QLatin1String("580"));
    CHECK(bench.problems.isEmpty());

    place = {bench.capture(1).id, 7};
    bench.click("refreshFirstInView");
    REQUIRE(bench.problems.size() == 1);
    CHECK(bench.problems.front().contains(QLatin1String("shows another capture")));
    CHECK(bench.child<QLineEdit>("refreshFirst")->text().isEmpty());

    place = {bench.capture(0).id, 450};
    bench.section("pieces");
    bench.click("pieceFrameInView");
    bench.click("addPiece");
    REQUIRE(bench.capture(0).pieces.size() == 2);
    CHECK(bench.capture(0).pieces[1].firstFrame.value == 450);
    CHECK(bench.problems.size() == 1);
}

TEST_CASE("what the files say of rates is listed with its meaning, and damage is marked", "[gui][clock]")
{
    ClockBench bench;
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::Pattern;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 24;
    spec.storage.muxerOptions = {{"movflags", "use_metadata_tags"}};
    spec.storage.tags = {{"com.android.capture.fps", "nan"},
                         {"com.apple.quicktime.camera.framereadouttimeinmicroseconds", "4166"}};
    footage::make(spec, bench.folder / "phone.mov");
    bench.add({bench.described("phone.mov")});
    REQUIRE(bench.capture(0).rateTags.size() == 3); // and the container's own rate
    bench.open();
    bench.section("tags");
    QStringList said;
    for (const ui::Label* label : bench.page->findChildren<ui::Label*>())
        if (label->isVisible())
            said << label->text();
    const QString all = said.join(QLatin1Char('\n'));
    CHECK(all.contains(QLatin1String("That is no rate of a camera, so it is left alone. In phone.")));
    CHECK(all.contains(QLatin1String("never the time from frame to frame")));
    CHECK(all.contains(QLatin1String("Tags: 1 of 3 that speak of rates can't be one")));
    CHECK(session::stateOf(bench.clockOf(0)) == session::ClockState::Unknown);
}

TEST_CASE("unsettled captures are ticked together where nothing in their files keeps them apart", "[gui][clock]")
{
    ClockBench bench;
    std::vector<session::NewCapture> films;
    for (const char* name : {"one", "two", "three", "four"})
        films.push_back(ClockBench::newCapture(name, std::string(name) + " mode", 240));
    films[0].capture.stored = films[1].capture.stored = session::StoredAs{"h264", "", 1 / 30.0};
    films[2].capture.stored = session::StoredAs{"h264", "", 1 / 25.0};
    bench.add(films); // of the fourth nobody knows how it is stored
    bench.open();
    CHECK(bench.child<QPushButton>("takeUnsettled")->text() == QLatin1String("Tick the other 2 unsettled"));
    bench.click("takeUnsettled");
    CHECK(&bench.clockOf(1) == &bench.clockOf(0));
    CHECK(&bench.clockOf(2) != &bench.clockOf(0));
    CHECK(&bench.clockOf(3) == &bench.clockOf(0));
    CHECK_FALSE(bench.shows("takeUnsettled"));
}

TEST_CASE("a tick brings the pieces of a capture onto the clocks of their kind and says so, undo takes it back",
          "[gui][clock]")
{
    ClockBench bench;
    bench.add({ramped("first", 301, 700), ramped("second", 120, 480)});
    const session::Capture before = bench.capture(1);
    const session::ClockId slow = bench.capture(0).clock, fast = session::clockAt(bench.capture(0), {0});
    REQUIRE(session::clockAt(before, {0}) != fast);
    bench.open();
    ui::RowList* captures = bench.list("Captures that use this clock");
    REQUIRE(captures->count() == 2);
    CHECK(captures->item(0)->text().contains(QLatin1String("frames 301 to 699")));
    CHECK_FALSE(bench.shows("sharedPieces"));
    bench.clickRow(*captures, 1);
    CHECK(session::clockAt(bench.capture(1), {200}) == slow);
    CHECK(session::clockAt(bench.capture(1), {0}) == fast);
    CHECK(session::clockAt(bench.capture(1), {700}) == fast);
    CHECK(bench.document().clocks.size() == 2);
    CHECK(bench.child<ui::Label>("sharedPieces")->isVisible());
    CHECK(bench.label("sharedPieces").contains(QLatin1String("second: frames 0 to 119 on")));
    bench.undo();
    CHECK(bench.capture(1) == before);
    CHECK_FALSE(bench.child<ui::Label>("sharedPieces")->isVisible());

    // By the keyboard, and off again: only what runs on the clock that is shown goes.
    captures->setFocus();
    captures->setCurrentRow(1);
    bench.key(Qt::Key_Space);
    REQUIRE(session::clockAt(bench.capture(1), {200}) == slow);
    bench.key(Qt::Key_Space);
    CHECK(session::clockAt(bench.capture(1), {200}) != slow);
    CHECK(session::clockAt(bench.capture(1), {0}) == fast);
    CHECK(bench.problems.isEmpty());
}
