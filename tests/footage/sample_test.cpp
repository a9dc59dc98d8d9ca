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
    CHECK(odd[OddityKind::DoublePress] == 1);
    CHECK(odd[OddityKind::EarlyChange] == 1);
    CHECK(odd[OddityKind::NoReaction] == 1);
    CHECK(lossy == 1);
}

TEST_CASE("the footage in the sample folder shows what the sample's truth says", "[footage][sample]")
{
    // A few of them, odd ones and one of either camera mode: decoding all takes a minute.
    const std::set<std::string> looked{"run07.mp4", "run10.mp4", "run12.mp4", "run24.mp4"};
    for (const auto& capture : footage::sampleCaptures()) {
        if (!looked.contains(capture.file))
            continue;
        CAPTURE(capture.file);
        const auto truth = footage::foresee(capture.spec);
        std::vector<double> lamp, screen;
        footage::decodeFile(std::filesystem::path(SAMPLE_FOOTAGE) / capture.file, [&](const AVFrame& frame) {
            lamp.push_back(footage::regionMean(frame, truth.lamp));
            screen.push_back(footage::regionMean(frame, truth.screen));
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
        }
    }
}
