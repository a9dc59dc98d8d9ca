#include "core/stats/trend.h"
#include "tests/outside/published_values.h"

#include <catch2/catch.hpp>

using Catch::WithinRel;
using namespace stats;

namespace {

constexpr double trendDigits = 1e-11; // references carry 12 significant digits

/// Flow of the Nile at Aswan, 1871 to 1970, 10^8 cubic metres. Source: data set "Nile" of R.
const std::vector<double> nile{1120, 1160, 963, 1210, 1160, 1160, 813,  1230, 1370, 1140, 995,  935,  1110, 994,  1020,
                               960,  1180, 799, 958,  1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774,  840,
                               874,  694,  940, 833,  701,  916,  692,  1020, 1050, 969,  831,  726,  456,  824,  702,
                               1120, 1100, 832, 764,  821,  768,  845,  864,  862,  698,  845,  744,  796,  1040, 759,
                               781,  865,  845, 944,  984,  897,  822,  1010, 771,  676,  649,  846,  812,  742,  801,
                               1040, 860,  874, 848,  890,  744,  749,  838,  1050, 918,  986,  797,  923,  975,  815,
                               1020, 906,  901, 1170, 912,  746,  919,  718,  714,  740};

} // namespace

TEST_CASE("Mann and Kendall's test with Sen's slope is R's", "[outside]")
{
    // Source: R 4.2.2, cor.test(seq_along(x), x, method = "kendall", exact = FALSE, continuity = TRUE) for z and p,
    // median of all pairwise slopes; data as named, the first two series made for the check.
    struct Row {
        std::vector<double> values;
        double s, variance, z, p, slope;
    };
    const Row row = GENERATE_COPY(values<Row>({
        {{5, 5, 6, 6, 6, 7, 5, 8, 8, 9}, 30, 116.666666666667, 2.68487828934, 0.00725562227678, 0.428571428571},
        {nile, -1387, 112728.333333333, -4.12806652284, 3.65826292166e-05, -2.6},
        {michelson, -1265, 112279.666666667, -3.77221568567, 0.000161804291851, -1.07142857143},
    }));
    const Trend found = trend(row.values);
    CHECK(found.s == row.s);
    CHECK_THAT(found.variance, WithinRel(row.variance, trendDigits));
    CHECK_THAT(found.z, WithinRel(row.z, trendDigits));
    CHECK_THAT(found.p, WithinRel(row.p, 1e-10)); // the tail magnifies the last digit of z
    CHECK_FALSE(found.exact);
    CHECK_THAT(found.slope, WithinRel(row.slope, trendDigits));
}

TEST_CASE("without ties few values are counted out", "[outside]")
{
    // Source: R 4.2.2 cor.test(method = "kendall"): exact p; z and Sen's slope as above.
    const Trend found = trend(std::vector<double>{12.1, 12.4, 11.9, 12.6, 12.8, 12.7, 13.0, 13.1, 12.9, 13.4});
    CHECK(found.s == 35);
    CHECK(found.variance == 125);
    CHECK(found.exact);
    CHECK_THAT(found.z, WithinRel(3.0410524494, 1e-10)); // 11 digits given
    CHECK_THAT(found.p, WithinRel(0.000946318342152, trendDigits));
    CHECK_THAT(found.slope, WithinRel(0.133333333333, trendDigits));
}

TEST_CASE("Kendall's test of tuna lightness against panel score", "[outside]")
{
    // Source: Hollander & Wolfe (1973) p. 187, by the manual of R's cor.test: T = 26, one-sided p .05972; two-sided
    // 0.119438932981. The scores taken in the order of lightness.
    const Trend found = trend(std::vector<double>{2.5, 4.0, 2.6, 3.6, 2.8, 3.1, 5.2, 5.0, 3.8});
    CHECK(found.s == 26 - 10); // of 36 pairs 26 rise
    CHECK_THAT(found.p, WithinRel(0.119438932981, trendDigits));
}
