#include "core/reading/lamp_search.h"
#include "tests/core/reading/reading_films.h"
#include "tests/footage/reaction_film.h"
#include <catch2/catch.hpp>

namespace {

media::Rect rectOf(const footage::Rect& r) { return {r.x, r.y, r.width, r.height}; }

bool covers(const media::Rect& outer, const media::Rect& inner)
{
    return outer.x <= inner.x && outer.y <= inner.y && outer.x + outer.width >= inner.x + inner.width
           && outer.y + outer.height >= inner.y + inner.height;
}

/// The lamp of press `k`, looked for from `from` on, in its place in that frame.
void isFound(const std::shared_ptr<const media::Footage>& film, const footage::ReactionSpec& spec,
             const footage::ReactionTruth& truth, int from, std::size_t k)
{
    CAPTURE(from, truth.presses.at(k).first);
    const auto lamp = reading::findLamp(film, {from}, {rectOf(truth.screen)}, session::LampEvent::Lights);
    REQUIRE(lamp);
    CHECK(std::abs(lamp->frame.value - truth.presses[k].first) <= 2);
    const media::Rect found = reading::regionOn(lamp->spot, rectOf(truth.lamp), {spec.width, spec.height});
    const footage::CameraState& camera = truth.camera.at(std::size_t(lamp->frame.value));
    INFO(found.x << ", " << found.y << " for " << truth.lamp.x + camera.x << ", " << truth.lamp.y + camera.y);
    CHECK(std::abs(found.x - truth.lamp.x - camera.x) <= 2.5);
    CHECK(std::abs(found.y - truth.lamp.y - camera.y) <= 2.5);
}

} // namespace

TEST_CASE("the lamp is found where it lights next, whatever else moves", "[lampsearch]")
{
    footage::ReactionSpec spec;
    spec.lamp = GENERATE(footage::LampKind::Switched, footage::LampKind::Dims, footage::LampKind::Held,
                         footage::LampKind::AutoFire);
    spec.idle = GENERATE(footage::IdleKind::Still, footage::IdleKind::Sky);
    spec.width = 320;
    spec.height = 180;
    spec.pressGap = 0.5;
    spec.presses = 2;
    spec.shake = GENERATE(0.0, 2.0);
    spec.ripple = 0.03;
    spec.noise = 4;
    const TempFolder folder;
    const footage::ReactionTruth truth = footage::filmReactions(spec, folder / "film.mp4");
    const auto film = media::openFootage(folder / "film.mp4");
    CAPTURE(int(spec.lamp), int(spec.idle), spec.shake);

    // From the film's beginning; then just before the second press, and on its first frame.
    isFound(film, spec, truth, 0, 0);
    isFound(film, spec, truth, truth.presses.at(1).first - 30, 1);
    isFound(film, spec, truth, truth.presses.at(1).first, 1);
}

TEST_CASE("a lamp that lights in the first frames of a film is found", "[lampsearch]")
{
    footage::ReactionSpec spec;
    spec.seed = GENERATE(1, 2, 3, 4);
    spec.start = 0;
    spec.width = 320;
    spec.height = 180;
    spec.presses = 1;
    spec.shake = 2;
    spec.ripple = 0.03;
    spec.noise = 4;
    const TempFolder folder;
    const footage::ReactionTruth truth = footage::filmReactions(spec, folder / "film.mp4");
    REQUIRE(truth.presses.at(0).first < 36);
    isFound(media::openFootage(folder / "film.mp4"), spec, truth, 0, 0);
}

TEST_CASE("no lamp is found where none lights", "[lampsearch]")
{
    footage::ReactionSpec spec;
    spec.width = 320;
    spec.height = 180;
    spec.pressGap = 0.5;
    spec.ripple = 0.05;
    spec.shake = 2;
    const TempFolder folder;
    const footage::ReactionTruth truth = footage::filmReactions(spec, folder / "film.mp4");
    const auto film = media::openFootage(folder / "film.mp4");
    // The lamp's glow lights the table around it.
    const media::Rect lamp{truth.lamp.x - 28, truth.lamp.y - 28, truth.lamp.width + 56, truth.lamp.height + 56};
    const auto none = reading::findLamp(film, {0}, {rectOf(truth.screen), lamp}, session::LampEvent::Lights);
    INFO("first press " << truth.presses.front().first << ", found at " << (none ? none->spot.x : 0) << ", "
                        << (none ? none->spot.y : 0) << " in frame " << (none ? none->frame.value : 0));
    CHECK_FALSE(none);
    CHECK_FALSE(
        reading::findLamp(film, {truth.presses.back().plain + 8}, {rectOf(truth.screen)}, session::LampEvent::Lights));
}

TEST_CASE("a region moved onto a spot keeps its size and stays in the picture", "[lampsearch]")
{
    using media::Rect;
    CHECK(reading::regionOn({100, 50, 8, 8}, Rect{10, 10, 30, 20}, {320, 180}) == Rect{89, 44, 30, 20});
    CHECK(reading::regionOn({312, 0, 8, 8}, Rect{10, 10, 30, 20}, {320, 180}) == Rect{290, 0, 30, 20});
    CHECK(reading::regionOn({100, 50, 40, 8}, Rect{10, 10, 30, 20}, {320, 180}) == Rect{105, 44, 30, 20});
    CHECK(covers(reading::regionOn({100, 50, 8, 20}, {}, {320, 180}), {100, 50, 8, 20}));
    CHECK(reading::regionOn({0, 0, 8, 8}, {}, {10, 6}) == Rect{0, 0, 10, 6});
}
