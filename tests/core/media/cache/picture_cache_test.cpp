#include "core/media/cache/picture_cache.h"
#include "tests/core/media/frames.h"
#include <catch2/catch.hpp>

namespace {

media::Picture picture()
{
    return drawnPicture(AV_PIX_FMT_GRAY8, {64, 64}, [](int, int, int) { return 1; });
}

std::vector<std::int64_t> kept(const media::PictureCache& cache, std::uint64_t handle)
{
    std::vector<std::int64_t> numbers;
    for (std::int64_t n = 0; n < 100; ++n)
        if (cache.contains(handle, {n}))
            numbers.push_back(n);
    return numbers;
}

} // namespace

TEST_CASE("what lies farthest from the cursor leaves the cache first, and sooner behind than ahead", "[media][cache]")
{
    const std::size_t one = picture().bytes();
    media::PictureCache cache(5 * one);
    CHECK_FALSE(cache.capacity(1));
    const int direction = GENERATE(-1, 0, 1);
    cache.lookAt(1, {50}, direction);
    for (std::int64_t n = 40; n <= 60; ++n)
        cache.put(1, {n}, picture());
    CHECK(cache.bytes() == 5 * one);
    CHECK(cache.capacity(1) == 5);
    if (direction < 0)
        CHECK(kept(cache, 1) == std::vector<std::int64_t>{46, 47, 48, 49, 50});
    else if (direction > 0)
        CHECK(kept(cache, 1) == std::vector<std::int64_t>{49, 50, 51, 52, 53});
    else
        CHECK(kept(cache, 1) == std::vector<std::int64_t>{48, 49, 50, 51, 52});
}

TEST_CASE("footage not looked at for longest gives way", "[media][cache]")
{
    const std::size_t one = picture().bytes();
    media::PictureCache cache(4 * one);
    cache.lookAt(1, {10}, 0);
    cache.put(1, {10}, picture());
    cache.lookAt(2, {20}, 0);
    cache.put(2, {20}, picture());
    cache.lookAt(1, {10}, 0);
    for (std::int64_t n = 11; n < 14; ++n)
        cache.put(1, {n}, picture());
    CHECK(kept(cache, 2).empty());
    CHECK(kept(cache, 1).size() == 4);
    cache.put(1, {10}, picture());
    CHECK(cache.bytes() == 4 * one); // a frame is kept once
    cache.drop(1);
    CHECK(cache.bytes() == 0);
    CHECK_FALSE(cache.find(1, {10}));
}

TEST_CASE("where the budget holds too few pictures, those far off are reduced and all together keep to it",
          "[media][cache]")
{
    const auto large = [] {
        return drawnPicture(AV_PIX_FMT_GRAY8, {640, 360}, [](int, int x, int y) { return (x + y) % 200; });
    };
    const std::size_t one = large().bytes();
    media::PictureCache cache(60 * one);
    cache.setReduction(1, {4, {}});
    cache.lookAt(1, {300}, -1);
    for (std::int64_t n = 0; n <= 300; ++n) {
        const media::Picture picture = large();
        cache.put(1, {n},
                  cache.isFarOff(1, {n}, picture) ? media::CachedPicture::reduced(picture, cache.reduction(1), 5)
                                                  : picture);
        while (const auto far = cache.nextToReduce(1))
            cache.reduce(1, far->frame, media::CachedPicture::reduced(far->picture, cache.reduction(1), 5));
        REQUIRE(cache.bytes() <= 60 * one);
    }
    CHECK(*cache.capacity(1) >= 300);
    std::int64_t natives = 0;
    for (std::int64_t n = 0; n <= 300; ++n) {
        INFO("frame " << n);
        if (n >= 10) // the first ones came before it was known what a reduced one takes
            REQUIRE(cache.contains(1, {n}));
        const bool native = static_cast<bool>(cache.find(1, {n}).native());
        natives += native;
        CHECK(native == (n > 300 - 20 ? true : n < 200 ? false : native)); // the nearest ones
    }
    CHECK(natives >= 20);
    CHECK(natives < 60);

    // A native picture takes a reduced one's place, not the other way round.
    cache.put(1, {10}, large());
    CHECK(cache.find(1, {10}).native());
    cache.put(1, {300}, media::CachedPicture::reduced(large(), {4, {}}, 5));
    CHECK(cache.find(1, {300}).native());
    cache.setBudget(10 * one);
    CHECK(cache.bytes() <= 10 * one);
    CHECK(cache.contains(1, {300}));
}
