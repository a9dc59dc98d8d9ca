#include "core/stats/blocks.h"
#include "core/stats/clusters.h"
#include "core/stats/planning.h"
#include "core/stats/spread.h"
#include "core/stats/trend.h"
#include "core/stats/rank_check.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <random>

using Catch::WithinAbs;
using namespace stats;

namespace {

std::vector<double> sample(std::size_t n, const std::function<double()>& draw)
{
    std::vector<double> values(n);
    for (double& v : values)
        v = draw();
    return values;
}

} // namespace

TEST_CASE("two groups are told where nothing lies between", "[stats]")
{
    const std::vector<double> values{30, 47, 31, 46, 32, 48, 31, 47, 30, 31};
    const auto groups = twoGroups(values, 2);
    REQUIRE(groups);
    CHECK(groups->low == 6);
    CHECK(groups->high == 4);
    CHECK_THAT(groups->lowMean, WithinAbs(185.0 / 6, 1e-12));
    CHECK(groups->highMean == 47);
    CHECK_FALSE(twoGroups(values, 20));                                             // nearer than what is asked for
    CHECK_FALSE(twoGroups(std::vector<double>{30, 31, 30, 31, 30, 31, 30, 90}, 2)); // one outlier is no group
    CHECK_FALSE(twoGroups(std::vector<double>{30, 47, 31, 46, 32, 48, 31}, 2));     // too few to tell
    CHECK_FALSE(twoGroups(std::vector<double>(20, 30.0), 2));
}

TEST_CASE("samples with one mode are seldom taken for two groups", "[stats]")
{
    std::mt19937_64 random(20260101);
    std::uniform_real_distribution<double> even(0, 16.7);
    std::normal_distribution<double> normal(0, 5);
    std::exponential_distribution<double> skewed(0.2);
    constexpr int samples = 2000;
    const auto share = [&](std::size_t n, const std::function<double()>& draw) {
        int told = 0;
        for (int i = 0; i < samples; ++i)
            told += twoGroups(sample(n, draw), 1).has_value();
        return static_cast<double>(told) / samples;
    };
    for (const std::size_t n : {10u, 20u, 40u}) {
        CAPTURE(n);
        CHECK(share(n, [&] { return even(random); }) < 0.01);
        CHECK(share(n, [&] { return normal(random); }) < 0.01);
        CHECK(share(n, [&] { return skewed(random); }) < 0.01);
    }
    // And two real groups, 16.7 ms apart with an SD of 2 ms, are seldom missed.
    int told = 0;
    std::bernoulli_distribution late(0.4);
    for (int i = 0; i < samples; ++i)
        told += twoGroups(sample(20, [&] { return normal(random) * 0.4 + (late(random) ? 16.7 : 0); }), 1).has_value();
    CHECK(told > 0.75 * samples);
}

TEST_CASE("delays that stand whole refresh intervals apart are bunched", "[stats]")
{
    const std::vector<double> apart{40, 56.6, 40.5, 57, 73.3, 56.7, 40.2, 56.9, 73, 40.1};
    const auto found = bunching(apart, 1000.0 / 60, 1);
    REQUIRE(found);
    CHECK_THAT(found->phase, WithinAbs(40.2 - 2 * 1000.0 / 60, 0.6));
    CHECK(found->concentration > 0.98);
    CHECK_FALSE(bunching(apart, 1000.0 / 60, 1000.0 / 120)); // counted too coarsely to tell
    CHECK_FALSE(
        bunching(std::vector<double>{40, 40.5, 41, 40.2, 40, 41, 40, 40.3, 40}, 16.7, 1)); // within one interval
    std::vector<double> even;
    for (int i = 0; i < 40; ++i)
        even.push_back(40 + i * 1.1);
    CHECK_FALSE(bunching(even, 16.7, 1));
}

