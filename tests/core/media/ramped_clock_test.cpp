#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/rate_tags.h"
#include "tests/footage/footage.h"
#include "tests/footage/random.h"
#include "tests/footage/temp_folder.h"
#include "tests/footage/timeline.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <functional>
#include <iostream>
#include <limits>

namespace {

using Speeds = std::vector<std::pair<int, footage::Ratio>>;

/// A film that changes its speed at two places, `first` and `second` frames from its start.
struct Ramp {
    const char* name;
    footage::Ratio nominal;
    std::function<void(footage::Spec&, int first, int second)> change;
    const char* file = "film.mp4";
};

constexpr int filmFrames = 540;

/// Captured evenly; the stamps step by `fast`, in the middle by `slow`.
auto baked(footage::Ratio fast, footage::Ratio slow)
{
    return [=](footage::Spec& s, int first, int second) {
        s.storage.playbackRate = fast;
        s.storage.speeds = {{first, slow}, {second, fast}};
    };
}

/// The camera itself changes its rate, and every stamp is the time of its frame.
auto varying(footage::Ratio slow)
{
    return [=](footage::Spec& s, int first, int second) {
        s.camera.speeds = {{first, slow}, {second, s.camera.nominalRate}};
        s.camera.timeJitter = 2e-6;
        s.storage.playbackRate = s.camera.nominalRate;
        s.storage.stamps = footage::StampKind::RealTime;
    };
}

const std::vector<Ramp>& ramps()
{
    static const std::vector<Ramp> all{
        {"240, plays at 240, 30, 240", {240, 1}, baked({240, 1}, {30, 1})},
        {"480, plays at 480, 60, 480", {480, 1}, baked({480, 1}, {60, 1})},
        {"960, plays at 960, 30, 960", {960, 1}, baked({960, 1}, {30, 1})},
        {"239.76, plays at 239.76, 29.97, 239.76", {240000, 1001}, baked({240000, 1001}, {30000, 1001})},
        {"240, plays at 30, 240, 30", {240, 1}, baked({30, 1}, {240, 1})},
        {"240, plays at 240, 30, 240, ms", {240, 1}, baked({240, 1}, {30, 1}), "film.mkv"},
        {"240, slows down bit by bit",
         {240, 1},
         [](footage::Spec& s, int first, int second) {
             s.storage.playbackRate = {240, 1};
             s.storage.speeds = {{first, {180, 1}},
                                 {first + 3, {120, 1}},
                                 {first + 6, {60, 1}},
                                 {first + 9, {30, 1}},
                                 {second, {240, 1}}};
         }},
        {"camera goes 240, 120, 240", {240, 1}, varying({120, 1})},
        {"camera goes 480, 240, 480", {480, 1}, varying({240, 1})},
        {"camera goes 240, 30, 240", {240, 1}, varying({30, 1})},
        {"camera goes 240, 60, 240, ms", {240, 1}, varying({60, 1}), "film.mkv"},
        {"240, outside the middle every 8th frame kept, stamps even",
         {240, 1},
         [](footage::Spec& s, int first, int second) {
             s.storage.stampsShowGaps = false;
             for (int k = 0; k < s.camera.frames; ++k)
                 if ((k < first || k >= second) && k % 8 != 0)
                     s.camera.missing.push_back(k);
         }},
    };
    return all;
}

footage::Spec specOf(const Ramp& ramp, std::uint64_t seed, double& frequency, int& first, int& second)
{
    footage::Random random(seed, 78);
    footage::Spec spec;
    spec.seed = seed;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = filmFrames;
    spec.camera.nominalRate = ramp.nominal;
    spec.camera.ppm = random.uniform(-2000, 2000);
    spec.storage.barcode = false;
    first = 160 + static_cast<int>(random.uniform(0, 40));
    second = 340 + static_cast<int>(random.uniform(0, 40));
    ramp.change(spec, first, second);
    frequency = ramp.nominal.value() / random.uniform(24.3, 24.8);
    spec.scene.lampHold = 0.5 / frequency;
    const double end = footage::captureTimes(spec.camera, seed).back();
    for (int i = 0; (1.1 + i) / frequency < end; ++i) {
        spec.scene.pressTimes.push_back((0.31 + i) / frequency);
        spec.scene.oddities.push_back({i, footage::OddityKind::NoReaction});
    }
    return spec;
}

/// Camera frames a second between two presented frames, as it was.
double trueRate(const footage::Truth& truth, std::int64_t first, std::int64_t last)
{
    const auto& a = truth.frames[first];
    const auto& b = truth.frames[last];
    return static_cast<double>(b.captureIndex - a.captureIndex) / (b.time - a.time);
}

timing::CalibrationTraces within(timing::CalibrationTraces traces, std::int64_t first, std::int64_t last)
{
    for (std::int64_t k = 0; k < std::ssize(traces.lamp); ++k)
        if (k < first || k > last) {
            traces.lamp[k] = std::numeric_limits<double>::quiet_NaN();
            traces.changes[k].known = false;
        }
    return traces;
}

} // namespace

