#include "core/media/index/description.h"
#include <algorithm>
#include <cmath>

extern "C" {
#include <libavutil/display.h>
}

namespace media {
namespace {

void addTags(std::map<std::string, std::string>& tags, const AVDictionary* entries)
{
    const AVDictionaryEntry* entry = nullptr;
    while ((entry = av_dict_get(entries, "", entry, AV_DICT_IGNORE_SUFFIX)))
        tags[entry->key] = entry->value;
}

} // namespace

std::optional<timing::Rational> secondsOf(std::int64_t stamp, AVRational timeBase)
{
    // Differences of stamps have to fit as well, whatever a hostile file claims.
    constexpr std::int64_t limit = INT64_MAX / 4;
    if (stamp == AV_NOPTS_VALUE || std::abs(stamp) > limit / std::max(timeBase.num, 1))
        return std::nullopt;
    return timing::Rational(stamp * timeBase.num, timeBase.den);
}

std::optional<timing::Rational> ratioOf(AVRational ratio)
{
    if (ratio.num <= 0 || ratio.den <= 0)
        return std::nullopt;
    return timing::Rational(ratio.num, ratio.den);
}

int clockwiseTurn(const std::int32_t* matrix)
{
    const double counterclockwise = matrix ? av_display_rotation_get(matrix) : 0;
    if (!std::isfinite(counterclockwise))
        return 0;
    const int quarters = static_cast<int>(std::lround(-counterclockwise / 90));
    return ((quarters % 4) + 4) % 4 * 90;
}

void noteFormat(Footage& footage, const AVFrame& frame)
{
    const char* name = av_get_pix_fmt_name(static_cast<AVPixelFormat>(frame.format));
    const Size size{frame.width, frame.height};
    const std::string format = name ? name : "unknown";
    if (footage.frames.empty()) {
        footage.size = size;
        footage.pixelFormat = format;
        return;
    }
    const bool changed = !footage.formatChanges.empty();
    const Size& before = changed ? footage.formatChanges.back().size : footage.size;
    const std::string& formatBefore = changed ? footage.formatChanges.back().pixelFormat : footage.pixelFormat;
    if (size != before || format != formatBefore)
        footage.formatChanges.push_back({{footage.frameCount().value}, size, format});
}

void describe(Footage& footage, const Demuxer& demuxer)
{
    const AVFormatContext& format = demuxer.format();
    const AVStream& stream = demuxer.stream();
    footage.container = format.iformat->name;
    footage.codec = avcodec_get_name(stream.codecpar->codec_id);
    footage.rotation = clockwiseTurn(displayMatrix(stream));
    // The container's word outranks the codec's.
    footage.pixelAspect = ratioOf(stream.sample_aspect_ratio).value_or(footage.pixelAspect);
    footage.timeBase = {stream.time_base.num, stream.time_base.den};
    footage.streamIndex = stream.index;
    footage.streams = demuxer.streams();
    if (!demuxer.isBareStream()) // libav assumes 25 for those
        footage.averageRate = ratioOf(stream.avg_frame_rate);
    addTags(footage.tags, format.metadata);
    addTags(footage.tags, stream.metadata);
}

void dropUnfoundedStamps(Footage& footage, const Demuxer& demuxer)
{
    std::vector<FrameEntry>& frames = footage.frames;
    // AVI counts chunks in decoding order. That is a stamp only where nothing is reordered; where it is, libav stamps
    // some pictures and leaves others out.
    const bool reordered = demuxer.hasChunkCountsOnly()
                           && (!std::ranges::is_sorted(frames, {}, &FrameEntry::ordinal)
                               || std::ranges::any_of(frames, [](const FrameEntry& entry) { return !entry.stamp; }));
    const bool wrong =
        demuxer.reckonsStamps() && !std::ranges::is_sorted(frames, [](const FrameEntry& a, const FrameEntry& b) {
            return a.stamp && b.stamp && *a.stamp < *b.stamp;
        });
    if (reordered || wrong || demuxer.isBareStream())
        for (FrameEntry& entry : frames)
            entry.stamp.reset();
}

} // namespace media
