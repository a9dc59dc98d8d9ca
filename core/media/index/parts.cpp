#include "core/media/index/parts.h"
#include "core/media/index/refusal.h"
#include "core/error.h"
#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdio>

namespace media {
namespace {

using core::Error;
using core::ErrorKind;

void checkFits(const Footage& first, const Footage& other)
{
    if (other.pictureFolder || !other.parts.empty())
        throw Error(ErrorKind::Unsupported,
                    quoted(other.path) + " can't be a part of a recording; only single files can.");
    const auto differs = [&](const std::string& what, const std::string& a, const std::string& b) {
        throw Error(ErrorKind::AtOdds, quoted(first.path) + " and " + quoted(other.path)
                                           + " aren't parts of one recording: their " + what + " differ (" + a + ", "
                                           + b + "); add them one by one.");
    };
    const auto sizeOf = [](const Footage& f) {
        return std::to_string(f.size.width) + " x " + std::to_string(f.size.height);
    };
    if (first.size != other.size)
        differs("sizes", sizeOf(first), sizeOf(other));
    if (first.codec != other.codec)
        differs("codecs", first.codec, other.codec);
    if (first.pixelFormat != other.pixelFormat)
        differs("pixel formats", first.pixelFormat, other.pixelFormat);
    if (first.rotation != other.rotation)
        differs("turns", std::to_string(first.rotation), std::to_string(other.rotation));
}

/// Missing frames between two parts as their stamps tell; empty when they don't.
std::optional<timing::FrameCount> missingByStamps(const Footage& before, const Footage& after)
{
    constexpr double wholeWithin = 0.25;       // of a step; what rounding and jitter of real cameras leave
    constexpr std::int64_t mostMissing = 1000; // farther apart nothing shows that they are parts of one recording
    const auto& frames = before.frames;
    if (frames.size() < 3 || before.container != after.container || !frames.back().stamp || !after.frames.front().stamp)
        return std::nullopt;
    std::vector<double> steps;
    for (std::size_t n = 1; n < frames.size(); ++n)
        if (frames[n].stamp && frames[n - 1].stamp)
            steps.push_back((*frames[n].stamp - *frames[n - 1].stamp).toDouble());
    if (steps.empty())
        return std::nullopt;
    std::nth_element(steps.begin(), steps.begin() + steps.size() / 2, steps.end());
    const double step = steps[steps.size() / 2];
    const double apart = (*after.frames.front().stamp - *frames.back().stamp).toDouble();
    if (step <= 0 || apart <= 0 || apart / step > static_cast<double>(mostMissing))
        return std::nullopt;
    const double count = std::round(apart / step);
    if (count < 1 || std::abs(apart / step - count) > wholeWithin)
        return std::nullopt;
    return timing::FrameCount{static_cast<std::int64_t>(count) - 1};
}

/// Timecodes that go on exactly show that nothing is missing. A larger distance shows nothing: timecodes of slowed
/// footage run in real time.
bool timecodesGoOn(const Footage& before, const Footage& after)
{
    const auto first = before.tags.find("timecode"), second = after.tags.find("timecode");
    if (first == before.tags.end() || second == after.tags.end() || !before.averageRate)
        return false;
    const int rate = static_cast<int>(std::lround(before.averageRate->toDouble()));
    const auto from = framesOfTimecode(first->second, rate), to = framesOfTimecode(second->second, rate);
    return from && to && *from + before.frameCount().value == *to;
}

Seam seamBetween(const Footage& before, const Footage& after, std::int64_t frame)
{
    Seam seam;
    seam.before = {frame};
    const std::string names = after.path.filename().string() + " follows " + before.path.filename().string();
    if (timecodesGoOn(before, after)) {
        seam.missing = timing::FrameCount{0};
        seam.why = names + " there; their timecodes show that nothing is missing";
    } else if ((seam.missing = missingByStamps(before, after))) {
        seam.why = names + " there, as far as the stamps tell";
    } else {
        seam.why = names + " there, and nothing tells how many frames the camera lost between them";
    }
    return seam;
}

void append(Footage& joined, const Footage& part)
{
    const std::int64_t first = joined.frameCount().value;
    joined.frames.insert(joined.frames.end(), part.frames.begin(), part.frames.end());
    for (Doubt doubt : part.doubts) {
        doubt.first.value += first;
        doubt.last.value += first;
        joined.doubts.push_back(std::move(doubt));
    }
    for (FormatChange change : part.formatChanges) {
        change.first.value += first;
        joined.formatChanges.push_back(std::move(change));
    }
    joined.confirmed = joined.confirmed && part.confirmed;
    joined.interlaced = joined.interlaced || part.interlaced;
    if (!joined.fault)
        joined.fault = part.fault;
    if (!joined.cacheFault)
        joined.cacheFault = part.cacheFault;
    if (joined.averageRate != part.averageRate)
        joined.averageRate.reset();
    if (joined.timeBase < part.timeBase) // the coarser one: what differences of stamps are rounded to
        joined.timeBase = part.timeBase;
}

template <class Open> std::shared_ptr<const Footage> join(const std::vector<std::filesystem::path>& paths,
                                                          const Progress& progress, const Open& open)
{
    assert(!paths.empty());
    if (paths.size() == 1)
        return open(paths.front(), progress);
    std::int64_t total = 0, before = 0;
    std::vector<std::int64_t> sizes;
    for (const auto& path : paths) {
        std::error_code failed; // opening it says why
        const auto size = std::filesystem::file_size(path, failed);
        sizes.push_back(failed ? 0 : static_cast<std::int64_t>(size));
        total += sizes.back();
    }
    std::vector<std::shared_ptr<const Footage>> parts;
    for (std::size_t i = 0; i < paths.size(); before += sizes[i++])
        parts.push_back(open(paths[i], [&](std::int64_t done, std::int64_t) {
            if (progress)
                progress(before + done, total);
        }));
    return joinParts(parts);
}

} // namespace

std::shared_ptr<const Footage> joinParts(const std::vector<std::shared_ptr<const Footage>>& parts)
{
    assert(!parts.empty());
    const Footage& first = *parts.front();
    checkFits(first, first);
    if (parts.size() == 1)
        return parts.front();
    auto joined = std::make_shared<Footage>(first);
    joined->parts.push_back({{0}, parts.front()});
    for (std::size_t i = 1; i < parts.size(); ++i) {
        checkFits(first, *parts[i]);
        const std::int64_t frame = joined->frameCount().value;
        joined->seams.push_back(seamBetween(*parts[i - 1], *parts[i], frame));
        append(*joined, *parts[i]);
        joined->parts.push_back({{frame}, parts[i]});
    }
    return joined;
}

std::shared_ptr<const Footage> openParts(const std::vector<std::filesystem::path>& paths, std::stop_token stop,
                                         const Progress& progress, const OpenOptions& options)
{
    return join(paths, progress, [&](const std::filesystem::path& path, const Progress& each) {
        return openFootage(path, stop, each, options);
    });
}

std::shared_ptr<const Footage> scanParts(const std::vector<std::filesystem::path>& paths, std::stop_token stop,
                                         const Progress& progress, const OpenOptions& options)
{
    return join(paths, progress, [&](const std::filesystem::path& path, const Progress& each) {
        return scanFootage(path, stop, each, options);
    });
}

std::optional<std::int64_t> framesOfTimecode(const std::string& timecode, int rate)
{
    int hours = 0, minutes = 0, seconds = 0, frames = 0, used = 0;
    char separator = 0;
    if (std::sscanf(timecode.c_str(), "%2d:%2d:%2d%c%3d%n", &hours, &minutes, &seconds, &separator, &frames, &used) != 5
        || used != static_cast<int>(timecode.size()) || rate < 1)
        return std::nullopt;
    const bool leavesOut = separator == ';' || separator == '.';
    if ((separator != ':' && !leavesOut) || hours < 0 || hours > 23 || minutes < 0 || minutes > 59 || seconds < 0
        || seconds > 59 || frames < 0 || frames >= rate || (leavesOut && rate % 30 != 0))
        return std::nullopt;
    const std::int64_t minute = hours * 60 + minutes;
    const std::int64_t leftOut = leavesOut ? (rate / 30 * 2) * (minute - minute / 10) : 0;
    return (minute * 60 + seconds) * rate + frames - leftOut;
}

const FootagePart& partOf(const Footage& footage, timing::FrameNumber n)
{
    const auto after = std::ranges::upper_bound(footage.parts, n, {}, &FootagePart::first);
    assert(after != footage.parts.begin());
    return *std::prev(after);
}

} // namespace media
