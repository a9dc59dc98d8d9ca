#include "core/report/budget_table.h"
#include "core/analysis/results.h"
#include "core/report/sentences.h"
#include "small_session.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using Catch::WithinAbs;
using namespace analysis;
using namespace report;

// Radio pedal 41 ms (variance 0.5, T = 1 ms), pedal through hub 32.8 ms (5.2, T = 2 ms); both clocks share the
// generator (0.1 %), the radio's has its fit (0.2 %) besides.
TEST_CASE("any two configurations are compared by themselves, at the full level", "[report]")
{
    const small::Session s = small::session();
    const Results pair = pairOf(s.document, s.radio, s.hub);
    CHECK(pair.pair);
    CHECK(pair.comparisons == 1);
    CHECK(pair.baseline == s.hub);
    REQUIRE(pair.configurations.size() == 2);
    CHECK(pair.untagged == compute(s.document).untagged);
    const ConfigurationResult& radio = pair.configurations.front();
    REQUIRE(radio.comparison);
    const stats::Comparison& compared = *radio.comparison;
    CHECK_THAT(*compared.differenceMs, WithinAbs(8.2, 1e-9)); // sums by hand
    CHECK_THAT(compared.interval->level, WithinAbs(0.95, 1e-12));
    // 0.1 + 1.04, 1/12 + 4/12, (0.001 8.2)^2, (0.002 41)^2
    CHECK_THAT(compared.interval->uMs, WithinAbs(std::sqrt(1.14 + 5 / 12.0 + 0.0082 * 0.0082 + 0.082 * 0.082), 1e-9));
    CHECK(compared.verdict == stats::Verdict::Longer);
    CHECK(radio.checks.ranks);
    CHECK_THAT(radio.checks.ranks->level, WithinAbs(0.95, 1e-12));
    CHECK(compared.lines[0].label == "Radio pedal: scatter of 5 trials");
    CHECK(compared.lines[1].label == "Pedal through hub: scatter of 5 trials");

    CHECK_THAT(verdictWords(pair, radio), Contains("Longer by 8.2 ms"));
    std::string words;
    for (const std::string& sentence : verdictExplanation(pair, radio))
        words += sentence;
    for (const std::string& sentence : checkSentences(s.document, pair, radio))
        words += sentence;
    CHECK_THAT(words, Contains("Radio pedal minus Pedal through hub")
                          && Contains("none of the comparisons with the baseline that hold together"));
    CHECK_THAT(words, Contains("By ranks alone the shift from Pedal through hub is") && !Contains("the baseline by"));
    // The other way round it is the same with the other sign.
    const Results back = pairOf(s.document, s.hub, s.radio);
    CHECK_THAT(back.configurations.front().comparison->interval->low(), WithinAbs(-compared.interval->high(), 1e-9));
}

TEST_CASE("a pair with the baseline is the session's comparison at its own level", "[report]")
{
    const small::Session s = small::session();
    const stats::Comparison own = *pairOf(s.document, s.hub, s.wired).configurations.front().comparison;
    const Results results = compute(s.document);
    const stats::Comparison& family = *find(results, s.hub)->comparison;
    CHECK_THAT(own.interval->uMs, WithinAbs(family.interval->uMs, 1e-12));
    CHECK(own.interval->halfWidthMs < family.interval->halfWidthMs);
    REQUIRE(own.effort);
    REQUIRE(own.smallestResolvableMs);
    CHECK(*own.smallestResolvableMs < *family.smallestResolvableMs);
}

TEST_CASE("a pair without trials says so", "[report]")
{
    small::Session s = small::session();
    small::Builder b;
    b.document = s.document;
    const session::ConfigurationId empty = b.configuration("Spare pedal");
    const Results pair = pairOf(b.document, s.radio, empty);
    CHECK(verdictWords(pair, pair.configurations.front()) == "Spare pedal has no mean");
    const Results other = pairOf(b.document, empty, s.radio);
    CHECK(verdictWords(other, other.configurations.front()) == "No trials yet");
}
