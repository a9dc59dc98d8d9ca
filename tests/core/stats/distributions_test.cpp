#include "core/stats/distributions.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using Catch::WithinAbs;
using Catch::WithinRel;

TEST_CASE("t is symmetric and 0 in the middle", "[stats]")
{
    const double dof = GENERATE(1.0, 2.5, 40.0, std::numeric_limits<double>::infinity());
    CHECK_THAT(stats::tQuantile(0.5, dof), WithinAbs(0, 1e-15));
    CHECK_THAT(stats::tQuantile(0.025, dof), WithinRel(-stats::tQuantile(0.975, dof), 1e-12)); // 0.975 isn't exact
}

TEST_CASE("t with one and two degrees of freedom follows its closed form", "[stats]")
{
    // dof 1: tan(pi (p - 1/2)); dof 2: (2p - 1) / sqrt(2p (1 - p)). Tolerance: the last digits of pi and of 1 - p.
    const double p = GENERATE(0.6, 0.8, 0.95, 0.999);
    CHECK_THAT(stats::tQuantile(p, 1), WithinRel(std::tan(std::acos(-1.0) * (p - 0.5)), 1e-11));
    CHECK_THAT(stats::tQuantile(p, 2), WithinRel((2 * p - 1) / std::sqrt(2 * p * (1 - p)), 1e-12));
}

TEST_CASE("t narrows towards the normal distribution, also between whole degrees of freedom", "[stats]")
{
    const double endless = stats::coverageFactor(0.95, std::numeric_limits<double>::infinity());
    double last = stats::coverageFactor(0.95, 1);
    for (const double dof : {1.5, 2.0, 7.3, 16.0, 16.75, 17.0, 1000.0, 1e7}) {
        const double factor = stats::coverageFactor(0.95, dof);
        CHECK(factor < last);
        CHECK(factor > endless);
        last = factor;
    }
    CHECK_THAT(last, WithinAbs(endless, 1e-6)); // differs by about (z^3 + z)/(4 dof) = 2.4e-7
}

TEST_CASE("the coin's distribution adds up its own terms", "[stats]")
{
    CHECK_THAT(stats::fairBinomialCdf(0, 6), WithinAbs(1.0 / 64, 1e-15));
    CHECK_THAT(stats::fairBinomialCdf(2, 6), WithinAbs(22.0 / 64, 1e-15)); // 1 + 6 + 15
    CHECK(stats::fairBinomialCdf(6, 6) == 1);
}
