#include "core/stats/budget.h"
#include "core/stats/distributions.h"
#include "core/stats/summary.h"
#include "core/timing/rate_evidence.h"
#include "tests/outside/published_values.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

TEST_CASE("coverage factors are those of table G.2", "[outside]")
{
    // Source: JCGM 100:2008, table G.2. The columns 68.27, 95.45 and 99.73 % stand for exactly 1, 2 and 3 standard
    // deviations. Tolerance: half the last digit printed, three decimals from 100 degrees of freedom on.
    const auto within = [](double k) { return std::erf(k / std::sqrt(2.0)); };
    const double levels[] = {within(1), 0.90, 0.95, within(2), 0.99, within(3)};
    struct Row {
        double dof, factors[6];
    };
    const Row row = GENERATE(values<Row>({
        {1, {1.84, 6.31, 12.71, 13.97, 63.66, 235.80}},
        {2, {1.32, 2.92, 4.30, 4.53, 9.92, 19.21}},
        {3, {1.20, 2.35, 3.18, 3.31, 5.84, 9.22}},
        {4, {1.14, 2.13, 2.78, 2.87, 4.60, 6.62}},
        {5, {1.11, 2.02, 2.57, 2.65, 4.03, 5.51}},
        {8, {1.07, 1.86, 2.31, 2.37, 3.36, 4.28}},
        {9, {1.06, 1.83, 2.26, 2.32, 3.25, 4.09}},
        {10, {1.05, 1.81, 2.23, 2.28, 3.17, 3.96}},
        {15, {1.03, 1.75, 2.13, 2.18, 2.95, 3.59}},
        {16, {1.03, 1.75, 2.12, 2.17, 2.92, 3.54}},
        {19, {1.03, 1.73, 2.09, 2.14, 2.86, 3.45}},
        {20, {1.03, 1.72, 2.09, 2.13, 2.85, 3.42}},
        {30, {1.02, 1.70, 2.04, 2.09, 2.75, 3.27}},
        {50, {1.01, 1.68, 2.01, 2.05, 2.68, 3.16}},
        {100, {1.005, 1.660, 1.984, 2.025, 2.626, 3.077}},
        {std::numeric_limits<double>::infinity(), {1.000, 1.645, 1.960, 2.000, 2.576, 3.000}},
    }));
    CAPTURE(row.dof);
    const double half = row.dof >= 100 ? 0.0005 : 0.005;
    for (int i = 0; i < 6; ++i)
        CHECK_THAT(coverageFactor(levels[i], row.dof), WithinAbs(row.factors[i], half * 1.0001));
}

TEST_CASE("t quantiles hold to all digits, whole degrees of freedom or not", "[outside]")
{
    // Source: R 4.2.2 qt().
    const auto [p, dof, expected] = GENERATE(table<double, double, double>({
        {0.975, 1, 12.7062047361747},
        {0.975, 2, 4.30265272974946},
        {0.975, 4, 2.77644510519779},
        {0.975, 9, 2.2621571627982},
        {0.975, 10, 2.22813885198627},
        {0.975, 19, 2.09302405440831},
        {0.975, 29, 2.0452296421327},
        {0.995, 16, 2.9207816224251},
        {0.995, 16.7, 2.90468093842936},
    }));
    CHECK_THAT(tQuantile(p, dof), WithinRel(expected, 1e-10));
    CHECK_THAT(coverageFactor(2 * p - 1, dof), WithinRel(expected, 1e-10));
}

TEST_CASE("twenty temperatures: mean, SD and SD of the mean", "[outside]")
{
    // Source: JCGM 100:2008, 4.4.3, table 1. Printed 100.145, 1.489 and 0.333; further digits worked out from the data.
    const std::vector<double> temperatures{96.90,  98.18,  98.25,  98.61,  99.03,  99.49,  99.56,
                                           99.74,  99.89,  100.07, 100.33, 100.42, 100.68, 100.95,
                                           101.11, 101.20, 101.57, 101.84, 102.36, 102.72};
    const Summary s = summarise(temperatures);
    CHECK_THAT(*s.mean, WithinAbs(100.145, 5e-4));
    CHECK_THAT(*s.sd, WithinAbs(1.489, 5e-4));
    const MeanBudget budget = meanBudget(plainTrials(temperatures), {}, 0.95);
    CHECK_THAT(budget.overTrials->interval->uMs, WithinAbs(0.333, 5e-4));
    CHECK_THAT(budget.overTrials->interval->uMs, WithinRel(0.3329157472, 1e-9)); // ten digits given
    CHECK(budget.overTrials->interval->dof == 19);
}

TEST_CASE("stated limits become standard uncertainties", "[outside]")
{
    // Source: JCGM 100:2008, 4.4.5: half-width 4, rectangular: 4/sqrt(3) = 2.3. H.1.3.4: resolution 0.01:
    // 0.01/sqrt(12).
    CHECK_THAT(rectangularSource(1, "limits", 8, LineKind::Lamp).u, WithinAbs(2.3, 0.05));
    CHECK_THAT(rectangularSource(1, "limits", 8, LineKind::Lamp).u, WithinRel(2.309401077, 1e-9));
    CHECK_THAT(rectangularSource(1, "digit", 0.01, LineKind::Lamp).u, WithinRel(0.002886751346, 1e-9));
    CHECK_THAT(timing::declaredEvidence(960, 0.04).relativeUncertainty, WithinRel(0.02309401077, 1e-9));
}

