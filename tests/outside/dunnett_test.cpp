#include "core/stats/blocks.h"
#include "core/stats/distributions.h"
#include "core/stats/dunnett.h"
#include "core/stats/summary.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

TEST_CASE("Dunnett's two-sided 5 % points come out as published", "[outside]")
{
    // Source: the table of Dunnett (1964), Biometrics 20:482, for 1 to 6 comparisons that correlate by 1/2; four
    // digits as mvtnorm::qmvt has them, which are by lot: the last one or two vary.
    struct Row {
        double dof;
        std::array<double, 6> points;
    };
    const std::vector<Row> table{
        {5, {2.5706, 3.0302, 3.2931, 3.4759, 3.6150, 3.7271}},
        {10, {2.2281, 2.5686, 2.7591, 2.8904, 2.9902, 3.0704}},
        {15, {2.1314, 2.4394, 2.6100, 2.7272, 2.8160, 2.8873}},
        {20, {2.0860, 2.3788, 2.5403, 2.6509, 2.7346, 2.8017}},
        {40, {2.0211, 2.2928, 2.4414, 2.5427, 2.6192, 2.6804}},
        {endlessDof, {1.9600, 2.2122, 2.3489, 2.4417, 2.5114, 2.5673}},
    };
    for (const Row& row : table)
        for (std::size_t k = 1; k <= row.points.size(); ++k) {
            CAPTURE(row.dof, k);
            CHECK_THAT(dunnettFactor(0.95, row.dof, static_cast<int>(k), 0.5), WithinAbs(row.points[k - 1], 5e-4));
        }
    CHECK_THAT(dunnettFactor(0.95, 3, 5, 0.5), WithinAbs(4.76, 0.015));
    CHECK_THAT(dunnettFactor(0.95, 4, 5, 0.5), WithinAbs(4.00, 0.015));
    CHECK_THAT(dunnettFactor(0.95, 6, 5, 0.5), WithinAbs(3.39, 0.015));
}

TEST_CASE("Dunnett's blood counts come out as published", "[outside]")
{
    // Source: Dunnett (1955), JASA 50:1096, red blood counts of animals under two drugs and none; intervals as R has
    // them (multcomp::glht), with the correlation that unequal numbers give.
    const std::vector<double> control{7.40, 8.50, 7.20, 8.24, 9.84, 8.32}, drugA{9.76, 8.80, 7.68, 9.36},
        drugB{12.80, 9.68, 12.16, 9.20, 10.55};
    const auto squares = [](const std::vector<double>& values) {
        return std::pow(standardDeviation(values), 2) * static_cast<double>(values.size() - 1);
    };
    const double dof = 12;
    const double variance = (squares(control) + squares(drugA) + squares(drugB)) / dof;
    const auto lambda = [&](const std::vector<double>& drug) {
        return std::sqrt(static_cast<double>(drug.size()) / static_cast<double>(drug.size() + control.size()));
    };
    const std::array<double, 2> lambdas{lambda(drugA), lambda(drugB)};
    const double factor = dunnettFactor(0.95, dof, lambdas);
    CHECK_THAT(factor, WithinAbs(2.5136, 2e-4)); // R's is by lot
    CHECK_THAT(dunnettCoverage(factor, dof, lambdas), WithinAbs(0.95, 1e-9));
    const auto check = [&](const std::vector<double>& drug, double difference, double low, double high) {
        const double found = mean(drug) - mean(control);
        const double half =
            factor
            * std::sqrt(variance / static_cast<double>(drug.size()) + variance / static_cast<double>(control.size()));
        CHECK_THAT(found, WithinAbs(difference, 0.0005));
        CHECK_THAT(found - half, WithinAbs(low, 0.001));
        CHECK_THAT(found + half, WithinAbs(high, 0.001));
    };
    check(drugA, 0.650, -1.256, 2.556);
    check(drugB, 2.628, 0.840, 4.416);
}

TEST_CASE("own scatter without blocks is that of three instruments, and on the average the published residual",
          "[outside]")
{
    // Source: Box, Hunter & Hunter (1978), Statistics for Experimenters, ch. 7: yield of penicillin by four processes
    // in five blends; residual mean square 18.83 on 12 degrees of freedom (226/12).
    const std::vector<std::vector<double>> penicillin{
        {89, 84, 81, 87, 79}, {88, 77, 87, 92, 81}, {97, 92, 87, 89, 80}, {94, 79, 85, 84, 88}};
    CHECK_THAT(mean(scatterWithoutBlocks(penicillin)), WithinAbs(226.0 / 12, 1e-9));
    // Of three, Grubbs' (1948) estimate is half of (variance of 1 - 2) + (of 1 - 3) - (of 2 - 3).
    const auto own = scatterWithoutBlocks(std::span(penicillin).first(3));
    const auto of = [&](std::size_t a, std::size_t b) {
        std::vector<double> differences;
        for (std::size_t j = 0; j < 5; ++j)
            differences.push_back(penicillin[a][j] - penicillin[b][j]);
        return std::pow(standardDeviation(differences), 2);
    };
    CHECK_THAT(own[0], WithinAbs((of(0, 1) + of(0, 2) - of(1, 2)) / 2, 1e-9));
    CHECK_THAT(own[1], WithinAbs((of(0, 1) + of(1, 2) - of(0, 2)) / 2, 1e-9));
    CHECK_THAT(own[2], WithinAbs((of(0, 2) + of(1, 2) - of(0, 1)) / 2, 1e-9));
}

TEST_CASE("independent comparisons hold by Sidak's product, one by Student's t", "[outside]")
{
    // Without correlation and with endless degrees of freedom the chance is that of one to the power k.
    for (const int k : {1, 2, 7, 40}) {
        const double single = std::pow(0.95, 1.0 / k);
        CHECK_THAT(dunnettFactor(0.95, endlessDof, k, 0), WithinRel(coverageFactor(single, endlessDof), 1e-9));
    }
    for (const double dof : {1.0, 2.5, 3.0, 29.7, 1e6})
        for (const double factor : {0.5, 2.0, 12.0}) {
            CAPTURE(dof, factor);
            CHECK_THAT(dunnettCoverage(factor, dof, std::array{0.7}), WithinAbs(1 - 2 * tCdf(-factor, dof), 1e-9));
        }
}

TEST_CASE("what one interval may miss by itself is good for planning at any degrees of freedom", "[outside]")
{
    for (const int k : {1, 2, 5, 12}) {
        const SingleRisk risk(0.05, k, 0.5);
        for (const double dof : {3.0, 4.5, 8.0, 12.0, 30.0, 300.0}) {
            CAPTURE(k, dof);
            CHECK_THAT(coverageFactor(1 - risk.at(dof), dof),
                       WithinRel(dunnettFactor(0.95, dof, k, 0.5), dof < 4 ? 0.02 : 0.005));
        }
    }
}
