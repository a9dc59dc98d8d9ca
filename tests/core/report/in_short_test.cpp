#include "core/report/in_short.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>

using Catch::Contains;
using namespace analysis;
using namespace report;

namespace {

InShort shortly(const session::Document& document, session::ConfigurationId id)
{
    const Results results = compute(document);
    return inShort(results, *find(results, id));
}

/// 20 trials of each in 4 runs with a capture each, 1000 camera frames a second.
struct Four {
    small::Builder b;
    session::ConfigurationId wired = b.configuration("Wired pedal"), radio = b.configuration("Radio pedal");

    explicit Four(std::int64_t longer, std::optional<double> marginMs = 2, std::int64_t apart = 0)
    {
        b.document.settings.plan.baseline = wired;
        b.document.settings.plan.marginMs = marginMs;
        const session::ClockId clock = b.clock("Fast camera", 1000, {b.source("typed", 0)});
        for (const session::ConfigurationId id : {wired, radio})
            for (int i = 0; i < 4; ++i) {
                const std::int64_t more = (id == radio ? longer : 0) + i % 2 * apart;
                const std::string name = std::to_string(id.value) + "_" + std::to_string(i);
                b.trials(b.capture(name, clock), id, b.run(name),
                         {29 + more, 30 + more, 31 + more, 30 + more, 30 + more});
            }
    }
};

} // namespace

// Figures as worked out in results_test.cpp.
TEST_CASE("what is added and how sure that is stands first, what is missing after it", "[report]")
{
    const small::Session s = small::session();
    CHECK(shortly(s.document, s.wired).says == "The baseline: 31.0 ± 1.9 ms.");
    const InShort radio = shortly(s.document, s.radio);
    CHECK(radio.says == "Adds 10.0 ms (7.7 to 12.3 with 95 % confidence).");
    CHECK(radio.missing == "Of these runs only: 4 runs of each would speak for others too.");
    CHECK(shortly(s.document, s.hub).says == "Can't be told apart yet (\u22121.7 to +5.3 ms with 95 % confidence).");
}

TEST_CASE("inner marks stand only where they aren't the interval's own ends", "[report]")
{
    stats::Comparison comparison;
    comparison.interval = comparison.equivalence = stats::expand(0, {1, 5}, 0.98);
    CHECK_FALSE(innerMarks(comparison));
    comparison.equivalence = stats::expand(0, {1, 5}, 0.96);
    CHECK(innerMarks(comparison)->high() < comparison.interval->high());
}

TEST_CASE("each verdict is put plainly", "[report]")
{
    CHECK_THAT(shortly(Four(7).b.document, Four(7).radio).says, Catch::StartsWith("Adds 7.") && Contains(" to 7."));
    CHECK_THAT(shortly(Four(-7).b.document, Four(-7).radio).says,
               Catch::StartsWith("Takes off 7.") && Contains("(6.") && Contains(" to 7."));
    CHECK_THAT(shortly(Four(1).b.document, Four(1).radio).says, Catch::EndsWith(", less than the 2 ms that matter."));
    CHECK(shortly(Four(0).b.document, Four(0).radio).says
          == "The same as Wired pedal to within 2 ms with 95 % confidence.");
}

TEST_CASE("what would narrow an interval most is named with what it brings", "[report]")
{
    const Four s(1, 2, 4);
    const InShort radio = shortly(s.b.document, s.radio);
    CHECK_THAT(radio.says, Catch::StartsWith("Can't be told apart yet"));
    CHECK_THAT(radio.missing,
               Catch::StartsWith("4 more runs of 5 trials of each would bring ± ") && Contains(" to about ± "));
}

TEST_CASE("without a difference it says why", "[report]")
{
    small::Session s = small::session();
    for (const session::Trial* trial : trialsOf(s.document, s.radioCapture))
        if (countingReading(*trial)->press->frame.value > 200)
            s.document.trials.erase(trial->id);
    const InShort few = shortly(s.document, s.radio);
    CHECK(few.says == "Too few trials to tell: 2 here and 5 of Wired pedal, where it takes 5 of either.");
    CHECK_THAT(few.missing, Catch::StartsWith("Interim: 2 of 5 planned trials."));

    s.document.settings.plan.baseline = {};
    CHECK(shortly(s.document, s.wired).says == "31.0 ± 1.9 ms; no baseline is chosen to compare it with.");
    s.document.trials.clear();
    CHECK(shortly(s.document, s.wired).says == "No trials yet.");
}
