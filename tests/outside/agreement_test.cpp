#include "core/stats/agreement.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using Catch::WithinAbs;
using Catch::WithinRel;

namespace {

// Peak flow of 17 subjects, l/min, twice with each of two meters. Source: Bland & Altman 1986, Lancet i:307, table 1.
const std::vector<double> wright1{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427};
const std::vector<double> wright2{490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421};
const std::vector<double> mini1{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451};
const std::vector<double> mini2{525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443};

stats::Agreement of(const std::vector<double>& first, const std::vector<double>& second)
{
    std::vector<double> differences;
    for (std::size_t i = 0; i < first.size(); ++i)
        differences.push_back(second[i] - first[i]);
    return stats::agreement(differences, 0.95);
}

} // namespace

TEST_CASE("bias and limits of agreement are those of Bland and Altman's two meters", "[outside]")
{
    // They take Wright less mini; printed -2.1 and 38.8. More digits: R 4.2.2, mean(), sd(), qt() on the same data.
    const stats::Agreement agreement = of(mini1, wright1);
    REQUIRE(agreement.spread);
    CHECK_THAT(agreement.bias, WithinAbs(-2.1, 0.05));
    CHECK_THAT(agreement.bias, WithinRel(-2.11764705882, 1e-10));
    CHECK_THAT(agreement.spread->sd, WithinAbs(38.8, 0.05));
    CHECK_THAT(agreement.spread->sd, WithinRel(38.7651298736, 1e-10));
    CHECK_THAT(agreement.spread->limitLow, WithinRel(-78.0973016111, 1e-10)); // at 1.96; the paper's own are at 2 SD
    CHECK_THAT(agreement.spread->limitHigh, WithinRel(73.8620074934, 1e-10));
    CHECK_THAT(agreement.spread->biasU, WithinRel(9.40192500351, 1e-10));
    CHECK_THAT(agreement.spread->biasLow, WithinRel(-22.0488376966, 1e-10));
    CHECK_THAT(agreement.spread->biasHigh, WithinRel(17.8135435790, 1e-10));
    CHECK_THAT(agreement.spread->limitU, WithinRel(16.2846117950, 1e-10));
}

TEST_CASE("repeatability is that of Bland and Altman's meters used twice", "[outside]")
{
    // Printed for the mini meter: sum of squares 13479 and 28.2 = sqrt(sum/17), twice it 56.4; for Wright 43.2.
    // More digits: R 4.2.2 on the same data.
    const stats::Agreement mini = of(mini1, mini2), wright = of(wright1, wright2);
    CHECK_THAT(mini.readingSd * mini.readingSd * 2 * 17, WithinRel(13479, 1e-12));
    CHECK_THAT(mini.readingSd * std::sqrt(2.0), WithinAbs(28.2, 0.05));
    CHECK_THAT(2 * mini.readingSd * std::sqrt(2.0), WithinAbs(56.4, 0.1));
    CHECK_THAT(2 * wright.readingSd * std::sqrt(2.0), WithinAbs(43.2, 0.1));
    CHECK_THAT(mini.readingSd, WithinRel(19.9108306325, 1e-10));
    CHECK_THAT(wright.readingSd, WithinRel(15.3066690579, 1e-10));
    CHECK_THAT(stats::repeatability(mini), WithinRel(55.1900067681, 1e-10));
    CHECK_THAT(stats::repeatability(wright), WithinRel(42.4279219937, 1e-10));
}
