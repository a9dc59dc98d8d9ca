#include "tests/filmed_lights.h"
#include "tests/gui/clock_bench.h"
#include "ui/clock/fit_plot.h"
#include "ui/controls/section_bar.h"
#include "ui/controls/row_list.h"
#include "ui/look/label.h"

#include <QComboBox>
#include <QTest>

namespace {

constexpr double trueRate = 239.4, lampFrequency = 9.7;

/// Four captures of one camera mode: three with nothing in them and the one that films the lamp. Their tag says 480.
class LampBench : public ClockBench {
public:
    LampBench()
    {
        const footage::Truth truth = footage::make(light_film::lamp(trueRate, lampFrequency, 30), folder / "lamp.mp4");
        std::vector<session::NewCapture> captures;
        for (const char* name : {"run one", "run two", "run three", "lamp"}) {
            captures.push_back(newCapture(name, "Bench camera, 240 mode", 480));
            captures.back().capture.path = "lamp.mp4";
            captures.back().capture.frames = {static_cast<std::int64_t>(truth.frames.size())};
        }
        add(captures);
        const session::Region lamp{{},           session::RegionKind::Lamp, "lamp",           truth.lamp.x,
                                   truth.lamp.y, truth.lamp.width,          truth.lamp.height};
        act([&](const session::Document& d) { return session::setRegion(d, capture(3).id, lamp); });
    }
    void findEdges()
    {
        section("fit");
        type("lampFrequency", QStringLiteral("9.7"));
        type("lampTolerance", QStringLiteral("50"));
        click("findEdges");
        waitForFit();
    }
    void waitForFit()
    {
        REQUIRE(
            QTest::qWaitFor([&] { return child<ui::Label>("fitResult")->isVisible() || !problems.isEmpty(); }, 30'000));
        REQUIRE(problems.isEmpty());
    }
    const session::Clock& clock() const { return *document().clocks.begin()->second; }
};

} // namespace

TEST_CASE("a calibration capture settles the clock of three others, a dispute is shown, undo brings it back",
          "[gui][clock]")
{
    LampBench bench;
    bench.open();
    REQUIRE(bench.model.document()->clocks.size() == 1);
    REQUIRE(bench.model.document()->captures.size() == 4);
    CHECK(session::stateOf(bench.clock()) == session::ClockState::Proposed);

    bench.findEdges();
    CHECK(bench.child<ui::Label>("fitResult")->text().contains(QLatin1String("59 of 59 edges used")));
    bench.click("takeReference");
    REQUIRE(bench.clock().evidence.size() == 2);
    const session::ClockEvidence* reference = session::proposedEvidence(bench.clock());
    REQUIRE(reference->rate.origin == timing::Origin::Reference);
    CHECK(std::abs(reference->rate.rate - trueRate) < 2 * reference->rate.rate * reference->rate.relativeUncertainty);
    CHECK(reference->rate.relativeUncertainty < 5e-4);
    CHECK(reference->errorSources.size() == 2);

    // The tag says twice as much: the page says so, and nothing is settled by that.
    CHECK(session::stateOf(bench.clock()) == session::ClockState::InDispute);
    CHECK(bench.page->stateLine().contains(QLatin1String("in dispute")));
    bool said = false;
    for (const ui::Label* label : bench.page->findChildren<ui::Label*>())
        said = said
               || (label->text().contains(QLatin1String("differ by"))
                   && label->text().contains(QLatin1String("ms apart")));
    CHECK(said);

    bench.click("settle");
    CHECK(session::stateOf(bench.clock()) == session::ClockState::Settled);
    CHECK(session::settledEvidence(bench.clock())->rate.origin
          == timing::Origin::Reference); // the best, as nobody chose another
    for (const auto& [id, capture] : bench.model.document()->captures)
        CHECK(capture->clock == bench.clock().id);

    bench.undo();
    CHECK(session::stateOf(bench.clock()) == session::ClockState::InDispute);
    bench.undo();
    CHECK(session::stateOf(bench.clock()) == session::ClockState::Proposed);
    CHECK(bench.problems.isEmpty());
}

TEST_CASE("from the evidence to a settled fit without the mouse", "[gui][clock]")
{
    LampBench bench;
    bench.open();
    bench.section("fit");
    const auto tabTo = [&](const QWidget* wanted) {
        for (int i = 0; i < 40 && !wanted->hasFocus(); ++i)
            bench.key(Qt::Key_Tab);
        REQUIRE(wanted->hasFocus());
    };
    bench.key(Qt::Key_Return); // into the section
    tabTo(bench.child<QLineEdit>("lampFrequency"));
    QTest::keyClicks(bench.page->focusWidget(), QStringLiteral("9.7"));
    tabTo(bench.child<QLineEdit>("lampTolerance"));
    QTest::keyClicks(bench.page->focusWidget(), QStringLiteral("50"));
    bench.key(Qt::Key_Return);
    bench.waitForFit();
    CHECK(bench.shows("fitPlot")); // beside its form, both to be seen
    CHECK(bench.shows("lampFrequency"));
    CHECK(bench.shows("settle"));
    tabTo(bench.child<QPushButton>("takeReference"));
    bench.key(Qt::Key_Space);
    REQUIRE(bench.clock().evidence.size() == 2);
    tabTo(bench.list("Evidence"));
    bench.key(Qt::Key_Return);
    REQUIRE(bench.clock().settled);
    CHECK(session::settledEvidence(bench.clock())->rate.origin == timing::Origin::Reference);
    CHECK(bench.problems.isEmpty());
}

TEST_CASE("an edge is left out and taken back by keys, and the fit follows", "[gui][clock]")
{
    LampBench bench;
    bench.open();
    bench.findEdges();
    auto* plot = bench.child<ui::FitPlot>("fitPlot");
    plot->setFocus();
    QTest::keyClick(plot, Qt::Key_Home);
    QTest::keyClick(plot, Qt::Key_Right);
    QTest::keyClick(plot, Qt::Key_Space);
    CHECK(bench.child<ui::Label>("fitResult")->text().contains(QLatin1String("58 of 58 edges used")));
    QTest::keyClick(plot, Qt::Key_Space);
    CHECK(bench.child<ui::Label>("fitResult")->text().contains(QLatin1String("59 of 59 edges used")));
}

TEST_CASE("a fit without a frequency is refused in one sentence", "[gui][clock]")
{
    LampBench bench;
    bench.open();
    bench.section("fit");
    bench.click("findEdges");
    REQUIRE(bench.problems.size() == 1);
    CHECK(bench.problems.front().contains(QLatin1String("frequency")));
}

TEST_CASE("without a lamp region the form says what is missing, in place of an empty box", "[gui][clock]")
{
    ClockBench bench;
    bench.add({ClockBench::newCapture("run", "mode", 240)});
    bench.open();
    bench.section("fit");
    auto* box = bench.child<QComboBox>("referenceCapture");
    CHECK(box->count() == 0);
    CHECK(box->currentIndex() == -1);
    CHECK(box->placeholderText() == QLatin1String("none with a lamp region yet"));
    CHECK(bench.shows("referenceState"));
    CHECK(bench.child<ui::Label>("referenceState")
              ->text()
              .contains(QLatin1String("No capture on this clock has a lamp")));
}
