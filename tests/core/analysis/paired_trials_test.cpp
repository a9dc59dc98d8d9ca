#include "core/analysis/narrowing.h"
#include "core/analysis/results.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "small_session.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using Catch::WithinAbs;
using namespace analysis;

namespace {

/// One press shows on two screens of a capture; presses scatter by far more than what the screens differ by.
struct TwoScreens {
    small::Builder b;
    session::ConfigurationId cable = b.configuration("By cable"), radio = b.configuration("By radio");
    std::vector<session::TrialId> ofRadio;

    explicit TwoScreens(double clockU = 0, const std::array<std::int64_t, 8>& more = {3, 4, 3, 5, 3, 4, 4, 2})
    {
        b.document.settings.plan.baseline = cable;
        const session::ClockId clock = b.clock("Fast camera", 1000, {b.source("typed", clockU)});
        const std::int64_t cableCounts[] = {30, 44, 37, 52, 33, 41, 48, 35};
        for (int run = 0; run < 4; ++run) {
            const std::string name = "run " + std::to_string(run + 1);
            const session::CaptureId capture = b.capture(name, clock);
            const session::RunId taken = b.run(name);
            for (int i = 2 * run; i < 2 * run + 2; ++i) {
                const std::int64_t press = 100 + 200 * (i % 2);
                b.trial(capture, cable, taken, press, press + cableCounts[i]);
                ofRadio.push_back(b.trial(capture, radio, taken, press, press + cableCounts[i] + more[std::size_t(i)]));
            }
        }
    }
    stats::Comparison comparison() const
    {
        const Results results = compute(b.document);
        return *find(results, radio)->comparison;
    }
};

} // namespace

TEST_CASE("two screens of one press are compared pair by pair, and what that saves is said", "[analysis]")
{
    const TwoScreens s;
    const stats::Comparison found = s.comparison();
    CHECK(found.pairs);
    CHECK(found.partners == 8);
    CHECK_THAT(*found.differenceMs, WithinAbs(3.5, 1e-9));
    CHECK(found.basis == stats::Basis::Trials);
    // Differences 3 4 3 5 3 4 4 2: SD sqrt(6/7); each reaction's phase is one unknown a capture, 2/12 over 4 captures.
    CHECK_THAT(found.interval->uMs, WithinAbs(std::sqrt(6.0 / 7 / 8 + 2.0 / 12 / 4), 1e-9));
    CHECK(found.verdict == stats::Verdict::Longer);
    CHECK(found.apartHalfWidthMs > 5 * found.interval->halfWidthMs);
    const Results results = compute(s.b.document);
    std::string text;
    for (const std::string& sentence : report::verdictExplanation(results, *find(results, s.radio)))
        text += sentence;
    CHECK_THAT(text, Contains("Each trial shares its press with one of the baseline: pair by pair the difference is "
                              "known to ± ")
                         && Contains(", taken apart it would be ± "));
}

TEST_CASE("drift that both screens of a press share isn't named as what widens their difference", "[analysis]")
{
    const TwoScreens s(0, {2, 2, 5, 5, 2, 2, 5, 5});
    const Results results = compute(s.b.document);
    CHECK_THAT(narrowingReason(results, *find(results, s.radio)), Catch::EndsWith(" what changes from run to run."));
}

TEST_CASE("a clock's error enters a pair with what its two delays differ by", "[analysis]")
{
    const stats::Comparison found = TwoScreens(0.1).comparison();
    const auto clock = std::ranges::find(found.lines, stats::LineKind::Clock, &stats::BudgetLine::kind);
    REQUIRE(clock != found.lines.end());
    CHECK_THAT(clock->uMs, WithinAbs(0.35, 1e-9)); // a tenth of 3.5 ms
}

TEST_CASE("a trial without its partner takes all of them apart, and that is said", "[analysis]")
{
    TwoScreens s;
    s.b.reject(s.ofRadio[3], session::RejectReason::Hitch);
    const stats::Comparison found = s.comparison();
    CHECK_FALSE(found.pairs);
    CHECK(found.partners == 7);
    CHECK(found.verdict == stats::Verdict::NotResolved);
    const Results results = compute(s.b.document);
    std::string text;
    for (const std::string& sentence : report::verdictExplanation(results, *find(results, s.radio)))
        text += sentence;
    CHECK_THAT(text, Contains("7 of 7 trials share their press with one of the baseline: pairs are analysed where each "
                              "trial that counts has its partner."));
}
