#include "core/stats/comparison.h"
#include "tests/outside/published_values.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

namespace {

std::vector<double> upTo(int first, int last)
{
    std::vector<double> values;
    for (int v = first; v <= last; ++v)
        values.push_back(v);
    return values;
}

/// `n` values, odd, with exactly this mean and SD: one in the middle, the others at one SD to either side.
std::vector<double> withSummary(int n, double mean, double sd)
{
    std::vector<double> values{mean};
    for (int i = 1; i < n; ++i)
        values.push_back(i % 2 ? mean + sd : mean - sd);
    return values;
}

Comparison welch(const std::vector<double>& x, const std::vector<double>& y, double alpha = 0.05,
                 std::optional<double> margin = {})
{
    return compare(plainTrials(x), plainTrials(y), {}, {alpha, 1, margin, std::nullopt});
}

double t(const Comparison& c) { return *c.differenceMs / c.interval->uMs; }

constexpr double twelveDigits = 1e-11; // references carry 12 significant digits

} // namespace

TEST_CASE("without camera and clock a comparison is Welch's", "[outside]")
{
    // Source: R 4.2.2 manual of t.test, example t.test(extra ~ group, data = sleep): t -1.8608, df 17.776,
    // 95 % interval -3.3654832 to 0.2054832; further digits from the same call.
    const Comparison c = welch(sleepFirst, sleepSecond);
    CHECK_THAT(t(c), WithinRel(-1.86081346749, twelveDigits));
    CHECK_THAT(c.interval->dof, WithinRel(17.7764735162, twelveDigits));
    CHECK_THAT(c.interval->low(), WithinRel(-3.36548323071, twelveDigits));
    CHECK_THAT(c.interval->high(), WithinRel(0.205483230712, twelveDigits));
    CHECK(c.verdict == Verdict::NotResolved);
}

TEST_CASE("trials that share their press are compared as Student's pairs", "[outside]")
{
    // Source: R 4.2.2 manual of t.test, the paired example of the sleep data (Student 1908, Biometrika 6:1): t -4.0621,
    // df 9, p 0.002833, 95 % interval -2.4598858 to -0.7001142; further digits from the same call.
    std::vector<Observation> first = plainTrials(sleepFirst), second = plainTrials(sleepSecond);
    for (std::size_t i = 0; i < first.size(); ++i)
        first[i].pairKey = second[i].pairKey = static_cast<int>(i) + 1;
    const Comparison c = compare(first, second, {}, {0.05, 1, std::nullopt, std::nullopt});
    CHECK(c.pairs);
    CHECK(c.partners == 10);
    CHECK_THAT(t(c), WithinRel(-4.06212768338, twelveDigits));
    CHECK(c.interval->dof == 9);
    CHECK_THAT(*c.differenceMs, WithinAbs(-1.58, 1e-12));
    CHECK_THAT(c.interval->low(), WithinRel(-2.45988576328, twelveDigits));
    CHECK_THAT(c.interval->high(), WithinRel(-0.700114236723, twelveDigits));
    CHECK(c.verdict == Verdict::Shorter);
    // Apart they are Welch's (above), and tell nothing.
    CHECK_THAT(c.apartHalfWidthMs, WithinRel((0.205483230712 + 3.36548323071) / 2, twelveDigits));

    first.back().pairKey = 0; // one without its partner
    const Comparison apart = compare(first, second, {}, {0.05, 1, std::nullopt, std::nullopt});
    CHECK_FALSE(apart.pairs);
    CHECK(apart.partners == 9);
    CHECK_THAT(apart.interval->low(), WithinRel(-3.36548323071, twelveDigits));
}

TEST_CASE("the interval at 1 minus a published p-value just touches 0", "[outside]")
{
    // Source: R 4.2.2 manual of t.test: t.test(1:10, y = c(7:20)) has p = .00001855, with 200 added to y p = .1245;
    // t and df from the same calls. Sleep: p 0.0793941401874.
    std::vector<double> outlier = upTo(7, 20);
    outlier.push_back(200);
    struct Row {
        std::vector<double> x, y;
        double t, dof, p;
    };
    const Row row = GENERATE_COPY(values<Row>({
        {upTo(1, 10), upTo(7, 20), -5.43492976389, 21.9822123402, 1.85528183251e-05},
        {upTo(1, 10), outlier, -1.6329026332, 14.164598953, 0.12451349809},
        {sleepFirst, sleepSecond, -1.86081346749, 17.7764735162, 0.0793941401874},
    }));
    const Comparison c = welch(row.x, row.y, row.p);
    CHECK_THAT(t(c), WithinRel(row.t, 1e-10)); // 11 digits given
    CHECK_THAT(c.interval->dof, WithinRel(row.dof, 1e-10));
    CHECK_THAT(c.interval->high(), WithinAbs(0, 1e-8 * c.interval->halfWidthMs));
}

TEST_CASE("miles per gallon of American and Japanese cars, from their summaries", "[outside]")
{
    // Source: NIST/SEMATECH e-Handbook 1.3.5.3, data set AUTO83B: n 249, 79; means 20.14458, 30.48101;
    // SDs 6.41470, 6.10771. Welch's t -12.94627 and 136.87499 degrees of freedom are printed in the two-sample t
    // example of Boost.Math.
    const Comparison c = welch(withSummary(249, 20.14458, 6.41470), withSummary(79, 30.48101, 6.10771));
    CHECK_THAT(t(c), WithinAbs(-12.94627, 1e-4)); // the summaries carry 5 decimals
    CHECK_THAT(c.interval->dof, WithinAbs(136.87499, 1e-3));
    CHECK_THAT(t(c), WithinRel(-12.9462675657, 1e-10));
    CHECK_THAT(c.interval->dof, WithinRel(136.874990094, 1e-10));
    CHECK_THAT(c.interval->factor, WithinRel(1.97744730468, 1e-10));
    CHECK(c.verdict == Verdict::Shorter);
}

