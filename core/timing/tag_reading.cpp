#include "core/timing/tag_reading.h"
#include "core/timing/short_number.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string_view>

namespace timing {
namespace {

/// A rate below this isn't a camera's that films a press.
constexpr double lowestRate = 0.01;
constexpr std::size_t mostText = 100; ///< characters of a key or value that are shown
constexpr double angleSteps = 60;     ///< of a degree (SMPTE RDD 18)

struct Known {
    const char* key;
    TagReading::Says says;
    const char* meaning;
    bool thousandths = false; ///< plain numbers of 1000 and more are thousandths of a frame a second
};

using enum TagReading::Says;

/// A readout time is no frame time, a wish to the player no rate, and a playback rate says nothing of the capture.
constexpr std::array known{
    Known{"com.android.capture.fps", CaptureRate,
          "the rate asked for, nominal until calibrated"}, // not guaranteed (platform documentation)
    Known{"com.arri.camera.SensorFps", CaptureRate, "the rate asked for, nominal until calibrated", true},
    Known{"smta recording mode", CaptureRate,
          "the rate asked for, nominal until calibrated"}, // this and the further names: core/media/tags/rate_tags.h
    Known{"VideoFrame captureFps", CaptureRate, "the rate asked for, nominal until calibrated"},
    Known{"sidecar captureFps", CaptureRate, "the rate asked for, nominal until calibrated"},
    Known{"RDD 18 capture frame rate", CaptureRate, "the rate asked for, nominal until calibrated"},
    Known{"com.apple.quicktime.full-frame-rate-playback-intent", NoRate,
          "asks players to show every frame; ordinary clips carry it too, so it says nothing of the capture rate"},
    Known{"com.apple.quicktime.camera.framereadouttimeinmicroseconds", NoRate,
          "the microseconds from the first to the last row of one frame (rolling shutter), never the time from frame "
          "to frame"},
    Known{"VideoFrame formatFps", NoRate, "playback rate, never the capture rate by itself"},
    Known{"sidecar formatFps", NoRate, "playback rate, never the capture rate by itself"},
    Known{"RecordingMode type", NoRate, "how it was recorded; only captureFps says at what rate"},
    Known{"XMP videoFrameRate", NoRate, "playback rate of an editing program, never the capture rate"},
    Known{"RDD 18 readout mode", NoRate, "how the sensor is read out; no rate"},
    Known{"RDD 18 shutter angle", NoRate, "how much of a frame's time is exposed, in 1/60 degree; no rate"},
    Known{"container frame rate", NoRate,
          "how fast the container has it played; footage slowed for viewing says the same"},
    Known{"slow-motion segments", NoRate,
          "parts that players are asked to slow down; between them frames may have been dropped or not, so each part "
          "has a clock of its own"},
    Known{"Super_SlowMotion_Data", NoRate,
          "a part that the phone took much faster; how the numbers are meant isn't published, so it isn't read: film a "
          "lamp of known frequency, or declare the rate"},
    Known{"damaged metadata", Nothing, "there is damage, so that what it should say is left alone"},
};

/// Words that make an entry look like a rate.
constexpr std::array rateWords{
    "fps",        "framerate",   "frame_rate",   "frame rate",   "frame-rate", "frames per second",
    "slowmo",     "slow_mo",     "slow-mo",      "slow motion",  "highspeed",  "high_speed",
    "high speed", "capturerate", "capture_rate", "capture rate", "recordrate"};

std::string lower(std::string_view text)
{
    std::string result(text);
    std::ranges::transform(result, result.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return result;
}

/// Metadata may hold any bytes, and megabytes of them.
std::string shown(std::string_view text)
{
    std::string result(text.substr(0, mostText));
    std::ranges::replace_if(
        result, [](char c) { return c < ' ' || c > '~'; }, '?');
    return text.size() > mostText ? result + " ..." : result;
}

template <class Number> std::optional<Number> parsed(std::string_view text)
{
    Number number{};
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (fault != std::errc() || end != text.data() + text.size())
        return std::nullopt;
    return number;
}

std::optional<RateEvidence> rateOf(const Known& tag, std::string_view text)
{
    RateEvidence evidence;
    evidence.origin = Origin::Tag;
    if (const std::size_t slash = text.find('/'); slash != std::string_view::npos) {
        const auto numerator = parsed<std::int64_t>(text.substr(0, slash));
        const auto denominator = parsed<std::int64_t>(text.substr(slash + 1));
        if (!numerator || !denominator || *numerator <= 0 || *denominator <= 0)
            return std::nullopt;
        evidence.exactRate = FrameRate(*numerator, *denominator);
        evidence.rate = evidence.exactRate->toDouble();
    } else {
        const auto number = parsed<double>(text);
        if (!number)
            return std::nullopt;
        evidence.rate = tag.thousandths && *number >= 1000 ? *number / 1000 : *number;
    }
    if (!(evidence.rate >= lowestRate && evidence.rate <= highestRate)) // nor NaN
        return std::nullopt;
    if (!evidence.exactRate && evidence.rate == std::round(evidence.rate))
        evidence.exactRate = FrameRate(static_cast<std::int64_t>(evidence.rate));
    evidence.relativeUncertainty = uncalibratedTolerance / std::sqrt(3.0);
    evidence.note = std::string("metadata ") + tag.key + ": " + tag.meaning;
    if (const auto nearby = nearbyNtscRate(evidence.rate))
        evidence.note += "; near " + nearby->toString();
    return evidence;
}

/// "10800, that is 180 degrees".
std::string withDegrees(const std::string& value)
{
    const auto steps = parsed<double>(value);
    return steps ? value.substr(0, 16) + ", that is " + shortNumber(*steps / angleSteps, "%.4g") + " degrees" : value;
}

TagReading reading(const Known& tag, const std::string& key, const std::string& value)
{
    TagReading found{shown(key), shown(value), tag.says, {}, tag.meaning};
    if (lower(tag.key) == "rdd 18 shutter angle")
        found.value = withDegrees(found.value);
    if (tag.says != CaptureRate)
        return found;
    found.evidence = rateOf(tag, value);
    if (!found.evidence) {
        found.says = Nothing;
        found.meaning = "that is no rate of a camera, so it is left alone";
    }
    return found;
}

const Known* knownTag(const std::string& key)
{
    const auto found =
        std::ranges::find_if(known, [name = lower(key)](const Known& tag) { return lower(tag.key) == name; });
    return found == known.end() ? nullptr : &*found;
}

bool speaksOfRates(const std::string& text)
{
    constexpr std::size_t looked = 2'000; // characters
    const std::string plain = lower(std::string_view(text).substr(0, looked));
    return std::ranges::any_of(rateWords, [&](const char* word) { return plain.find(word) != std::string::npos; });
}

} // namespace

std::optional<TagReading> readTag(const std::string& key, const std::string& value)
{
    if (const Known* tag = knownTag(key))
        return reading(*tag, key, value);
    if (!speaksOfRates(key) && !speaksOfRates(value))
        return std::nullopt;
    return TagReading{
        shown(key),
        shown(value),
        NoRate,
        {},
        "words that no rule defines, so they are no evidence; declare the rate if you know what they mean"};
}

std::vector<TagReading> readTags(const std::map<std::string, std::string>& tags)
{
    std::vector<TagReading> readings;
    for (const auto& [key, value] : tags)
        if (auto found = readTag(key, value))
            readings.push_back(std::move(*found));
    const auto place = [](const TagReading& each) {
        const Known* tag = knownTag(each.key);
        return tag ? tag - known.data() : std::ssize(known);
    };
    std::ranges::stable_sort(readings, {},
                             [&](const TagReading& each) { return std::pair(each.says != CaptureRate, place(each)); });
    return readings;
}

} // namespace timing
