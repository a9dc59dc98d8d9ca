#include "core/stats/distributions.h"
#include "core/stats/rank_check.h"
#include "core/stats/spread.h"
#include "tests/outside/published_values.h"

#include <catch2/catch.hpp>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

namespace {

constexpr double elevenDigits = 1e-11; // references carry 12 significant digits

std::vector<double> part(const std::vector<double>& values, std::size_t from, std::size_t count)
{
    return {values.begin() + static_cast<std::ptrdiff_t>(from),
            values.begin() + static_cast<std::ptrdiff_t>(from + count)};
}

} // namespace

TEST_CASE("permeability of membranes: exact rank sum, shift and its interval", "[outside]")
{
    // Source: Hollander & Wolfe (1999) pp. 111 and 126, quoted in R's regression tests: two-sided p .2544, shift of y -
    // x -0.305, 95 % interval -0.76 to 0.15. p = 0.254412254412 by R 4.2.2 wilcox.test.
    const std::vector<double> x{0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46},
        y{1.15, 0.88, 0.90, 0.74, 1.21};
    const RankCheck check = rankCheck(y, x, 0.95);
    CHECK(check.u == 15);
    CHECK(check.exact);
    CHECK_THAT(check.p, WithinRel(0.254412254412, elevenDigits));
    CHECK_THAT(check.shift, WithinAbs(-0.305, 1e-12)); // differences of two-decimal numbers
    REQUIRE(check.low);
    CHECK_THAT(*check.low, WithinAbs(-0.76, 1e-12));
    CHECK_THAT(*check.high, WithinAbs(0.15, 1e-12));
}

TEST_CASE("two small sets without ties", "[outside]")
{
    // Source: R 4.2.2 wilcox.test(a, b, conf.int = TRUE): W 2, p 8/462, shift -3.45, interval -6.2 to -0.8.
    const RankCheck check = rankCheck(std::vector<double>{41.2, 43.7, 39.8, 44.1, 42.6},
                                      std::vector<double>{45.3, 44.9, 47.2, 43.1, 46.0, 48.4}, 0.95);
    CHECK(check.u == 2);
    CHECK_THAT(check.p, WithinRel(8.0 / 462, 1e-14));
    CHECK_THAT(check.shift, WithinAbs(-3.45, 1e-12));
    CHECK_THAT(*check.low, WithinAbs(-6.2, 1e-12));
    CHECK_THAT(*check.high, WithinAbs(-0.8, 1e-12));
}

TEST_CASE("with ties the normal distribution stands in, corrected for them and for continuity", "[outside]")
{
    // Source: R 4.2.2 wilcox.test(exact = FALSE, correct = TRUE): a against b W 6.5; sleep W 25.5.
    struct Row {
        std::vector<double> first, second;
        double u, p;
    };
    const Row row = GENERATE_COPY(values<Row>({
        {{12, 12, 13, 13, 14, 15}, {13, 14, 14, 15, 16, 16, 17}, 6.5, 0.0422628646557},
        {sleepFirst, sleepSecond, 25.5, 0.0693275754336},
    }));
    const RankCheck check = rankCheck(row.first, row.second, 0.95);
    CHECK(check.u == row.u);
    CHECK_FALSE(check.exact);
    CHECK_THAT(check.p, WithinRel(row.p, elevenDigits));
}

TEST_CASE("Michelson's first and fourth experiment", "[outside]")
{
    // Source: R 4.2.2 on the data set "morley": W 314; the median of the 400 differences is exactly 100 (R's root
    // search says 100.00005).
    const RankCheck check = rankCheck(part(michelson, 0, 20), part(michelson, 60, 20), 0.95);
    CHECK(check.u == 314);
    CHECK(check.shift == 100);
}

TEST_CASE("the chances of the rank sum for four against four", "[outside]")
{
    // Source: R 4.2.2 pwilcox(0:4, 4, 4) = 1, 2, 4, 7, 12 of 70; p is twice as much.
    const std::vector<double> second{1, 2, 3, 4};
    const std::vector<std::vector<double>> firsts{
        {-4, -3, -2, -1}, {-4, -3, -2, 1.5}, {-4, -3, -2, 2.5}, {-4, -3, -2, 3.5}, {-4, -3, -2, 5}};
    const std::vector<double> chances{1, 2, 4, 7, 12};
    for (std::size_t u = 0; u < firsts.size(); ++u) {
        const RankCheck check = rankCheck(firsts[u], second, 0.9);
        CHECK(check.u == static_cast<double>(u));
        CHECK_THAT(check.p, WithinRel(2 * chances[u] / 70, 1e-14));
    }
}

TEST_CASE("median absolute deviations", "[outside]")
{
    // Source: R 4.2.2 manual of mad: mad(c(1:9)) 2.9652 = 1.4826 * 2, mad(c(1:8, 100), constant = 1) 2; morley 66.717
    // = 1.4826 * 45.
    CHECK(medianAbsoluteDeviation(std::vector<double>{1, 2, 3, 4, 5, 6, 7, 8, 9}) == 2);
    CHECK(medianAbsoluteDeviation(std::vector<double>{1, 2, 3, 4, 5, 6, 7, 8, 100}) == 2);
    CHECK_THAT(medianAbsoluteDeviation(michelson) * 1.4826, WithinRel(66.717, 1e-12));
}

TEST_CASE("fences of a series with one value far out", "[outside]")
{
    // Source: R 4.2.2 quantile(type = 7): quartiles 3 and 21, so -24 to 48 and -51 to 75; boxplot.stats() names 100 as
    // out.
    const std::vector<double> series{1, 2, 3, 5, 8, 13, 21, 34, 100};
    const Fences f = fences(series, 0);
    CHECK(f.innerLow == -24);
    CHECK(f.innerHigh == 48);
    CHECK(f.outerLow == -51);
    CHECK(f.outerHigh == 75);
    CHECK(outliers(series, f) == std::vector<Outlier>{{8, true}});
}

TEST_CASE("Fisher's exact test of tea tasting and of twins", "[outside]")
{
    // Source: manual of R's fisher.test: tea tasting 3 of 4 against 1 of 4, two-sided 34/70 = 0.485714285714; convicted
    // like-sex twins of criminals, 2 of 17 dizygotic and 10 of 13 monozygotic: 0.0005367241.
    CHECK_THAT(fisherTwoSidedP(3, 4, 1, 4), WithinRel(34.0 / 70, 1e-12));
    CHECK_THAT(fisherTwoSidedP(2, 17, 10, 13), WithinAbs(0.0005367241, 1e-9)); // 7 digits given
}
