#include "core/report/colour.h"

#include <catch2/catch.hpp>

using Catch::WithinAbs;
using namespace report;

TEST_CASE("contrast ratios are those that WCAG's definition gives", "[report]")
{
    // WCAG 2.x relative luminance and contrast ratio, worked out outside.
    constexpr Colour white{255, 255, 255}, black{0, 0, 0};
    CHECK_THAT(contrastRatio(white, black), WithinAbs(21, 1e-12));
    CHECK_THAT(contrastRatio({0x76, 0x76, 0x76}, white), WithinAbs(4.542225, 1e-6));
    CHECK_THAT(contrastRatio(white, {0x77, 0x77, 0x77}), WithinAbs(4.478089, 1e-6));
    CHECK_THAT(contrastRatio({0x94, 0x94, 0x94}, white), WithinAbs(3.033470, 1e-6));
    CHECK_THAT(contrastRatio({0xff, 0, 0}, white), WithinAbs(3.998477, 1e-6));
    CHECK_THAT(contrastRatio({0, 0, 0xff}, white), WithinAbs(8.592471, 1e-6));
    CHECK_THAT(contrastRatio({0, 0xff, 0}, white), WithinAbs(1.372190, 1e-6));
    CHECK_THAT(contrastRatio({0x80, 0x80, 0x80}, black), WithinAbs(5.317210, 1e-6));
}

TEST_CASE("sRGB codes become light by IEC 61966-2-1", "[report]")
{
    const auto [code, light] = GENERATE(table<int, double>({{1, .0003035270},
                                                            {10, .0030352698},
                                                            {11, .0033465358},
                                                            {64, .0512694584},
                                                            {128, .2158605001},
                                                            {235, .8307698768}}));
    CHECK_THAT(linearOf(code / 255.0), WithinAbs(light, 1e-10));
}

TEST_CASE("luminances of the Okabe and Ito palette", "[report]")
{
    // Okabe & Ito 2008; Y as WCAG defines it, worked out outside to five digits.
    CHECK_THAT(relativeLuminance({230, 159, 0}), WithinAbs(.41619, 5e-6));
    CHECK_THAT(relativeLuminance({86, 180, 233}), WithinAbs(.40504, 5e-6));
    CHECK_THAT(relativeLuminance({0, 158, 115}), WithinAbs(.25692, 5e-6));
    CHECK_THAT(relativeLuminance({204, 121, 167}), WithinAbs(.29302, 5e-6));
}

TEST_CASE("colour differences are those of Sharma, Wu and Dalal 2005, table 1, either way round", "[report]")
{
    const auto [a, b, difference] = GENERATE(table<Lab, Lab, double>({
        {{50, 2.6772, -79.7751}, {50, 0, -82.7485}, 2.0425},
        {{50, 3.1571, -77.2803}, {50, 0, -82.7485}, 2.8615},
        {{50, -1.3802, -84.2814}, {50, 0, -82.7485}, 1.0000},
        {{50, 0, 0}, {50, -1, 2}, 2.3669},
        {{50, 2.4900, -0.0010}, {50, -2.4900, 0.0009}, 7.1792},
        {{50, 2.4900, -0.0010}, {50, -2.4900, 0.0011}, 7.2195},
        {{50, -0.0010, 2.4900}, {50, 0.0010, -2.4900}, 4.8045},
        {{50, -0.0010, 2.4900}, {50, 0.0011, -2.4900}, 4.7461},
        {{50, 2.5, 0}, {50, 0, -2.5}, 4.3065},
        {{50, 2.5, 0}, {73, 25, -18}, 27.1492},
        {{50, 2.5, 0}, {61, -5, 29}, 22.8977},
        {{50, 2.5, 0}, {56, -27, -3}, 31.9030},
        {{50, 2.5, 0}, {50, 3.2592, 0.3350}, 1.0000},
        {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
        {{22.7233, 20.0904, -46.6940}, {23.0331, 14.9730, -42.5619}, 2.0373},
        {{90.9257, -0.5406, -0.9208}, {88.6381, -0.8985, -0.7239}, 1.5381},
        {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082},
    }));
    CHECK_THAT(colourDifference(a, b), WithinAbs(difference, 1e-4));
    CHECK_THAT(colourDifference(b, a), WithinAbs(difference, 1e-4));
}

TEST_CASE("greys stay grey to every kind of colour vision, and red and green come near each other", "[report]")
{
    for (const ColourVision vision : {ColourVision::Protan, ColourVision::Deutan, ColourVision::Tritan}) {
        CHECK(asSeenBy(vision, {255, 255, 255}) == Colour{255, 255, 255});
        CHECK(asSeenBy(vision, {0, 0, 0}) == Colour{0, 0, 0});
        const Colour grey = asSeenBy(vision, {120, 120, 120});
        CHECK(std::abs(grey.red - 120) <= 1);
        CHECK(std::abs(grey.blue - 120) <= 1);
    }
    const Colour red{0xc0, 0x50, 0x30}, green{0x70, 0x78, 0x28};
    CHECK(colourDifference(labOf(red), labOf(green)) > 3 * leastDifference(red, green));
    CHECK(leastDifference(red, green) < leastColourDifference);
}
