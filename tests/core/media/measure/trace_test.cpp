#include "core/media/measure/trace.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "tests/core/media/films.h"
#include "tests/footage/footage.h"
#include <catch2/catch.hpp>

namespace {

void checkTrace(const std::shared_ptr<const media::Footage>& footage)
{
    const std::vector<media::Rect> regions{{10, 10, 40, 30}, {200, 60, 33, 55}, {0, 0, 10000, 10000}};
    std::vector<media::Trace> pieces(regions.size());
    std::int64_t calls = 0;
    const auto partial = [&](timing::FrameNumber first, const std::vector<media::Trace>& added) {
        ++calls;
        REQUIRE(added.size() == regions.size());
        CHECK(first.value == static_cast<std::int64_t>(pieces[0].size()));
        for (std::size_t i = 0; i < added.size(); ++i)
            pieces[i].insert(pieces[i].end(), added[i].begin(), added[i].end());
    };
    std::int64_t done = 0, total = 0;
    const auto progress = [&](std::int64_t d, std::int64_t t) {
        done = d;
        total = t;
    };
    const std::vector<media::Trace> traces = media::traceRegions(*footage, regions, {}, progress, partial);
    CHECK(total > 0);
    CHECK(done <= total);
    REQUIRE(traces.size() == regions.size());
    media::FrameReader reader(footage);
    for (std::int64_t n = 0; n < footage->frameCount().value; ++n) {
        const media::Picture picture = reader.read({n});
        for (std::size_t i = 0; i < regions.size(); ++i) {
            const media::RegionLevels expected = media::measure(picture, regions[i]);
            const auto& found = traces[i].at(static_cast<std::size_t>(n));
            CHECK((found.mean == expected.mean && found.min == expected.min && found.max == expected.max));
            CHECK(pieces[i].at(static_cast<std::size_t>(n)).mean == expected.mean);
        }
    }
    CHECK(traces[0].size() == footage->frames.size());
}

} // namespace

TEST_CASE("a trace holds every frame's levels, and so do its parts", "[media][trace]")
{
    checkTrace(smallFilm("mp4"));
    checkTrace(smallFilm("mkv"));
    footage::Spec pictures = smallSpec(8);
    pictures.storage.container = pictures.storage.codec = "png";
    pictures.storage.pixelFormat = "rgb24";
    checkTrace(media::openFootage(film("pictures", pictures)));
}

TEST_CASE("lamp and reaction show in the traces at the true frames", "[media][trace]")
{
    footage::Spec spec;
    spec.camera.frames = 180;
    spec.scene.pressTimes = {0.06};
    const std::filesystem::path path = film("bench.mp4", spec);
    const footage::Truth truth = footage::foresee(spec);
    REQUIRE(truth.presses.size() == 1);
    REQUIRE(truth.presses[0].lampFrame);
    REQUIRE(truth.presses[0].reactionFrame);
    const auto rect = [](const footage::Rect& r) { return media::Rect{r.x, r.y, r.width, r.height}; };
    const auto traces = media::traceRegions(*media::openFootage(path), {rect(truth.lamp), rect(truth.screen)});
    const auto firstRise = [](const media::Trace& trace) {
        double low = 255, high = 0;
        for (const media::RegionLevels& levels : trace) {
            low = std::min(low, levels.mean);
            high = std::max(high, levels.mean);
        }
        std::int64_t n = 0;
        while (trace[n].mean < low + (high - low) / 4)
            ++n;
        return n;
    };
    // The film says "visible" at a tenth of the change, the trace crosses a quarter: a frame later at most while a lamp
    // of 50 us and a panel of 1.2 ms rise; frames are 1.04 ms apart.
    CHECK(firstRise(traces[0]) - *truth.presses[0].lampFrame >= 0);
    CHECK(firstRise(traces[0]) - *truth.presses[0].lampFrame <= 1);
    CHECK(firstRise(traces[1]) - *truth.presses[0].reactionFrame >= 0);
    CHECK(firstRise(traces[1]) - *truth.presses[0].reactionFrame <= 2);
}

TEST_CASE("tracing stops when asked to and notices another file", "[media][trace]")
{
    const TempFolder folder;
    std::filesystem::copy_file(film("small.mp4", smallSpec()), folder / "a.mp4");
    const auto footage = media::openFootage(folder / "a.mp4");
    std::stop_source stop;
    stop.request_stop();
    CHECK_THROWS_AS(media::traceRegions(*footage, {{0, 0, 5, 5}}, stop.get_token()), core::Cancelled);
    footage::Spec other = smallSpec();
    other.seed = 3;
    std::filesystem::copy_file(film("another.mp4", other), folder / "a.mp4",
                               std::filesystem::copy_options::overwrite_existing);
    try {
        media::traceRegions(*footage, {{0, 0, 5, 5}});
        FAIL("another film was traced");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::AtOdds);
    }
}
