#include "tests/filmed_lights.h"
#include "tests/gui/clock_bench.h"
#include "ui/look/label.h"

#include <QTest>
#include <cmath>

namespace {

constexpr double lineTime = 9.4e-6;

/// One camera mode with a settled clock and a capture of a pulsed light, read from the last row up.
session::Document filmed(const TempFolder& folder)
{
    footage::Spec spec = light_film::bands(lineTime);
    spec.camera.readFromBottom = true;
    footage::make(spec, folder / "bands.mp4");
    session::Document d;
    session::NewCapture added;
    added.capture.name = "bands";
    added.capture.path = (folder / "bands.mp4").string();
    added.capture.frames = {24};
    added.capture.width = 96;
    added.capture.height = 288;
    added.cameraMode = "Bench camera, 240 mode";
    d = session::apply(d, session::addCaptures(d, {added}));
    const session::ClockId clock = d.clocks.begin()->first;
    d = session::apply(d, session::declareRate(d, clock, 240, 0.0001, ""));
    return session::apply(d, session::settleClock(d, clock, d.clocks.at(clock)->evidence.front().id, ""));
}

const session::Readout& readoutOf(const session::Document& document)
{
    return document.clocks.begin()->second->readout;
}

} // namespace

TEST_CASE("a line time is typed in with tolerance and direction, each an edit that undo takes back", "[pages][clock]")
{
    const TempFolder folder;
    ClockBench bench{filmed(folder)};
    bench.open();
    bench.section("readout");
    bench.pick("readoutKind", 2);
    CHECK(readoutOf(bench.document()).kind
          == session::ReadoutKind::AllAtOnce); // passed on the way; nothing to set before the line time
    auto* field = bench.child<QLineEdit>("lineTime");
    CHECK(field->hasFocus());
    bench.type("lineTime", QStringLiteral("9,4"));
    CHECK(readoutOf(bench.document()).kind == session::ReadoutKind::LineTime);
    CHECK(std::abs(readoutOf(bench.document()).lineTimeSeconds - 9.4e-6) < 1e-15); // as typed
    bench.type("lineTimeTolerance", QStringLiteral("0.3"));
    CHECK(std::abs(readoutOf(bench.document()).uncertaintySeconds - 0.3e-6 / std::sqrt(3.0)) < 1e-15);
    bench.pick("readoutDirection", 2);
    CHECK(readoutOf(bench.document()).direction == session::ReadoutDirection::LastRowFirst);

    bench.type("lineTime", QStringLiteral("fast"));
    CHECK(bench.problems.size() == 1);
    CHECK(std::abs(readoutOf(bench.document()).lineTimeSeconds - 9.4e-6) < 1e-15);

    bench.undo(); // the last step of the direction
    CHECK(readoutOf(bench.document()).direction == session::ReadoutDirection::FirstRowFirst);
    for (int i = 0; i < 4; ++i) { // the first one, tolerance, line time, all at once
        bench.undo();
    }
    CHECK(readoutOf(bench.document()) == session::Readout{});
    CHECK(field->text().isEmpty());
}

TEST_CASE("a line time is measured from filmed bands and taken over", "[pages][clock]")
{
    const TempFolder folder;
    ClockBench bench{filmed(folder)};
    bench.open();
    bench.section("readout");
    bench.type("bandFrequency", QStringLiteral("1871"));
    bench.click("measureLineTime");
    auto* use = bench.child<QPushButton>("useLineTime");
    REQUIRE(QTest::qWaitFor([&] { return use->isVisible(); }, 20000));
    CHECK(bench.child<ui::Label>("lineTimeMeasured")->text().contains(QStringLiteral("from the last row up")));
    bench.click("useLineTime");
    const session::Readout& readout = readoutOf(bench.document());
    CHECK(readout.kind == session::ReadoutKind::LineTime);
    CHECK(std::abs(readout.lineTimeSeconds - lineTime) < 0.003 * lineTime); // 16 pictures of an encoded film
    CHECK(readout.uncertaintySeconds > 0);
    CHECK(readout.direction == session::ReadoutDirection::LastRowFirst);
    CHECK(readout.note == "bands of a light pulsed at 1871 a second in bands");
    CHECK(bench.problems.isEmpty());
    bench.undo();
    CHECK(readoutOf(bench.document()).kind == session::ReadoutKind::Unknown);
}

TEST_CASE("bands that aren't there are told with the reason", "[pages][clock]")
{
    const TempFolder folder;
    ClockBench bench{filmed(folder)};
    bench.open();
    bench.section("readout");
    bench.click("measureLineTime"); // without a frequency
    REQUIRE(bench.problems.size() == 1);
    CHECK(bench.problems.front().contains(QStringLiteral("how often a second the light is pulsed")));
    bench.type("bandFrequency", QStringLiteral("400")); // bands as wide as they are would take longer than a frame
    bench.click("measureLineTime");
    auto* result = bench.child<ui::Label>("lineTimeMeasured");
    REQUIRE(QTest::qWaitFor(
        [&] {
            return result->isVisible() && result->text().contains(QStringLiteral("longer than a camera frame lasts"));
        },
        20000));
    CHECK_FALSE(bench.child<QPushButton>("useLineTime")->isVisible());
}
