#include "core/analysis/trial_outcome.h"
#include "tests/footage/footage.h"
#include "tests/gui/clock_bench.h"
#include "tests/tag_boxes.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/row_list.h"
#include "ui/look/label.h"

#include <QTest>

TEST_CASE("boundaries between speeds are taken out, put in and undone on the clock page", "[gui][clock]")
{
    ClockBench bench;
    session::NewCapture ramped = ClockBench::newCapture("ramped", "Phone, 240 mode", 240);
    ramped.capture.pieces = {{0, {}, true, 1 / 240.0}, {301, {}, true, 1 / 30.0}, {700, {}, true, 1 / 240.0}};
    bench.add({ramped});
    bench.open();
    bench.section("pieces");
    auto* list = bench.child<ui::RowList>("pieces");
    REQUIRE(list->count() == 3);
    CHECK(list->item(1)->text().contains(QLatin1String("Frames 301 to 699, stamps 33.33 ms apart, Phone, 240 mode")));
    CHECK_FALSE(bench.child<QPushButton>("removePiece")->isEnabled());

    list->setFocus();
    QTest::keyClick(list, Qt::Key_Down);
    QTest::keyClick(list, Qt::Key_Down);
    if (list->currentRow() == 1)
        QTest::keyClick(list, Qt::Key_Down);
    REQUIRE(list->currentRow() == 2);
    CHECK(bench.child<QPushButton>("pieceHere")->isEnabled());
    bench.click("pieceHere");
    CHECK(session::clockAt(bench.capture(0), {800}) == bench.capture(0).clock);
    bench.click("removePiece");
    CHECK(bench.capture(0).pieces.size() == 2);
    bench.undo();
    CHECK(bench.capture(0).pieces.size() == 3);

    bench.click("removePieces");
    CHECK(bench.capture(0).pieces.empty());
    CHECK_FALSE(bench.child<ui::RowList>("pieces")->isVisible());
    bench.undo();
    CHECK(bench.capture(0).pieces.size() == 3);
    bench.click("removePieces");

    bench.type("pieceFrame", QStringLiteral("450"));
    bench.click("addPiece");
    REQUIRE(bench.capture(0).pieces.size() == 2);
    CHECK(bench.capture(0).pieces[1].firstFrame.value == 450);
    CHECK(bench.problems.isEmpty());
    bench.type("pieceFrame", QStringLiteral("1000"));
    bench.click("addPiece");
    REQUIRE(bench.problems.size() == 1);
    CHECK(bench.problems.front().contains(QLatin1String("from 1 to 999")));
}

TEST_CASE("two events and counted refreshes give references that share the error of what they rest on", "[gui][clock]")
{
    ClockBench bench;
    bench.add({ClockBench::newCapture("one", "First camera, 240 mode", 240),
               ClockBench::newCapture("two", "Second camera, 480 mode", 480)});
    bench.open();
    bench.section("events");
    bench.type("eventFirst", QStringLiteral("100"));
    bench.type("eventSecond", QStringLiteral("580"));
    bench.type("eventApart", QStringLiteral("2"));
    bench.type("eventTolerance", QStringLiteral("100"));
    bench.type("eventName", QStringLiteral("the bench timer"));
    CHECK(bench.label("eventResult")
              .startsWith(QLatin1String("240.00 camera frames a second; 95 % interval 239.42 to 240.58")));
    bench.click("eventTake");
    const session::ClockEvidence& first = *session::proposedEvidence(bench.clockOf(0));
    REQUIRE(first.rate.origin == timing::Origin::Reference);
    CHECK(first.rate.rate == 240);
    REQUIRE(first.errorSources.size() == 2);
    const session::ErrorSourceId timer = first.errorSources[1];
    CHECK(session::find(*bench.model.document(), timer)->name == "distance of the events of the bench timer");

    // The same timer before the other camera: its error is shared, though it is called otherwise there.
    bench.key(Qt::Key_PageDown);
    bench.type("eventFirst", QStringLiteral("10"));
    bench.type("eventSecond", QStringLiteral("970"));
    bench.type("eventName", QStringLiteral("timer"));
    bench.pick("eventShared", 2);
    bench.click("eventTake");
    const session::ClockEvidence& second = *session::proposedEvidence(bench.clockOf(1));
    REQUIRE(second.errorSources.size() == 2);
    CHECK(second.errorSources[1] == timer);
    CHECK(second.rate.rate == 480);

    // By refreshes, in its place, and back.
    bench.section("refreshes");
    bench.type("refreshFirst", QStringLiteral("10"));
    bench.type("refreshSecond", QStringLiteral("490"));
    bench.type("refreshApart", QStringLiteral("144"));
    bench.type("refreshRate", QStringLiteral("144.0"));
    bench.click("refreshTake");
    CHECK_THAT(session::proposedEvidence(bench.clockOf(1))->rate.note,
               Catch::Contains("144 refreshes at 144.0 Hz, frames 10 and 490 of two"));
    bench.undo();
    CHECK(session::proposedEvidence(bench.clockOf(1))->errorSources[1] == timer);
    CHECK(bench.problems.isEmpty());

    bench.section("events");
    bench.type("eventSecond", QStringLiteral("5"));
    CHECK(bench.label("eventResult").contains(QLatin1String("has to come after the earlier one")));
    CHECK_FALSE(bench.child<QPushButton>("eventTake")->isEnabled());
}

