#include "core/media/cache/prefetch_plan.h"
#include <catch2/catch.hpp>
#include <set>

namespace {

using media::PrefetchPlan;
using media::PrefetchView;

/// Decodes what the plan asks for, one frame at a time, until it is content.
std::vector<std::int64_t> filled(PrefetchPlan& plan, const PrefetchView& view, std::set<std::int64_t>& there)
{
    std::vector<std::int64_t> order;
    while (const auto n = plan.next(view, [&](timing::FrameNumber f) { return there.contains(f.value); })) {
        order.push_back(n->value);
        REQUIRE(there.insert(n->value).second);
    }
    return order;
}

} // namespace

TEST_CASE("forwards the next frames are fetched, nearest first, up to the end", "[media][prefetch]")
{
    PrefetchPlan plan;
    std::set<std::int64_t> there{50, 52};
    const auto order = filled(plan, {50, 1, 60, 1000}, there);
    CHECK(order == std::vector<std::int64_t>{51, 53, 54, 55, 56, 57, 58, 59});
    CHECK(filled(plan, {20, 1, 600, 1000}, there).size() == 24);
    CHECK(filled(plan, {100, 1, 600, 8}, there).size() == 6); // three quarters of what the cache holds
    CHECK(filled(plan, {200, 1, 600, 1}, there).empty());
}

TEST_CASE("backwards a large reserve is filled up again once half of it is used", "[media][prefetch]")
{
    PrefetchPlan plan;
    std::set<std::int64_t> there{500};
    const auto order = filled(plan, {500, -1, 1000, 200}, there);
    REQUIRE(order.size() == 150);
    CHECK(order.front() == 499);
    CHECK(order.back() == 350);
    CHECK(filled(plan, {430, -1, 1000, 200}, there).empty());
    CHECK(filled(plan, {424, -1, 1000, 200}, there).size() == 76);
    CHECK(filled(plan, {10, -1, 1000, 200}, there).back() == 0);
}

TEST_CASE("standing still both neighbourhoods are fetched", "[media][prefetch]")
{
    PrefetchPlan plan;
    std::set<std::int64_t> there{50};
    CHECK(filled(plan, {50, 0, 1000, 100}, there).size() == 16);
    CHECK(there == std::set<std::int64_t>{42, 43, 44, 45, 46, 47, 48, 49, 50, 51, 52, 53, 54, 55, 56, 57, 58});
    CHECK(PrefetchPlan::serves({50, 0, 1000, 100}, {58}));
    CHECK_FALSE(PrefetchPlan::serves({50, 0, 1000, 100}, {59}));
    CHECK_FALSE(PrefetchPlan::serves({50, 1, 1000, 100}, {49}));
}
