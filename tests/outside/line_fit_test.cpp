#include "core/timing/line_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using Catch::WithinAbs;
using Catch::WithinRel;

TEST_CASE("the line fit meets the calibration example of the guide to uncertainty", "[outside]")
{
    // Source: JCGM 100:2008 (GUM), H.3, table H.6: corrections of a thermometer b(t) = y1 + y2 (t - 20).
    // The longer figures were computed independently from the same table (ordinary least squares in R 4.2.2).
    const std::vector<double> t{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511};
    const std::vector<double> b{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160};
    std::vector<double> x;
    for (const double value : t)
        x.push_back(value - 20);
    const auto fit = timing::fitLines(x, b);
    REQUIRE(fit);

    CHECK_THAT(fit->intercepts[0], WithinAbs(-0.1712, 5e-5)); // as printed, half of the last digit
    CHECK_THAT(fit->interceptUncertainties[0], WithinAbs(0.0029, 5e-5));
    CHECK_THAT(fit->slope, WithinAbs(0.00218, 5e-6));
    CHECK_THAT(fit->slopeUncertainty, WithinAbs(0.00067, 5e-6));
    CHECK_THAT(fit->covariances[0] / fit->interceptUncertainties[0] / fit->slopeUncertainty, WithinAbs(-0.930, 5e-4));
    CHECK_THAT(fit->residualSd, WithinAbs(0.0035, 5e-5));
    CHECK_THAT(fit->at(10).value, WithinAbs(-0.1494, 5e-5));
    CHECK_THAT(fit->at(10).standardUncertainty, WithinAbs(0.0041, 5e-5));
    CHECK(fit->degreesOfFreedom == 9);

    CHECK_THAT(fit->intercepts[0], WithinRel(-0.1712037901, 1e-9)); // to one unit of the last digit given
    CHECK_THAT(fit->interceptUncertainties[0], WithinRel(0.002877597835, 1e-9));
    CHECK_THAT(fit->slope, WithinRel(0.00218269774, 1e-8));
    CHECK_THAT(fit->slopeUncertainty, WithinRel(0.0006679387732, 1e-9));
    CHECK_THAT(fit->residualSd, WithinRel(0.003497563964, 1e-9));
    CHECK_THAT(fit->at(10).value, WithinRel(-0.1493768127, 1e-9));
    CHECK_THAT(fit->at(10).standardUncertainty, WithinRel(0.004138595753, 1e-9));
    // Without the covariance the answer would be another one.
    CHECK_THAT(std::hypot(fit->interceptUncertainties[0], 10 * fit->slopeUncertainty), WithinAbs(0.00727, 5e-6));
}

TEST_CASE("about the mean of the places intercept and slope don't depend on each other", "[outside]")
{
    // Source: JCGM 100:2008, H.3.5, same table.
    const std::vector<double> t{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511};
    const std::vector<double> b{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160};
    double mean = 0;
    for (const double value : t)
        mean += value / static_cast<double>(t.size());
    std::vector<double> x;
    for (const double value : t)
        x.push_back(value - mean);
    const auto fit = timing::fitLines(x, b);
    REQUIRE(fit);
    CHECK_THAT(fit->intercepts[0], WithinRel(-0.1624545455, 1e-9));
    CHECK_THAT(fit->interceptUncertainties[0], WithinRel(0.001054555213, 1e-9));
    CHECK_THAT(fit->covariances[0], WithinAbs(0, 1e-15));
}

TEST_CASE("the line fit meets a certified regression", "[outside]")
{
    // Source: NIST StRD, linear regression, Norris; data and certified values.
    const std::vector<double> x{0.2, 337.4, 118.2, 884.6, 10.1,  226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
                                0.6, 775.5, 666.9, 338.0, 447.5, 11.6,  556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
                                0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1,  118.3, 229.2, 669.1, 448.9, 0.5};
    const std::vector<double> y{0.1, 338.8, 118.1, 888.0, 9.2,   228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
                                0.1, 778.1, 668.8, 339.3, 448.9, 10.8,  557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
                                0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2,  117.6, 228.9, 668.4, 449.2, 0.2};
    const auto fit = timing::fitLines(x, y);
    REQUIRE(fit);
    CHECK_THAT(fit->intercepts[0], WithinRel(-0.262323073774029, 1e-10));
    CHECK_THAT(fit->interceptUncertainties[0], WithinRel(0.232818234301152, 1e-10));
    CHECK_THAT(fit->slope, WithinRel(1.00211681802045, 1e-11));
    CHECK_THAT(fit->slopeUncertainty, WithinRel(0.000429796848199937, 1e-11));
    CHECK_THAT(fit->residualSd, WithinRel(0.884796396144373, 1e-11));
}
