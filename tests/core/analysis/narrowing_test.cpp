#include "core/analysis/narrowing.h"
#include "small_session.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using Catch::WithinAbs;
using namespace analysis;

namespace {

using Counts = std::vector<std::vector<std::int64_t>>;

/// Two configurations with a clock each at 1000 camera frames a second, a capture for each run.
struct Two {
    small::Builder b;
    session::ConfigurationId wired = b.configuration("Wired pedal"), radio = b.configuration("Radio pedal");
    session::ClockId wiredClock, radioClock;

    explicit Two(double clockU = 0)
        : wiredClock(b.clock("One camera", 1000, {b.source("one", clockU)})),
          radioClock(b.clock("Another camera", 1000, {b.source("another", clockU)}))
    {
        b.document.settings.plan.baseline = wired;
    }
    void take(const Counts& counts)
    {
        int number = 0;
        for (const auto& [id, clock] : {std::pair(wired, wiredClock), std::pair(radio, radioClock)})
            for (const auto& run : counts) {
                const std::string name = "run " + std::to_string(++number);
                const session::CaptureId capture = b.capture(name, clock);
                const session::RunId taken = b.run(name);
                std::int64_t press = 0;
                for (const std::int64_t count : run) {
                    press += 100;
                    b.trial(capture, id, taken, press, press + count);
                }
            }
    }
    std::optional<Narrowing> found() const
    {
        const Results results = compute(b.document);
        return narrowing(results, *find(results, radio));
    }
    std::string sentence() const
    {
        const Results results = compute(b.document);
        return narrowingReason(results, *find(results, radio)) + ' ' + narrowingStep(results, *find(results, radio));
    }
};

// Means 30.5, 33.5, 29.5, 32.5: variance 10/3.
const Counts shifting{{30, 31}, {33, 34}, {29, 30}, {32, 33}};

} // namespace

TEST_CASE("what narrows an interval of runs that differ is more runs, by as much as t and their number give",
          "[analysis]")
{
    Two two;
    two.take(shifting);
    const auto found = two.found();
    REQUIRE(found);
    CHECK(found->cause == Narrowing::Cause::Runs);
    CHECK(found->step == Narrowing::Step::MoreRuns);
    CHECK(found->runs == 4);
    CHECK(found->trialsPerRun == 2);
    // u^2 = 2 * 10/12; of it the trials' own part is 0.5 / 2 / 4 a side.
    CHECK_THAT(found->share, WithinAbs(1 - 2 * 0.0625 / (20.0 / 12), 1e-9));
    // 8 runs a side: half of the variance, and t with 14 degrees of freedom instead of 6 (R 4.2.2: qt(0.975, 14)).
    CHECK_THAT(found->halfWidthMs, WithinAbs(2.1447866879169273 * std::sqrt(20.0 / 12 / 2), 1e-9));
    CHECK(two.sentence()
          == "± 3.2 ms comes nearly all from what changes from run to run, drift included. 4 more runs of 2 trials of "
             "each would bring ± 3.2 ms to about ± 2.0 ms.");
}

TEST_CASE("where the clocks are in doubt, more runs aren't what is proposed", "[analysis]")
{
    Two two(0.1); // of some 31 ms, a clock for either side
    two.take({{30, 31}, {31, 30}, {30, 31}, {31, 30}});
    const auto found = two.found();
    REQUIRE(found);
    CHECK(found->cause == Narrowing::Cause::Clock);
    CHECK(found->step == Narrowing::Step::Clock);
    CHECK(found->share > 0.99);
    CHECK(found->halfWidthMs < 1);
    CHECK_THAT(two.sentence(), Catch::Contains("comes nearly all from the capture rate. A calibrated capture rate "
                                               "would bring ± ")
                                   && Catch::Contains(" to about ± 0."));
}

TEST_CASE("with fewer than 4 runs the first step is runs, and no width is promised", "[analysis]")
{
    Two two;
    two.take({{30, 31, 34}, {33, 34, 30}});
    const auto found = two.found();
    REQUIRE(found);
    CHECK(found->step == Narrowing::Step::FirstRuns);
    CHECK_THAT(two.sentence(),
               Catch::Contains("What changes from run to run isn't in ± ") && !Catch::Contains("would bring"));
}

TEST_CASE("nothing is said where there is no interval", "[analysis]")
{
    Two two;
    two.take({{30, 31}});
    CHECK_FALSE(two.found());
    CHECK(two.sentence() == " ");
    const Results results = compute(two.b.document);
    CHECK_FALSE(narrowing(results, *find(results, two.wired)));
}
