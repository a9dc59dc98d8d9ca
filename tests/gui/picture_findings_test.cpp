#include "tests/footage/footage.h"
#include "tests/gui/clock_bench.h"
#include "tests/gui/pages_session.h"
#include "ui/clock/picture_findings.h"

#include <QTest>

using Verdict = timing::PictureRepeats::Verdict;

namespace {

footage::Spec handOverBench()
{
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 200;
    spec.camera.nominalRate = {240, 1};
    spec.scene.handSpeed = 1.5;
    spec.scene.presses = 1;
    spec.storage.barcode = false;
    spec.storage.bFrames = 0;
    spec.storage.quality = 16;
    spec.storage.playbackRate = {240, 1}; // stamps that claim 240 a second
    return spec;
}

/// A session with one capture of `film.mp4`, and what decodes it in the background.
struct Bench : ClockBench {
    ui::FootagePool pool;
    ui::PictureFindings findings{model, pool};
    QStringList told;

    explicit Bench(const footage::Spec& spec)
    {
        QObject::connect(&findings, &ui::PictureFindings::found, &pool,
                         [this](const QString& sentence) { told << sentence; });
        footage::make(spec, folder / "film.mp4");
        add({described("film.mp4")});
        open();
    }
    /// As the desk does; comes back when all of the film is decoded and looked at.
    bool decode()
    {
        pool.open(model.footagePath(capture(0)));
        return QTest::qWaitFor([&] { return capture(0).pictures || findings.known(capture(0)); }, 30'000)
               && pages_session::settled(model);
    }
};

} // namespace

TEST_CASE("pictures that repeat are noticed while the film is confirmed, dispute its clock, and undo takes that back",
          "[gui][clock]")
{
    footage::Spec spec = handOverBench();
    for (int k = 1; k < spec.camera.frames; k += 2)
        spec.camera.repeated.push_back(k);
    Bench bench(spec);
    REQUIRE(session::stateOf(bench.clockOf(0)) == session::ClockState::Proposed);
    REQUIRE(bench.decode());
    REQUIRE(bench.capture(0).pictures);
    CHECK(bench.capture(0).pictures->verdict == Verdict::Periodic);
    CHECK(bench.capture(0).pictures->period == 2);
    CHECK(session::stateOf(bench.clockOf(0)) == session::ClockState::InDispute);
    CHECK(bench.clockOf(0).evidence.back().rate.origin == timing::Origin::Pictures);
    REQUIRE(bench.told.size() == 1);
    CHECK(bench.told.front().contains(QLatin1String("this mode may really capture at 120 a second")));
    CHECK(bench.page->stateLine() == QLatin1String("1 clock in dispute"));
    auto* settle = bench.child<QPushButton>("settle");
    CHECK(settle->isEnabled());
    QTest::keyClick(bench.page.get(),
                    Qt::Key_Down); // from the stamps to the pictures, which no clock can be settled with
    CHECK_FALSE(settle->isEnabled());
    QTest::keyClick(bench.page.get(), Qt::Key_Up);
    CHECK(settle->isEnabled());

    bench.undo();
    CHECK_FALSE(bench.capture(0).pictures);
    CHECK(session::stateOf(bench.clockOf(0)) == session::ClockState::Proposed);
    bench.act([&](const session::Document& d) { return session::declareRate(d, bench.clockOf(0).id, 240, 0.03, ""); });
    CHECK_FALSE(bench.capture(0).pictures); // the analyst took it back: it doesn't come again by itself
    CHECK(bench.told.size() == 1);
    CHECK(bench.problems.isEmpty());
}

TEST_CASE("that all pictures add something is known to the clock page without an edit of the program's own",
          "[gui][clock]")
{
    Bench bench(handOverBench());
    bench.page->setPictureFindings(bench.findings);
    const QString undo = bench.model.undoLabel();
    REQUIRE(bench.decode());
    CHECK_FALSE(bench.capture(0).pictures);
    CHECK(bench.model.undoLabel() == undo);
    REQUIRE(bench.findings.known(bench.capture(0)));
    CHECK(bench.findings.known(bench.capture(0))->verdict == Verdict::AllAdd);
    bench.section("pictures");
    CHECK(bench.label("pictureWords").contains(QLatin1String("In 1 capture every camera frame shows something new")));
    CHECK(bench.told.isEmpty());

    bench.click("lookForRepeats"); // noted at once: nothing is left to decode
    REQUIRE(pages_session::settled(bench.model));
    REQUIRE(bench.capture(0).pictures);
    CHECK(bench.capture(0).pictures->verdict == Verdict::AllAdd);
    bench.undo();
    CHECK_FALSE(bench.capture(0).pictures);
    CHECK(bench.problems.isEmpty());
}