TEST_CASE("speed of light, first against fourth experiment", "[outside]")
{
    // Source of the data: Michelson 1879 (data set morley of R); expected values by t.test of R 4.2.2.
    const std::vector<double> first(michelson.begin(), michelson.begin() + 20),
        fourth(michelson.begin() + 60, michelson.begin() + 80);
    const Comparison c = welch(first, fourth);
    CHECK_THAT(t(c), WithinRel(3.2739095649, 1e-10));
    CHECK_THAT(c.interval->dof, WithinRel(30.2379793348, 1e-10));
    CHECK_THAT(c.interval->low(), WithinRel(33.3117065468, 1e-10));
    CHECK_THAT(c.interval->high(), WithinRel(143.688293453, 1e-10));
    CHECK(c.verdict == Verdict::Longer);
}

TEST_CASE("paired differences are a mean with its budget", "[outside]")
{
    // Source: R 4.2.2 manual of t.test, paired sleep data: mean 1.58, 95 % interval 0.7001142 to 2.4598858, df 9; SE
    // and the 90 % interval from the same data.
    std::vector<double> differences;
    for (std::size_t i = 0; i < sleepFirst.size(); ++i)
        differences.push_back(sleepSecond[i] - sleepFirst[i]);
    const Expanded wide = *meanBudget(plainTrials(differences), {}, 0.95).overTrials->interval;
    CHECK_THAT(wide.estimateMs, WithinRel(1.58, 1e-14));
    CHECK_THAT(wide.uMs, WithinRel(0.388958723888, twelveDigits));
    CHECK(wide.dof == 9);
    CHECK_THAT(wide.low(), WithinRel(0.700114236723, twelveDigits));
    CHECK_THAT(wide.high(), WithinRel(2.45988576328, twelveDigits));
    const Expanded narrow = *meanBudget(plainTrials(differences), {}, 0.90).overTrials->interval;
    CHECK_THAT(narrow.low(), WithinRel(0.866994732971, twelveDigits));
    CHECK_THAT(narrow.high(), WithinRel(2.29300526703, twelveDigits));
}

TEST_CASE("equivalence of two groups from their summaries", "[outside]")
{
    // Source: documentation of the R package TOSTER, replication example: means 5.25, 5.22; SDs 0.95, 0.83; n 95, 89.
    // Welch's form with bounds +-0.384: df 181.134367161, t against the upper bound -2.69605638310,
    // lower 3.15301509210, p 0.0038 at most: equivalent at 5 %.
    const Comparison c = welch(withSummary(95, 5.25, 0.95), withSummary(89, 5.22, 0.83), 0.05, 0.384);
    CHECK_THAT(c.equivalence->dof, WithinRel(181.134367161, 1e-10));
    CHECK_THAT((*c.differenceMs - 0.384) / c.equivalence->uMs, WithinRel(-2.69605638310, 1e-10));
    CHECK_THAT((*c.differenceMs + 0.384) / c.equivalence->uMs, WithinRel(3.15301509210, 1e-10));
    CHECK_THAT(c.equivalence->level, WithinAbs(0.90, 1e-15));
    CHECK(c.verdict == Verdict::SameWithinMargin);
    // At the test's own p the interval just touches its bound.
    const Comparison touching =
        welch(withSummary(95, 5.25, 0.95), withSummary(89, 5.22, 0.83), 0.00383899428324, 0.384);
    CHECK_THAT(touching.equivalence->high(), WithinAbs(0.384, 1e-9));
}

TEST_CASE("same within the margin exactly where two one-sided tests say so", "[outside]")
{
    // Sleep data (Student 1908), Welch's form: bounds +-3: p 0.0559789145322, not shown, 90 % interval from
    // -3.05338149733; bounds +-3.5: p 0.0182653604627, shown. By R 4.2.2.
    const Comparison three = welch(sleepFirst, sleepSecond, 0.05, 3.0);
    CHECK(three.verdict == Verdict::NotResolved);
    CHECK_THAT(three.equivalence->low(), WithinRel(-3.05338149733, twelveDigits));
    CHECK(welch(sleepFirst, sleepSecond, 0.05, 3.5).verdict == Verdict::SameWithinMargin);
    CHECK_THAT(welch(sleepFirst, sleepSecond, 0.0559789145322, 3.0).equivalence->low(), WithinAbs(-3, 1e-9));
}

TEST_CASE("trials needed and smallest difference agree with published power", "[outside]")
{
    // Source: Cohen (1988), Statistical Power Analysis, 2nd ed. (from memory): d 0.5, power 0.80, two-sided 5 %: 64 in
    // each group; power.t.test of R 4.2.2 gives 63.77.
    const Comparison medium = welch(withSummary(21, 0, 1), withSummary(21, 0, 1), 0.05, 0.5);
    REQUIRE(medium.effort->toResolve);
    CHECK(medium.effort->toResolve->trials == 64);
    // 20 in each group, power 0.8: 0.909130127627 SD by the noncentral t (R 4.2.2 power.t.test). The sum of two t
    // quantiles used here is within 0.1 % of it.
    CHECK_THAT(*welch(withSummary(21, 0, 1), withSummary(21, 0, 1)).smallestResolvableMs,
               WithinRel(0.909130127627 * std::sqrt(20.0 / 21), 2e-3)); // 21 needed for an exact SD; dof 40 for 38
}