TEST_CASE("the page says how long to film, and warns of a lamp near a simple fraction of the rate", "[gui][clock]")
{
    ClockBench bench;
    bench.add({ClockBench::newCapture("one", "First camera, 240 mode", 240)});
    bench.open();
    bench.section("plan");
    bench.type("planFrequency", QStringLiteral("9.7"));
    bench.click("planReference");
    REQUIRE(
        QTest::qWaitFor([&] { return bench.label("planResult").startsWith(QLatin1String("Film at least")); }, 10'000));
    CHECK_FALSE(bench.label("planResult").contains(QLatin1String("simple fraction")));
    bench.type("planFrequency", QStringLiteral("10"));
    bench.click("planReference");
    REQUIRE(
        QTest::qWaitFor([&] { return bench.label("planResult").contains(QLatin1String("simple fraction")); }, 10'000));
    CHECK(bench.label("planResult").contains(QLatin1String("Hz is better")));
    bench.type("planTolerance", QStringLiteral("1000"));
    bench.click("planReference");
    REQUIRE(QTest::qWaitFor(
        [&] { return bench.label("planResult").startsWith(QLatin1String("This lamp can't give it")); }, 10'000));
}

TEST_CASE("a ramped film comes in with its pieces, a phone's varying stamps as the times of its frames", "[gui][clock]")
{
    ClockBench bench;
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 300;
    spec.camera.nominalRate = {240, 1};
    spec.storage.playbackRate = {240, 1};
    spec.storage.speeds = {{101, {30, 1}}, {221, {240, 1}}};
    footage::make(spec, bench.folder / "ramped.mp4");
    // A variable rate: real times, 240 a second with every second frame left out for a while.
    footage::Spec phone = spec;
    phone.storage.speeds.clear();
    phone.storage.stamps = footage::StampKind::RealTime;
    phone.storage.stampJitter = 2e-4;
    for (int k = 150; k < 300; k += 2)
        phone.camera.missing.push_back(k);
    footage::make(phone, bench.folder / "phone.mp4");
    bench.add({bench.described("ramped.mp4"), bench.described("phone.mp4")});

    const session::Capture& ramped = bench.capture(0);
    REQUIRE(ramped.pieces.size() == 3);
    CHECK(ramped.pieces[1].firstFrame.value == 101);
    CHECK(ramped.pieces[2].firstFrame.value == 221);
    CHECK(ramped.pieces[1].clock == ramped.clock);
    const session::Clock& atOnce = *session::find(*bench.model.document(), ramped.pieces[0].clock);
    REQUIRE(atOnce.evidence.size() == 1); // 240 a second is faster than any playback
    CHECK(std::abs(atOnce.evidence.front().rate.rate - 240) < 0.1);

    const session::Capture& real = bench.capture(1);
    CHECK(real.pieces.empty());
    CHECK(std::ssize(real.stampSeconds) == real.frames.value);
    CHECK(bench.clockOf(1).stamped);
    REQUIRE(session::proposedEvidence(bench.clockOf(1)));
    CHECK(session::proposedEvidence(bench.clockOf(1))->rate.origin == timing::Origin::Stamps);

    bench.open();
    bench.section("stamps");
    REQUIRE(QTest::qWaitFor([&] { return bench.child<ui::Label>("stampRuns")->isVisible(); }, 20'000));
    CHECK(bench.label("stampRuns").contains(QLatin1String("from frame 101: 120 of 33.333 ms")));
    auto* source = bench.child<ui::ChoiceBox>("timeSource");
    CHECK(source->currentIndex() == 0);
    bench.pick("timeSource", 1); // the analyst says so of the ramped one, too
    CHECK(bench.clockOf(0).stamped);
    bench.undo();
    CHECK_FALSE(bench.clockOf(0).stamped);
    CHECK(source->currentIndex() == 0);
    CHECK(bench.problems.isEmpty());
}

TEST_CASE("a look at the pictures finds that every second one repeats, and goes into the session as one edit",
          "[gui][clock]")
{
    ClockBench bench;
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 300;
    spec.camera.nominalRate = {240, 1};
    spec.storage.barcode = false;
    spec.scene.handSpeed = 1.5; // something that moves clearly is what repeats are told by
    spec.scene.presses = 1;
    spec.storage.bFrames = 0;
    spec.storage.quality = 16;
    footage::make(spec, bench.folder / "real.mp4");
    for (int k = 1; k < spec.camera.frames; k += 2)
        spec.camera.repeated.push_back(k);
    const footage::Truth truth = footage::make(spec, bench.folder / "doubled.mp4");
    for (const char* name : {"doubled.mp4", "real.mp4"}) {
        session::NewCapture added = ClockBench::newCapture(name, "One mode", 240);
        added.capture.path = name;
        added.capture.frames = {300};
        bench.add({added});
    }
    session::Region lamp{{},           session::RegionKind::Lamp, "lamp",           truth.lamp.x,
                         truth.lamp.y, truth.lamp.width,          truth.lamp.height};
    bench.act([&](const session::Document& d) { return session::setRegion(d, bench.capture(0).id, lamp); });
    bench.open();
    bench.section("pictures");
    CHECK(bench.label("pictureWords").startsWith(QLatin1String("Nobody has looked yet")));
    bench.click("lookForRepeats");
    REQUIRE(QTest::qWaitFor([&] { return bench.capture(0).pictures && bench.capture(1).pictures; }, 120'000));
    CHECK(bench.capture(0).pictures->verdict == timing::PictureRepeats::Verdict::Periodic);
    CHECK(bench.capture(0).pictures->period == 2);
    CHECK(bench.capture(1).pictures->verdict == timing::PictureRepeats::Verdict::AllAdd);
    CHECK(session::stateOf(bench.clockOf(0)) == session::ClockState::InDispute);
    CHECK(bench.clockOf(0).evidence.back().rate.rate == 120);
    CHECK(bench.label("pictureWords")
              .contains(QLatin1String("doubled.mp4: Of every 2 camera frames only 1 shows something new: this mode may "
                                      "really capture at 120 a second.")));
    bench.undo();
    CHECK_FALSE(bench.capture(0).pictures);
    CHECK_FALSE(bench.capture(1).pictures);
    CHECK(session::stateOf(bench.clockOf(0)) == session::ClockState::Proposed);

    bench.type("blinkFrequency", QStringLiteral("20"));
    bench.click("blinkTest");
    REQUIRE(bench.problems.size() == 1);
    CHECK(bench.problems.front().contains(QLatin1String("from 96 to below 120 Hz")));
    bench.type("blinkFrequency", QStringLiteral("117.3"));
    bench.click("blinkTest");
    REQUIRE(QTest::qWaitFor([&] { return bench.capture(0).pictures.has_value(); }, 30'000));
    CHECK(bench.capture(0).pictures->byLamp);
}

TEST_CASE("slow-motion segments of a film make pieces: within one a delay is told, across there is none",
          "[gui][clock]")
{
    ClockBench bench;
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 300;
    spec.camera.nominalRate = {240, 1};
    const footage::Truth truth = footage::make(spec, bench.folder / "slowed.mp4"); // stored at 30 a second
    tag_boxes::addToMovie(bench.folder / "slowed.mp4", tag_boxes::slowMotionBox(12));
    tag_boxes::append(bench.folder / "slowed.mp4",
                      tag_boxes::slowMotionTail("3367:7367:4")); // frames 101 to 220, 8 times slower
    bench.add({bench.described("slowed.mp4")});
    const session::Capture& slowed = bench.capture(0);
    REQUIRE(slowed.pieces.size() == 3);
    CHECK(slowed.pieces[1].firstFrame.value == 101);
    CHECK(slowed.pieces[1].slowedBy == 8);
    CHECK(slowed.pieces[2].firstFrame.value == 221);
    CHECK(slowed.pieces[1].clock == slowed.clock); // of the mode, for that is what the tag speaks of
    CHECK(slowed.pieces[0].clock == slowed.pieces[2].clock);
    REQUIRE(bench.clockOf(0).evidence.size() == 1);
    CHECK(bench.clockOf(0).evidence.front().rate.rate == 240);
    const session::ClockId usual = slowed.pieces[0].clock;
    CHECK(session::stateOf(*session::find(bench.document(), usual)) == session::ClockState::Unknown);
    CHECK(std::ranges::any_of(
        slowed.notes, [](const std::string& note) { return note.find("slow-motion tag") != std::string::npos; }));

    bench.open();
    bench.section("pieces");
    CHECK(bench.child<ui::RowList>("pieces")->item(1)->text().contains(
        QLatin1String("Frames 101 to 220, stamps 33.33 ms apart, tag: 8 times slower")));
    bench.act([&](const session::Document& d) {
        return session::settleClock(d, slowed.clock, bench.clockOf(0).evidence.front().id, "tag");
    });
    bench.act([](const session::Document& d) {
        session::Configuration configuration;
        configuration.name = "Direct";
        return session::addConfiguration(d, configuration);
    });
    const auto outcome = [&](std::int64_t press, std::int64_t response) {
        session::Trial trial;
        trial.id = session::TrialId{1'000'000};
        trial.capture = bench.capture(0).id;
        trial.configuration = bench.document().configurations.begin()->first;
        session::Reading reading;
        reading.id = session::ReadingId{1'000'001};
        reading.press = session::Mark{press, {}, {}};
        reading.response = session::Mark{response, {}, {}};
        reading.accepted = true;
        trial.readings = {reading};
        return analysis::trialOutcome(bench.document(), trial);
    };
    const analysis::TrialOutcome inside = outcome(110, 134);
    REQUIRE(inside.state == analysis::TrialState::Counts);
    CHECK(std::abs(inside.delay->delay.count() - (truth.frames[134].time - truth.frames[110].time) * 1000)
          < 1e-3);                                                // truth is kept in microseconds
    CHECK(outcome(10, 34).state != analysis::TrialState::Counts); // nothing says at what rate these were captured
    const analysis::TrialOutcome across = outcome(90, 114);
    CHECK(across.state == analysis::TrialState::NoDelay);
    CHECK_THAT(across.sentence,
               Catch::Contains("At frame 101") && Catch::Contains("slow-motion tag asks for another speed"));

    // The camera ran evenly and only playback changes: the boundaries go, and come back with undo.
    bench.click("removePieces");
    CHECK(bench.capture(0).pieces.empty());
    CHECK(outcome(90, 114).state == analysis::TrialState::Counts);
    bench.undo();
    CHECK(bench.capture(0).pieces.size() == 3);
    CHECK(bench.problems.isEmpty());
}

TEST_CASE("delays within a piece of ramped films are true, across pieces there are none", "[gui][clock]")
{
    ClockBench bench;
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 640;
    spec.camera.nominalRate = {240, 1};
    std::vector<std::int64_t> boundaries;
    const bool dropped = GENERATE(false, true);
    if (dropped) { // before and after the slow part only every eighth frame is kept, and all play at 30 a second
        for (int k = 0; k < 640; ++k)
            if ((k < 240 || k >= 400) && k % 8 != 0)
                spec.camera.missing.push_back(k);
        spec.storage.stampsShowGaps = false;
        boundaries = {31, 190}; // frame 30 is place 240; 160 kept frames; the step to frame 190 is place 400
    } else {                    // all are kept, the middle plays slowly
        spec.storage.playbackRate = {240, 1};
        spec.storage.speeds = {{241, {30, 1}}, {401, {240, 1}}};
        boundaries = {241, 401};
    }
    const footage::Truth truth = footage::make(spec, bench.folder / "film.mp4");
    bench.add({bench.described("film.mp4")});
    const session::CaptureId id = bench.capture(0).id;
    CHECK(bench.capture(0).pieces.empty() == dropped); // even stamps can't show what was dropped
    if (dropped)
        for (const std::int64_t boundary : boundaries)
            bench.act([&](const session::Document& d) { return session::addPiece(d, id, {boundary}); });
    REQUIRE(bench.capture(0).pieces.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        const session::ClockId clock = bench.capture(0).pieces[i].clock;
        if (session::find(*bench.model.document(), clock)->settled)
            continue; // the third piece steps as the first
        const double rate = dropped && i != 1 ? 30 : 240;
        bench.act([&](const session::Document& d) { return session::declareRate(d, clock, rate, 1e-4, {}); });
        const auto& evidence = session::find(*bench.model.document(), clock)->evidence;
        const auto declared =
            std::ranges::find_if(evidence, [](const auto& e) { return e.rate.origin == timing::Origin::Declared; });
        bench.act(
            [&](const session::Document& d) { return session::settleClock(d, clock, declared->id, "camera setting"); });
    }
    bench.act([](const session::Document& d) {
        session::Configuration configuration;
        configuration.name = "Direct";
        return session::addConfiguration(d, configuration);
    });
    const auto outcome = [&](std::int64_t press, std::int64_t response) {
        session::Trial trial;
        trial.id = session::TrialId{1'000'000};
        trial.capture = id;
        trial.configuration = bench.model.document()->configurations.begin()->first;
        session::Reading reading;
        reading.id = session::ReadingId{1'000'001};
        reading.press = session::Mark{press, {}, {}};
        reading.response = session::Mark{response, {}, {}};
        reading.accepted = true;
        trial.readings = {reading};
        return analysis::trialOutcome(*bench.model.document(), trial);
    };
    const auto isTrue = [&](std::int64_t press, std::int64_t response) {
        const analysis::TrialOutcome found = outcome(press, response);
        REQUIRE(found.state == analysis::TrialState::Counts);
        const double ms =
            (truth.frames[static_cast<std::size_t>(response)].time - truth.frames[static_cast<std::size_t>(press)].time)
            * 1000;
        CHECK(std::abs(found.delay->delay.count() - ms) < 1e-3); // truth is kept in microseconds
    };
    isTrue(5, boundaries[0] - 1);
    isTrue(boundaries[0] + 1, boundaries[1] - 1);
    isTrue(boundaries[1] + 1, boundaries[1] + 20);
    const analysis::TrialOutcome across = outcome(boundaries[0] - 5, boundaries[0] + 5);
    CHECK(across.state == analysis::TrialState::NoDelay);
    CHECK_THAT(across.sentence, Catch::Contains("frame " + std::to_string(boundaries[0])));
    CHECK(outcome(boundaries[1], boundaries[1] + 5).state == analysis::TrialState::NoDelay);
}
