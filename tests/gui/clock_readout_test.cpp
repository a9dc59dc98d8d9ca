#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"
#include "tests/gui/page_in_front.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/clock/clock_page.h"

#include <QLabel>
#include <QPushButton>
#include <cmath>

using namespace pages_session;

namespace {

constexpr double lineTime = 9.4e-6;

/// One camera mode with a settled clock and a capture of a pulsed light, read from the last row up.
session::Document filmed(const TempFolder& folder)
{
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::PulsedLight;
    spec.scene.pulseRate = 1871;
    spec.camera.width = 96;
    spec.camera.height = 288;
    spec.camera.frames = 24;
    spec.camera.nominalRate = {240, 1};
    spec.camera.exposure = 0.1;
    spec.camera.lineTime = lineTime;
    spec.camera.readFromBottom = true;
    spec.storage.barcode = false;
    footage::make(spec, folder / "bands.mp4");
    session::Document d;
    session::NewCapture added;
    added.capture.name = "bands";
    added.capture.path = (folder / "bands.mp4").string();
    added.capture.frames = 24;
    added.capture.width = 96;
    added.capture.height = 288;
    added.cameraMode = "Bench camera, 240 mode";
    d = session::apply(d, session::addCaptures(d, {added}));
    const session::ClockId clock = d.clocks.begin()->first;
    d = session::apply(d, session::declareRate(d, clock, 240, 0.0001, ""));
    return session::apply(d, session::settleClock(d, clock, d.clocks.at(clock)->evidence.front().id, ""));
}

const session::Readout& readoutOf(const session::Document& document) { return document.clocks.begin()->second->readout; }

void choose(InFront<ui::ClockPage>& desk, const char* name, int row)
{
    auto* box = desk.child<ui::ChoiceBox>(name);
    box->setFocus();
    while (box->currentIndex() != row) {
        QTest::keyClick(box, box->currentIndex() < row ? Qt::Key_Down : Qt::Key_Up);
        REQUIRE(settled(desk.model)); // each step is an edit
    }
}

} // namespace

TEST_CASE("a line time is typed in with tolerance and direction, each an edit that undo takes back", "[pages][clock]")
{
    const TempFolder folder;
    InFront<ui::ClockPage> desk{filmed(folder)};
    choose(desk, "readoutKind", 2);
    CHECK(readoutOf(desk.document()).kind == session::ReadoutKind::AllAtOnce); // passed on the way; nothing to set before the line time
    auto* field = desk.child<ui::CommitEdit>("lineTime");
    CHECK(field->hasFocus());
    desk.type(field, "9,4");
    desk.key(Qt::Key_Tab);
    CHECK(readoutOf(desk.document()).kind == session::ReadoutKind::LineTime);
    CHECK(std::abs(readoutOf(desk.document()).lineTimeSeconds - 9.4e-6) < 1e-15); // as typed
    desk.type(desk.child<ui::CommitEdit>("lineTimeTolerance"), "0.3");
    desk.key(Qt::Key_Tab);
    CHECK(std::abs(readoutOf(desk.document()).uncertaintySeconds - 0.3e-6 / std::sqrt(3.0)) < 1e-15);
    choose(desk, "readoutDirection", 2);
    CHECK(readoutOf(desk.document()).direction == session::ReadoutDirection::LastRowFirst);

    desk.type(field, "fast");
    desk.key(Qt::Key_Tab);
    CHECK(desk.problems.size() == 1);
    CHECK(std::abs(readoutOf(desk.document()).lineTimeSeconds - 9.4e-6) < 1e-15);

    desk.model.undo(); // the last step of the direction
    REQUIRE(settled(desk.model));
    CHECK(readoutOf(desk.document()).direction == session::ReadoutDirection::FirstRowFirst);
    for (int i = 0; i < 4; ++i) { // the first one, tolerance, line time, all at once
        desk.model.undo();
        REQUIRE(settled(desk.model));
    }
    CHECK(readoutOf(desk.document()) == session::Readout{});
    CHECK(field->text().isEmpty());
}

TEST_CASE("a line time is measured from filmed bands and taken over", "[pages][clock]")
{
    const TempFolder folder;
    InFront<ui::ClockPage> desk{filmed(folder)};
    desk.type(desk.child<ui::CommitEdit>("bandFrequency"), "1871");
    desk.click(desk.child<QPushButton>("measureLineTime"));
    auto* use = desk.child<QPushButton>("useLineTime");
    REQUIRE(QTest::qWaitFor([&] { return use->isVisible(); }, 20000));
    CHECK(desk.child<QLabel>("lineTimeMeasured")->text().contains(QStringLiteral("from the last row up")));
    desk.click(use);
    const session::Readout& readout = readoutOf(desk.document());
    CHECK(readout.kind == session::ReadoutKind::LineTime);
    CHECK(std::abs(readout.lineTimeSeconds - lineTime) < 0.003 * lineTime); // 16 pictures of an encoded film
    CHECK(readout.uncertaintySeconds > 0);
    CHECK(readout.direction == session::ReadoutDirection::LastRowFirst);
    CHECK(readout.note == "bands of a light pulsed at 1871 a second in bands");
    CHECK(desk.problems.isEmpty());
    desk.model.undo();
    REQUIRE(settled(desk.model));
    CHECK(readoutOf(desk.document()).kind == session::ReadoutKind::Unknown);
}

TEST_CASE("bands that aren't there are told with the reason", "[pages][clock]")
{
    const TempFolder folder;
    InFront<ui::ClockPage> desk{filmed(folder)};
    desk.click(desk.child<QPushButton>("measureLineTime")); // without a frequency
    REQUIRE(desk.problems.size() == 1);
    CHECK(desk.problems.front().contains(QStringLiteral("how often a second the light is pulsed")));
    desk.type(desk.child<ui::CommitEdit>("bandFrequency"), "400"); // bands as wide as they are would take longer than a frame
    desk.click(desk.child<QPushButton>("measureLineTime"));
    auto* result = desk.child<QLabel>("lineTimeMeasured");
    REQUIRE(QTest::qWaitFor([&] { return result->isVisible() && result->text().contains(QStringLiteral("longer than a camera frame lasts")); }, 20000));
    CHECK_FALSE(desk.child<QPushButton>("useLineTime")->isVisible());
}