TEST_CASE("the clocks of ramped films are right or withheld, piece by piece", "[media][clock-table]")
{
    const char* times = std::getenv("TALLYFRAME_CLOCK_TIMES");
    const char* from = std::getenv("TALLYFRAME_CLOCK_SEED");
    const int rounds = times ? std::max(1, std::atoi(times)) : 1;
    std::uint64_t seed = from ? std::strtoull(from, nullptr, 10) : 300;
    const TempFolder folder;
    int toldApart = 0, notTold = 0, wronglyCut = 0, stampsRight = 0, stampsWrong = 0, right = 0, withheld = 0,
        wrong = 0;
    for (int round = 0; round < rounds; ++round)
        for (const Ramp& ramp : ramps()) {
            double frequency = 0;
            int first = 0, second = 0;
            const footage::Spec spec = specOf(ramp, ++seed, frequency, first, second);
            const footage::Truth truth = footage::make(spec, folder / ramp.file);
            const auto footage = media::openFootage(folder / ramp.file);
            const timing::CalibrationTraces traces =
                media::calibrationTraces(*footage, {truth.lamp.x, truth.lamp.y, truth.lamp.width, truth.lamp.height});
            const std::int64_t count = footage->frameCount().value;
            INFO(ramp.name << ", seed " << seed);
            REQUIRE(count == std::ssize(truth.frames));

            // Stamps show a change of speed unless frames were dropped and the others stamped evenly.
            std::vector<std::pair<std::int64_t, std::int64_t>> steady;
            for (const timing::StampPiece& piece : media::stampPiecesOf(*footage)) {
                if (!piece.pattern.step)
                    continue;
                steady.emplace_back(piece.first.value, piece.last.value);
                for (const timing::RateEvidence& said : media::rateEvidence(*footage, piece.pattern)) {
                    const bool holds = std::abs(trueRate(truth, piece.first.value, piece.last.value) - said.rate)
                                       <= 2 * said.rate * said.relativeUncertainty;
                    stampsRight += holds;
                    stampsWrong += !holds;
                    if (!holds)
                        WARN(ramp.name << ", seed " << seed << ": stamps say " << said.rate);
                }
            }
            if (steady.empty()) {
                ++notTold;
                steady = {{0, count - 1}};
            } else {
                // One speed a piece: a boundary lies on the first frame of the new speed; where a speed passes into
                // another bit by bit, beside it.
                const bool cut = steady.size() == 3 && steady[0].second < first + 3 && steady[1].first >= first - 1
                                 && steady[1].second < second + 1 && steady[2].first >= second - 1;
                toldApart += cut;
                wronglyCut += !cut;
                if (!cut)
                    WARN(ramp.name << ", seed " << seed << ": cut into " << steady.size() << ", changes at " << first
                                   << " and " << second);
            }
            for (const auto& [begin, end] : steady) {
                const timing::ReferenceFit fit = timing::calibrate(within(traces, begin, end), {frequency, 0}).fit;
                const double rate = trueRate(truth, begin, end);
                const bool holds = fit.rate && fit.low95() <= rate && rate <= fit.high95();
                right += holds;
                withheld += !fit.rate;
                wrong += fit.rate && !holds;
                if (fit.rate && !holds)
                    WARN(ramp.name << ", seed " << seed << ", frames " << begin << " to " << end << ": " << *fit.rate
                                   << ", is " << rate);
            }
        }
    std::cout << "ramped films: " << toldApart << " told apart, " << notTold << " not told, " << wronglyCut
              << " wrongly cut; rates by stamps: " << stampsRight << " right, " << stampsWrong
              << " wrong; by the lamp: " << right << " right, " << withheld << " withheld, " << wrong << " wrong\n";
    CHECK(wronglyCut == 0);
    CHECK(stampsWrong == 0);
    CHECK(wrong == 0);
    CHECK(notTold <= 2 * rounds);
    CHECK(right >= 2 * withheld);
}
