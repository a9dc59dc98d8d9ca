#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"

#include <catch2/catch.hpp>
#include <functional>
#include <iostream>

namespace {

struct Row {
    const char* name;
    footage::Ratio nominal;
    double ppm;
    footage::Ratio playback;
    std::function<void(footage::Spec&)> change;
    const char* file = "film.mp4";
};

constexpr int flashes = 14;

/// A lamp that blinks a little under 25 frames a flash; no simple fraction of the rate.
footage::Spec specOf(const Row& row, std::uint64_t seed, double& frequency)
{
    footage::Spec spec;
    spec.seed = seed;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.nominalRate = row.nominal;
    spec.camera.ppm = row.ppm;
    spec.storage.playbackRate = row.playback;
    spec.storage.barcode = false;
    const double rate = row.nominal.value() * (1 + row.ppm * 1e-6);
    frequency = row.nominal.value() / 24.69;
    spec.scene.lampHold = 0.5 / frequency;
    for (int i = 0; i < flashes; ++i) {
        spec.scene.pressTimes.push_back((0.31 + i) / frequency);
        spec.scene.oddities.push_back({i, footage::OddityKind::NoReaction});
    }
    spec.camera.frames = static_cast<int>((spec.scene.pressTimes.back() + 0.2 / frequency) * rate);
    if (row.change)
        row.change(spec);
    return spec;
}

} // namespace

TEST_CASE("the clock of filmed lamps is right or withheld", "[media][clock-table]")
{
    const auto nothing = [](footage::Spec&) {};
    const auto realTime = [](footage::Spec& s) { s.storage.stamps = footage::StampKind::RealTime; };
    const auto stillScene = [](footage::Spec& s) { s.scene.roadSpeed = 0; };
    const auto dark = [](footage::Spec& s) { s.scene.lampBrightness = 0.15; };
    const auto compressed = [](footage::Spec& s) { s.storage.quality = 38; };
    const auto lost = [](footage::Spec& s) { s.camera.missing = {90, 91}; };
    const auto lostUnseen = [](footage::Spec& s) {
        s.camera.missing = {170};
        s.storage.stampsShowGaps = false;
    };
    const auto everySecond = [](footage::Spec& s) {
        for (int k = 1; k < s.camera.frames; k += 2)
            s.camera.repeated.push_back(k);
    };
    const std::vector<Row> rows{
        {"239.76 at 23.976", {240000, 1001}, 50, {24000, 1001}, nothing},
        {"240 at 24", {240, 1}, -300, {24, 1}, nothing},
        {"240 at 25", {240, 1}, 1000, {25, 1}, stillScene},
        {"240 at 29.97", {240, 1}, -30000, {30000, 1001}, nothing},
        {"480 at 30", {480, 1}, 30000, {30, 1}, nothing},
        {"480 at 59.94", {480, 1}, -5000, {60000, 1001}, stillScene},
        {"959.04 at 29.97", {960000, 1001}, 200, {30000, 1001}, nothing},
        {"960 at 30", {960, 1}, -625, {30, 1}, compressed},
        {"1000 at 25", {1000, 1}, 10000, {25, 1}, nothing},
        {"1200 at 24", {1200, 1}, -50, {24, 1}, nothing},
        {"240 in real time", {240, 1}, 500, {240, 1}, realTime},
        {"960 in real time, ms", {960, 1}, -400, {960, 1}, realTime, "film.mkv"},
        {"480 in real time, ms", {480, 1}, 800, {480, 1}, realTime, "film.mkv"},
        {"240, dark", {240, 1}, 100, {30, 1}, dark},
        {"960, dark, still",
         {960, 1},
         -2000,
         {30, 1},
         [&](footage::Spec& s) {
             dark(s);
             stillScene(s);
         }},
        {"480, compressed", {480, 1}, 700, {30, 1}, compressed},
        {"480, one B picture", {480, 1}, 700, {30, 1}, [](footage::Spec& s) { s.storage.bFrames = 1; }},
        {"1000, compressed, still",
         {1000, 1},
         -90,
         {30, 1},
         [&](footage::Spec& s) {
             compressed(s);
             stillScene(s);
         }},
        {"240, two lost, stamps show it", {240, 1}, 400, {30, 1}, lost},
        {"960, two lost, stamps show it", {960, 1}, -400, {25, 1}, lost},
        {"480, one lost, unseen", {480, 1}, 60, {30, 1}, lostUnseen},
        {"959.04, one lost, unseen", {960000, 1001}, -60, {24, 1}, lostUnseen},
        {"240, every second repeated", {240, 1}, 2000, {30, 1}, everySecond},
        {"960, every second repeated", {960, 1}, -2000, {30, 1}, everySecond},
        {"1200, every second repeated", {1200, 1}, 90, {30, 1}, everySecond},
    };
    const TempFolder folder;
    int blendsSeen = 0, right = 0, withheld = 0, wrong = 0, repeatsSeen = 0;
    std::uint64_t seed = 0;
    for (const Row& row : rows) {
        double frequency = 0;
        const footage::Spec spec = specOf(row, ++seed, frequency);
        const footage::Truth truth = footage::make(spec, folder / row.file);
        const auto footage = media::openFootage(folder / row.file);
        const timing::StampPattern pattern = media::stampPatternOf(*footage);
        const media::Rect lamp{truth.lamp.x, truth.lamp.y, truth.lamp.width, truth.lamp.height};
        const timing::Calibration found =
            timing::calibrate(media::calibrationTraces(*footage, lamp), {frequency, 0},
                              media::missingFramesOf(*footage, pattern), media::rateEvidence(*footage, pattern));
        const timing::ReferenceFit& fit = found.fit;
        const bool holds = fit.rate && fit.low95() <= truth.captureRate && truth.captureRate <= fit.high95();
        right += holds;
        withheld += !fit.rate;
        wrong += fit.rate && !holds;
        blendsSeen +=
            found.repeats.verdict == timing::PictureRepeats::Verdict::Blended; // codecs blend too, cameras here don't
        repeatsSeen += found.repeats.verdict == timing::PictureRepeats::Verdict::Periodic && found.repeats.period == 2;
        if (!holds)
            WARN(row.name << ": "
                          << (fit.rate
                                  ? std::to_string(*fit.rate) + " +- " + std::to_string(2 * fit.standardUncertainty())
                                  : fit.refused));
    }
    std::cout << "filmed lamps: " << right << " right, " << withheld << " withheld, " << wrong << " wrong\n";
    CHECK(wrong == 0);
    CHECK(withheld <= 1);
    CHECK(repeatsSeen >= 2);
    CHECK(blendsSeen == 0);
}
