#include "core/stats/rounding.h"

#include <catch2/catch.hpp>
#include <tuple>

TEST_CASE("figures carry two significant digits of their uncertainty", "[stats]")
{
    const auto [value, uncertainty, text, uncertaintyText] = GENERATE(table<double, double, std::string, std::string>({
        {92.4187, 1.2345, "92.4", "1.2"},
        {92.4187, 0.0349, "92.419", "0.035"},
        {92.4187, 12.3, "92", "12"},
        {1234.5, 123, "1230", "120"},
        {1267, 1940, "1300", "1900"},
        {0.5, 0.0996, "0.50", "0.10"},
        {0.5, 0.00996, "0.500", "0.010"},
        {-3.2, 0.15, "\u22123.20", "0.15"},
        {-0.004, 0.15, "0.00", "0.15"},
        {0, 3, "0.0", "3.0"},
        {-0.0, 30, "0", "30"},
        {99.96, 0.95, "99.96", "0.95"},
        {99.996, 0.996, "100.0", "1.0"},
    }));
    const stats::Rounded rounded = stats::roundTo(value, uncertainty);
    CHECK(rounded.value == text);
    CHECK(rounded.uncertainty == uncertaintyText);
}

TEST_CASE("the ends of an interval take the digits of one uncertainty", "[stats]")
{
    const int decimals = stats::decimalsFor(0.43);
    CHECK(decimals == 2);
    CHECK(stats::formatFixed(-1.005, decimals) == "\u22121.00"); // the double nearest to 1.005 lies below it
    CHECK(stats::formatFixed(14, decimals) == "14.00");
}

TEST_CASE("differences show which way they go", "[stats]")
{
    CHECK(stats::formatSigned(4.25, 1) == "+4.2"); // exact tie, to even
    CHECK(stats::formatSigned(-4.26, 1) == "\u22124.3");
    CHECK(stats::formatSigned(0.004, 1) == "0.0");
    CHECK(stats::formatSigned(-0.004, 1) == "0.0");
    CHECK(stats::formatSigned(1499, -2) == "+1500");
}

TEST_CASE("very small and very large uncertainties still print", "[stats]")
{
    CHECK(stats::decimalsFor(1e-300) == 17);
    CHECK(stats::decimalsFor(2.5e12) == -11);
    CHECK(stats::formatFixed(7, stats::decimalsFor(2.5e12)) == "0");
    CHECK(stats::formatFixed(1.5e300, 0).size() == 301);
}
