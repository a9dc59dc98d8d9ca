#include "core/stats/summary.h"
#include "tests/outside/published_values.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinRel;

namespace {

std::vector<double> scaled(double base, const std::vector<double>& parts, double divisor)
{
    std::vector<double> values;
    for (const double part : parts)
        values.push_back((base * divisor + part) / divisor); // one rounding, as reading the decimal would
    return values;
}

/// A first value, then `pairs` times the two others.
std::vector<double> accuracySet(double first, double low, double high, int pairs)
{
    std::vector<double> values{first};
    for (int i = 0; i < pairs; ++i) {
        values.push_back(low);
        values.push_back(high);
    }
    return values;
}

// NIST StRD Mavro: 2 + value/10000.
const std::vector<double> mavro{18, 17, 18, 19, 18, 17, 15, 14, 15, 15, 17, 18, 18, 19, 19, 21, 20,
                                16, 14, 13, 13, 15, 15, 16, 15, 14, 13, 14, 15, 14, 15, 16, 15, 16,
                                19, 20, 20, 21, 22, 23, 24, 25, 27, 26, 26, 26, 27, 26, 25, 24};

// NIST StRD Lew: beam deflections.
const std::vector<double> lew{
    -213, -564, -35,  -15,  141,  115,  -420, -360, 203,  -338, -431, 194,  -220, -513, 154,  -125, -559, 92,   -21,
    -579, -52,  99,   -543, -175, 162,  -457, -346, 204,  -300, -474, 164,  -107, -572, -8,   83,   -541, -224, 180,
    -420, -374, 201,  -236, -531, 83,   27,   -564, -112, 131,  -507, -254, 199,  -311, -495, 143,  -46,  -579, -90,
    136,  -472, -338, 202,  -287, -477, 169,  -124, -568, 17,   48,   -568, -135, 162,  -430, -422, 172,  -74,  -577,
    -13,  92,   -534, -243, 194,  -355, -465, 156,  -81,  -578, -64,  139,  -449, -384, 193,  -198, -538, 110,  -44,
    -577, -6,   66,   -552, -164, 161,  -460, -344, 205,  -281, -504, 134,  -28,  -576, -118, 156,  -437, -381, 200,
    -220, -540, 83,   11,   -568, -160, 172,  -414, -408, 188,  -125, -572, -32,  139,  -492, -321, 205,  -262, -504,
    142,  -83,  -574, 0,    48,   -571, -106, 137,  -501, -266, 190,  -391, -406, 194,  -186, -553, 83,   -13,  -577,
    -49,  103,  -515, -280, 201,  300,  -506, 131,  -45,  -578, -80,  138,  -462, -361, 201,  -211, -554, 32,   74,
    -533, -235, 187,  -372, -442, 182,  -147, -566, 25,   68,   -535, -244, 194,  -351, -463, 174,  -125, -570, 15,
    72,   -550, -190, 172,  -424, -385, 198,  -218, -536, 96};

} // namespace

TEST_CASE("mean and SD reach NIST's certified values", "[outside]")
{
    // Source: NIST Statistical Reference Datasets, univariate summary statistics, certified values. SD tolerances of
    // NumAcc3 and 4 are those of 0.1 not being a binary fraction beside 1e6 and 1e7; a one-pass sum of squares gives
    // 0.1072 and a negative variance there.
    struct Row {
        const char* name;
        std::vector<double> values;
        std::size_t n;
        double mean, sd, meanTolerance, sdTolerance;
    };
    const Row row = GENERATE(values<Row>({
        {"Michelso", scaled(299, michelson, 1000), 100, 299.8524, 0.0790105478190518, 1e-14, 1e-12},
        {"Mavro", scaled(2, mavro, 10000), 50, 2.001856, 0.000429123454003053, 1e-14, 1e-11},
        {"Lew", lew, 200, -177.435, 277.332168044316, 1e-13, 1e-12},
        {"NumAcc1", {10000001, 10000003, 10000002}, 3, 10000002, 1, 1e-15, 1e-15},
        {"NumAcc2", accuracySet(1.2, 1.1, 1.3, 500), 1001, 1.2, 0.1, 1e-14, 1e-12},
        {"NumAcc3", accuracySet(1000000.2, 1000000.1, 1000000.3, 500), 1001, 1000000.2, 0.1, 1e-14, 1e-9},
        {"NumAcc4", accuracySet(10000000.2, 10000000.1, 10000000.3, 500), 1001, 10000000.2, 0.1, 1e-14, 1e-8},
    }));
    CAPTURE(row.name);
    const stats::Summary s = stats::summarise(row.values);
    REQUIRE(s.n == row.n);
    CHECK_THAT(*s.mean, WithinRel(row.mean, row.meanTolerance));
    CHECK_THAT(*s.sd, WithinRel(row.sd, row.sdTolerance));
}

TEST_CASE("a large offset costs no digits", "[outside]")
{
    // Own arithmetic: 4 7 13 16 have mean 10 and squares 36 + 9 + 9 + 36 = 90 about it, /3 = 30; shifted by 1e9.
    const std::vector<double> values{1e9 + 4, 1e9 + 7, 1e9 + 13, 1e9 + 16};
    CHECK(stats::mean(values) == 1000000010);
    CHECK_THAT(stats::standardDeviation(values), WithinRel(std::sqrt(30.0), 1e-14));
}