TEST_CASE("effective degrees of freedom of three parts", "[outside]")
{
    // Source: JCGM 100:2008, G.4.1, example: u 0.25, 0.57, 0.82 % with 9, 4, 14 degrees of freedom; u_c 1.03 %, 19.0,
    // t95 2.09, U95 2.2 %. The printed 19.0 uses u_c rounded to 1.03; unrounded it is 18.9987, which is what is kept
    // here.
    const std::vector<BudgetLine> lines{
        {LineKind::Scatter, "", 0.25, 9}, {LineKind::Scatter, "", 0.57, 4}, {LineKind::Scatter, "", 0.82, 14}};
    const Combined combined = combine(lines);
    CHECK_THAT(combined.uMs, WithinAbs(1.03, 0.005));
    CHECK_THAT(combined.uMs, WithinRel(1.029465881, 1e-9));
    CHECK_THAT(combined.dof, WithinAbs(19.0, 0.05));
    CHECK_THAT(combined.dof, WithinRel(18.99874231, 1e-9));
    const Expanded expanded = expand(0, combined, 0.95);
    CHECK_THAT(expanded.factor, WithinAbs(2.09, 0.005));
    CHECK_THAT(expanded.halfWidthMs, WithinAbs(2.2, 0.05));
}

TEST_CASE("the end gauge's budget", "[outside]")
{
    // Source: JCGM 100:2008, H.1, table H.1 (nm): u_c^2 = 1002, u_c = 32, degrees of freedom 16.7 taken as 16,
    // t99 2.92, U99 93. The printed 93 is 2.92 * 32; unrounded it is 92.5.
    const BudgetLine standard{LineKind::Scatter, "standard", 25, 18};
    const BudgetLine repeats{LineKind::Scatter, "repeated readings", 5.8, 24};
    const BudgetLine random{LineKind::Scatter, "comparator, random", 3.9, 5};
    const BudgetLine systematic{LineKind::Scatter, "comparator, systematic", 6.7, 8};
    const BudgetLine expansion{LineKind::Scatter, "difference of expansion", 50.000623e6 * 0.1 * 1e-6 / std::sqrt(3.0),
                               50};
    const BudgetLine temperature{LineKind::Scatter, "difference of temperature",
                                 50.000623e6 * 11.5e-6 * 0.05 / std::sqrt(3.0), 2};
    CHECK_THAT(expansion.uMs, WithinAbs(2.9, 0.05));
    CHECK_THAT(temperature.uMs, WithinAbs(16.6, 0.05));

    const Combined difference = combine(std::vector{repeats, random, systematic});
    CHECK_THAT(difference.uMs, WithinAbs(9.7, 0.05));
    CHECK_THAT(difference.dof, WithinAbs(25.6, 0.2)); // 25.64 with 9.7, 25.45 unrounded

    const Combined all = combine(std::vector{standard, repeats, random, systematic, expansion, temperature});
    CHECK_THAT(all.uMs, WithinAbs(32, 0.5));
    CHECK_THAT(all.uMs, WithinRel(31.66387911, 1e-9));
    CHECK(std::floor(all.dof) == 16);
    CHECK_THAT(all.dof, WithinRel(16.75185574, 1e-9));
    CHECK_THAT(coverageFactor(0.99, 16) * all.uMs, WithinAbs(93, 1));

    // Combining the readings' three parts first changes nothing.
    const BudgetLine combined{LineKind::Scatter, "readings", difference.uMs, difference.dof};
    const Combined again = combine(std::vector{standard, combined, expansion, temperature});
    CHECK_THAT(again.uMs, WithinRel(all.uMs, 1e-14));
    CHECK_THAT(again.dof, WithinRel(all.dof, 1e-13));
}

TEST_CASE("causes enter a budget with their sensitivities as the end gauge's do", "[outside]")
{
    // Source: JCGM 100:2008, table H.1: c = -l_S theta with u = 0.58e-6 gives 2.9 nm on 50 degrees of freedom, c = -l_S
    // alpha_S with u = 0.029 gives 16.6 nm on 2; l_S = 50.000623 mm, theta = -0.1, alpha_S = 11.5e-6.
    const std::vector<ErrorSource> sources{{1, "difference of expansion", 1e-6 / std::sqrt(3.0), 50, LineKind::Clock},
                                           {2, "difference of temperature", 0.05 / std::sqrt(3.0), 2, LineKind::Clock}};
    Observation gauge;
    gauge.errors = {{1, 50.000623e6 * 0.1}, {2, -50.000623e6 * 11.5e-6}};
    const MeanBudget budget = meanBudget(std::vector{gauge, gauge}, sources, 0.95);
    std::vector<BudgetLine> shared;
    for (const BudgetLine& line : budget.overTrials->lines)
        if (line.kind == LineKind::Clock)
            shared.push_back(line);
    REQUIRE(shared.size() == 2);
    CHECK_THAT(shared[0].u, WithinAbs(0.58e-6, 0.005e-6));
    CHECK_THAT(shared[0].uMs, WithinAbs(2.9, 0.05));
    CHECK_THAT(shared[1].u, WithinAbs(0.029, 0.0005));
    CHECK_THAT(shared[1].weight, WithinAbs(-575.0, 0.05)); // -l_S alpha_S, nm a degree, worked out here
    CHECK_THAT(shared[1].uMs, WithinAbs(16.6, 0.05));
    CHECK(shared[0].dof == 50);
    CHECK(shared[1].dof == 2);
}
