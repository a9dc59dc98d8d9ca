#include "tests/footage/sample.h"
#include "tests/footage/sequential_decode.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <set>

using footage::OddityKind;

TEST_CASE("the sample holds four runs and at least twelve sound trials of every configuration", "[footage][sample]")
{
    std::map<std::string, std::set<int>> blocks;
    std::map<std::string, int> sound;
    std::map<OddityKind, int> odd;
    std::map<int, double> delays; // of a block, its sound trials summed
    int lossy = 0;
    for (const auto& capture : footage::sampleCaptures()) {
        CAPTURE(capture.file);
        const auto truth = footage::foresee(capture.spec);
        lossy += truth.missing.empty() ? 0 : 1;
        for (const auto& press : truth.presses) {
            CHECK(press.lampFrame);
            if (capture.lampFrequency > 0) {
                CHECK_FALSE(press.reactionFrame);
                continue;
            }
            blocks[capture.configuration].insert(capture.block);
            if (press.oddity) {
                ++odd[*press.oddity];
                continue;
            }
            REQUIRE(press.reactionFrame);
            ++sound[capture.configuration];
            delays[capture.block] += *press.delay;
            CHECK(press.mirrorFrame.has_value() == (capture.configuration == footage::mirroredConfiguration));
            if (press.mirrorFrame) // in step with the monitor
                CHECK(std::abs(*press.mirrorFrame - *press.reactionFrame - 9.5) < 1);
            // Frames between the marks against the true delay: one frame at either end, the frames lost, the rise of
            // the pixels and the time until the scan has brightened a tenth of the panel.
            const double frames = *press.reactionFrame - *press.lampFrame;
            CHECK(frames / truth.captureRate > *press.delay - 5 / truth.captureRate);
            CHECK(frames / truth.captureRate < *press.delay + 1 / truth.captureRate + 0.004);
        }
    }
    REQUIRE(blocks.size() == 6);
    for (const auto& [configuration, runs] : blocks) {
        CAPTURE(configuration);
        CHECK(runs == std::set{1, 2, 3, 4});
        CHECK(sound[configuration] >= 12);
    }
    CHECK(delays[4] / 24 > delays[1] / 24 + 0.004); // blocks drift
    CHECK(odd[OddityKind::DoublePress] == 1);
    CHECK(odd[OddityKind::EarlyChange] == 1);
    CHECK(odd[OddityKind::NoReaction] == 1);
    CHECK(lossy == 1);
}

TEST_CASE("the footage in the sample folder shows what the sample's truth says", "[footage][sample]")
{
    // A few of them, odd ones and one of either camera mode: decoding all takes a minute.
    const std::set<std::string> looked{"run07.mp4", "run08.mp4", "run10.mp4", "run12.mp4", "run24.mp4"};
    for (const auto& capture : footage::sampleCaptures()) {
        if (!looked.contains(capture.file))
            continue;
        CAPTURE(capture.file);
        const auto truth = footage::foresee(capture.spec);
        std::vector<double> lamp, screen, mirror;
        footage::decodeFile(std::filesystem::path(SAMPLE_FOOTAGE) / capture.file, [&](const AVFrame& frame) {
            lamp.push_back(footage::regionMean(frame, truth.lamp));
            screen.push_back(footage::regionMean(frame, truth.screen));
            if (truth.mirror.width > 0)
                mirror.push_back(footage::regionMean(frame, truth.mirror));
        });
        REQUIRE(lamp.size() == truth.frames.size());
        const auto passesTenth = [](const std::vector<double>& means, int frame) {
            const auto at = [&](int n) { return means[n]; };
            const auto [low, high] = std::minmax_element(means.begin(), means.end());
            const double span = *high - *low;
            return at(frame - 1) < *low + 0.1 * span && at(frame) >= *low + 0.1 * span;
        };
        for (const auto& press : truth.presses) {
            CAPTURE(press.press);
            CHECK(passesTenth(lamp, *press.lampFrame));
            if (press.reactionFrame)
                CHECK(passesTenth(screen, *press.reactionFrame));
            if (press.mirrorFrame)
                CHECK(passesTenth(mirror, *press.mirrorFrame));
        }
    }
}
