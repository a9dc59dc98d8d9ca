#include "core/timing/rate_evidence.h"
#include "core/timing/short_number.h"
#include "core/timing/picture_repeats.h"
#include "core/timing/tag_reading.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace timing {
namespace {

/// Stamps this much slower than a tagged capture rate are playback of slowed footage.
constexpr double slowedRatio = 1.5;

double rectangular(double halfWidth) { return halfWidth / std::sqrt(3.0); }

bool plausible(double rate) { return std::isfinite(rate) && rate > 0 && rate <= highestRate; }

std::optional<FrameRate> wholeRate(double rate)
{
    if (rate != std::round(rate) || rate > highestRate)
        return std::nullopt;
    return FrameRate(static_cast<std::int64_t>(rate));
}

std::string familyNote(double rate)
{
    const auto nearby = nearbyNtscRate(rate);
    return nearby ? "; near " + nearby->toString() : "";
}

/// Bare streams and picture folders carry no stamps: libav assumes a rate, often 25.
bool stampsAreAssumed(const std::string& container)
{
    constexpr std::array assumed{"pictures", "image2",    "h264", "hevc", "mjpeg", "mjpeg_2000",
                                 "m4v",      "mpegvideo", "obu",  "av1",  "vc1",   "rawvideo"};
    return std::any_of(assumed.begin(), assumed.end(), [&](const char* name) { return container == name; });
}

std::optional<RateEvidence> stampEvidence(const StampPattern& pattern)
{
    const auto rate = pattern.rate();
    if (!rate || !plausible(*rate))
        return std::nullopt;
    RateEvidence evidence;
    evidence.origin = Origin::Stamps;
    evidence.rate = *rate;
    if (pattern.variesAsRealTimes) {
        evidence.relativeUncertainty = std::hypot(pattern.relativeUncertainty, deviceClockUncertainty);
        evidence.note = "stamps scatter as measured times do; holds only if the footage wasn't slowed afterwards";
        return evidence;
    }
    if (*rate <= playbackLimit)
        return std::nullopt;
    if (pattern.exactStep)
        evidence.exactRate = FrameRate(1) / *pattern.exactStep;
    evidence.relativeUncertainty = std::hypot(pattern.relativeUncertainty, rectangular(uncalibratedTolerance));
    evidence.note =
        "stamps step evenly, faster than any playback rate in use: the camera's nominal rate" + familyNote(*rate);
    return evidence;
}

std::string described(const RateEvidence& e) { return shortNumber(e.rate) + " a second (" + label(e.origin) + ")"; }

} // namespace

std::vector<RateEvidence> gatherEvidence(const StampPattern& pattern, const std::map<std::string, std::string>& tags,
                                         const std::string& container)
{
    std::vector<RateEvidence> evidence;
    double fastestTag = 0;
    for (const TagReading& tag : readTags(tags))
        if (tag.evidence) {
            fastestTag = std::max(fastestTag, tag.evidence->rate);
            evidence.push_back(*tag.evidence);
        }
    if (!stampsAreAssumed(container)) {
        const auto stamps = stampEvidence(pattern);
        if (stamps && fastestTag < slowedRatio * stamps->rate)
            evidence.insert(evidence.begin(), *stamps);
    }
    return evidence;
}

RateEvidence declaredEvidence(double rate, double toleranceRelative)
{
    assert(rate > 0 && std::isfinite(rate) && toleranceRelative >= 0);
    RateEvidence evidence;
    evidence.origin = Origin::Declared;
    evidence.rate = rate;
    evidence.exactRate = wholeRate(rate);
    evidence.relativeUncertainty = rectangular(toleranceRelative);
    evidence.note = "typed in, within \u00b1" + shortNumber(toleranceRelative * 100) + " %" + familyNote(rate);
    return evidence;
}

RateEvidence pictureEvidence(const PictureRepeats& repeats, const RateEvidence& claimed)
{
    assert(repeats.adding < repeats.period);
    RateEvidence evidence;
    evidence.origin = Origin::Pictures;
    evidence.rate = claimed.rate * repeats.adding / repeats.period;
    evidence.relativeUncertainty = claimed.relativeUncertainty;
    evidence.note = repeats.sentence(claimed.rate);
    return evidence;
}

bool agree(const RateEvidence& a, const RateEvidence& b)
{
    if (std::min(a.origin, b.origin) == Origin::Reference && std::max(a.origin, b.origin) == Origin::Pictures)
        return true;
    const double combined = std::hypot(a.rate * a.relativeUncertainty, b.rate * b.relativeUncertainty);
    // Both exact: only their own rounding may part them.
    const double rounding = 1e-12 * std::max(a.rate, b.rate);
    return std::abs(a.rate - b.rate) <= 2 * combined + rounding;
}

std::string dispute(const RateEvidence& a, const RateEvidence& b)
{
    if (agree(a, b))
        return {};
    if (a.origin == Origin::Pictures || b.origin == Origin::Pictures) {
        const RateEvidence &shown = a.origin == Origin::Pictures ? a : b,
                           &claimed = a.origin == Origin::Pictures ? b : a;
        return "of " + described(claimed) + " only " + shortNumber(shown.rate)
               + " show something new: frames are repeated or made up between real ones; check with a lamp of known "
                 "frequency";
    }
    const double ratio = std::max(a.rate, b.rate) / std::min(a.rate, b.rate);
    const double whole = std::round(ratio);
    std::string text = described(a) + " and " + described(b);
    if (whole >= 2 && std::abs(ratio / whole - 1) < uncalibratedTolerance)
        return text + " differ by a factor near " + shortNumber(whole)
               + ": footage slowed for playback, or frames made up between real ones; check with a lamp of known "
                 "frequency";
    const double doubt =
        2 * std::hypot(a.rate * a.relativeUncertainty, b.rate * b.relativeUncertainty) / std::min(a.rate, b.rate);
    return text + " differ by " + shortNumber((ratio - 1) * 100, "%.3g") + " %, beyond their combined uncertainty of "
           + shortNumber(doubt * 100, "%.2g") + " %; check with a lamp of known frequency";
}

const char* label(Origin origin)
{
    switch (origin) {
    case Origin::Reference: return "reference";
    case Origin::Declared: return "declared";
    case Origin::Stamps: return "stamps";
    case Origin::Tag: return "tag";
    case Origin::Pictures: return "pictures";
    }
    assert(false);
    return "";
}

std::optional<FrameRate> nearbyNtscRate(double rate)
{
    for (const int nominal : {24, 30, 48, 60, 120, 240, 480, 960}) {
        const FrameRate exact(nominal * 1000, 1001);
        if (std::abs(rate / exact.toDouble() - 1) <= 20e-6)
            return exact;
    }
    return std::nullopt;
}

} // namespace timing
