#include "core/media/measure/row_profiles.h"
#include "core/media/measure/trace.h"
#include "core/timing/delay.h"
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinAbs;

namespace {

constexpr int height = 288;

/// One camera mode: a rolling shutter in front of a plain surface.
footage::Spec camera(bool fromLastRow, int rotation)
{
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::PulsedLight;
    spec.camera.width = 96;
    spec.camera.height = height;
    spec.camera.nominalRate = {240, 1};
    spec.camera.ppm = 1500;
    spec.camera.exposure = 0.1;
    spec.camera.lineTime = 12.5e-6;
    spec.camera.readFromBottom = fromLastRow;
    spec.storage.rotation = rotation;
    spec.storage.barcode = false;
    return spec;
}

/// First frames in which a region is brighter than a tenth of the way from dark to bright.
std::vector<std::int64_t> onsets(const media::Trace& trace)
{
    const auto [dark, bright] = std::ranges::minmax(trace, {}, &media::RegionLevels::mean);
    const double visible = dark.mean + 0.1 * (bright.mean - dark.mean);
    std::vector<std::int64_t> frames;
    for (std::size_t k = 1; k < trace.size(); ++k)
        if (trace[k].mean > visible && trace[k - 1].mean <= visible)
            frames.push_back(static_cast<std::int64_t>(k));
    return frames;
}

} // namespace

// A slow light on the surface is seen by all rows at once, so from one flash in rows near the top to the next flash in
// rows near the bottom it is exactly 1/frequency, and what the rows add to the count is rolling shutter's alone.
TEST_CASE("a line time measured from bands makes counted delays the true ones, read either way, turned or not",
          "[media]")
{
    const bool fromLastRow = GENERATE(false, true);
    const int rotation = GENERATE(0, 90);
    const TempFolder folder;

    footage::Spec bands = camera(fromLastRow, rotation);
    bands.camera.frames = 20;
    bands.scene.pulseRate = 1871;
    const footage::Truth truth = footage::make(bands, folder / "bands.mp4");
    const auto profiles =
        media::rowProfiles(media::openFootage(folder / "bands.mp4"), {0, 0, 96, height}, {0}, media::usualProfiles);
    const timing::LineTimeFit fit =
        timing::fitLineTime(profiles, {bands.scene.pulseRate, 0}, {height, truth.captureRate, 1e-5});
    REQUIRE(fit.lineTime);

    footage::Spec flashes = camera(fromLastRow, rotation);
    flashes.camera.frames = 420;
    flashes.scene.pulseRate = 22.9; // 10.5 camera frames apart
    footage::make(flashes, folder / "flashes.mp4");
    const auto opened = media::openFootage(folder / "flashes.mp4");
    const media::Rect lamp{8, 12, 80, 8}, screen{8, 268, 80, 8}; // 256 rows from middle to middle: 3.2 ms
    const auto traces = media::traceRegions(*opened, {lamp, screen});
    const std::vector<std::int64_t> presses = onsets(traces[0]), responses = onsets(traces[1]);
    REQUIRE(presses.size() >= 38);

    const timing::ShutterEffect rows = timing::knownLineTime({*fit.lineTime, fit.standardUncertainty, fit.order}, 256);
    CHECK_THAT(rows.correction.add.count(), WithinAbs(fromLastRow ? -3.2 : 3.2, 0.02));
    const timing::CaptureTime time = timing::CaptureTime::even(truth.captureRate, opened->frameCount());
    const double truly = 1000 / flashes.scene.pulseRate;
    const double within = 4 * 12.5e-3; // ms: half of either region's rows
    double sum = 0;
    int trials = 0, held = 0, heldUncorrected = 0;
    for (const std::int64_t press : presses) {
        const auto response =
            std::ranges::find_if(responses, [&](std::int64_t k) { return k > press + 5; }); // the next flash
        if (response == responses.end())
            continue;
        const auto corrected =
            std::get<timing::TrialDelay>(timing::trialDelay(time, {press}, {*response}, rows.correction));
        const auto counted = std::get<timing::TrialDelay>(timing::trialDelay(time, {press}, {*response}));
        const auto holds = [&](const timing::TrialDelay& delay) {
            return delay.earliest.count() - within <= truly && truly <= delay.latest.count() + within;
        };
        held += holds(corrected);
        heldUncorrected += holds(counted);
        sum += corrected.delay.count() - truly;
        ++trials;
    }
    REQUIRE(trials >= 37);
    CHECK(held == trials);
    CHECK(heldUncorrected < trials);
    // Counting scatters by T/sqrt(6) = 1.7 ms at most, the mean of 38 by 0.28; without correction it would be 3.2 off.
    CHECK_THAT(sum / trials, WithinAbs(0, 0.9));
}