TEST_CASE("all equal or as few as can be: checks say nothing rather than something wrong", "[stats]")
{
    const std::vector<double> equal(6, 40.0);
    CHECK(medianAbsoluteDeviation(equal) == 0);
    CHECK(outliers(equal, fences(equal, 1)).empty());
    CHECK(trend(equal).p == 1);
    CHECK(trend(equal).z == 0);
    CHECK(trend(std::vector<double>{1, 2}).p == 1);
    const RankCheck ranks = rankCheck(equal, equal, 0.95);
    CHECK(ranks.p == 1);
    CHECK(ranks.shift == 0);
    const RankCheck single = rankCheck(std::vector<double>{2}, std::vector<double>{1}, 0.95);
    CHECK(single.p == 1);
    CHECK(single.shift == 1);
    CHECK_FALSE(single.low);
    CHECK_FALSE(bunching({}, 16.7, 1));
    CHECK_FALSE(twoGroups({}, 1));
}

TEST_CASE("a spread of one camera interval at least keeps one count more from being an outlier", "[stats]")
{
    std::vector<double> values(9, 40.0);
    values.push_back(41);
    CHECK(outliers(values, fences(values, 0)).size() == 1);
    CHECK(outliers(values, fences(values, 1)).empty());
    values.push_back(44);
    CHECK(outliers(values, fences(values, 1)) == std::vector<Outlier>{{10, true}});
    CHECK(values.size() == 11); // flags take nothing out
}

TEST_CASE("blocks need turns taken", "[stats]")
{
    const auto runs = [](const std::vector<bool>& ofBaseline) {
        std::vector<RunMean> made;
        for (std::size_t i = 0; i < ofBaseline.size(); ++i)
            made.push_back({ofBaseline[i], static_cast<double>(i)});
        return made;
    };
    const auto taken = blockDifferences(runs({true, false, false, true}), 0.95);
    REQUIRE(taken);
    CHECK(taken->differencesMs == std::vector<double>{1, -1});
    CHECK_FALSE(blockDifferences(runs({true, true, false, false}), 0.95));
    CHECK_FALSE(blockDifferences(runs({true, false, false}), 0.95));
    CHECK_FALSE(blockDifferences(runs({true, false}), 0.95));
    CHECK_FALSE(blockDifferences({}, 0.95));
}

TEST_CASE("plans ask for no more than they need and for no less", "[stats]")
{
    const Spread pilot{5, 1, 1000.0 / 240};
    const Goal goal{3, 0.05, 1, 0.8};
    const auto effort = runsNeeded(goal, pilot, 5);
    REQUIRE(effort);
    CHECK(effort->power >= 0.8);
    CHECK(effort->baselineRuns == effort->runs);
    // One run fewer a side wouldn't do: variance of a run mean 1 + T^2/12 + 25/5.
    const double variance = 1 + std::pow(1000.0 / 240, 2) / 12 + 5;
    const int fewer = effort->runs - 1;
    CHECK(powerOf(3, std::sqrt(2 * variance / fewer), 2 * (fewer - 1), 0.05) < 0.8);

    CHECK(runsNeeded(goal, pilot, 20)->runs <= effort->runs);    // more trials a run
    CHECK(runsNeeded(goal, {5, 1, 1}, 5)->runs <= effort->runs); // a faster camera
    CHECK(runsNeeded({3, 0.05, 4, 0.8}, pilot, 5)->runs
          >= effort->runs - 2); // 4 comparisons: smaller alpha, larger baseline
    const auto many = runsNeeded({3, 0.05, 4, 0.8}, pilot, 5);
    CHECK(many->baselineRuns == 2 * many->runs);
    CHECK_FALSE(runsNeeded(goal, pilot, 5, 3)); // shared errors alone are as large as the margin
    CHECK(runsNeeded({1000, 0.05, 1, 0.8}, pilot, 1)->runs == 4);
}

TEST_CASE("the model's spread is input phase, counting and what is added", "[stats]")
{
    // 60 Hz and 1000 camera frames a second: sqrt(r^2/12 + T^2/6) = 4.828541686, by arithmetic.
    CHECK_THAT(modelledSpread(1000.0 / 60, 1, 0, 0).withinSdMs, WithinAbs(4.828541686, 1e-9));
    CHECK_THAT(modelledSpread(0, 0, 2, 3).withinSdMs, WithinAbs(2, 1e-12));
    CHECK(modelledSpread(0, 0, 2, 3).betweenSdMs == 3);
}
