#include "core/media/index/refusal.h"
#include "core/media/libav/av_handles.h"
#include "core/media/libav/av_setup.h"
#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <string_view>
#include <vector>

namespace media {
namespace {

using core::Error;
using core::ErrorKind;

std::string endingOf(const std::filesystem::path& path)
{
    std::string ending = path.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char c) { return std::tolower(c); });
    return ending;
}

bool contains(std::string_view list, const std::string& ending)
{
    return !ending.empty() && list.find(ending + " ") != std::string_view::npos;
}

/// First bytes of recordings that hold sensor samples (common practice, no source).
bool hasMakersRawHead(std::string_view head)
{
    using namespace std::string_view_literals;
    const std::string_view second = head.size() >= 8 ? head.substr(4, 4) : std::string_view();
    return head.starts_with("CI\x2c\x00"sv) || head.starts_with("MLVI"sv) || head.starts_with("ARRI"sv)
           || second == "RED1" || second == "RED2";
}

/// A file that names other files or addresses, by its text or the ending of its name.
bool isList(const std::string& ending, std::string_view text)
{
    return contains(".m3u .m3u8 .pls .asx .wax .wvx .xspf .mpd .ffconcat .sdp .url .strm .edl .smil .ism .qtl ", ending)
           || text.find("://") != std::string_view::npos || text.starts_with("ffconcat") || text.starts_with("#EXTM3U");
}

} // namespace

Error makersRaw(const std::string& name)
{
    return {ErrorKind::Unsupported,
            name
                + " is a camera maker's raw recording; export it with the maker's program as a video file of every "
                  "frame (lossless or intra coded) or as numbered TIFF or PNG pictures, and open that."};
}

Error changedSinceOpened(const std::filesystem::path& path)
{
    return {ErrorKind::AtOdds, quoted(path) + " has changed since it was opened; open it again."};
}

bool isAddress(const std::filesystem::path& path)
{
    const std::string name = path.string();
    const std::size_t colon = name.find("://");
    return colon != std::string::npos && colon > 1
           && std::all_of(name.begin(), name.begin() + colon,
                          [](unsigned char c) { return std::isalnum(c) || c == '+' || c == '-' || c == '.'; });
}

bool hasMakersRawName(const std::filesystem::path& path)
{
    return contains(
        ".cine .cin .mraw .cih .cihx .chd .r3d .braw .ari .arx .crm .rmf .nev .mlv .mcraw .cdng .dng .xvf .hcc .raw "
        ".arw .cr2 .cr3 .nef .raf .rw2 .orf .gpr ",
        endingOf(path));
}

bool isMakersRawTag(std::uint32_t tag)
{
    constexpr std::array<std::uint32_t, 7> tags{
        MKTAG('b', 'r', 'a', 'w'), MKTAG('b', 'r', 'v', 'n'), MKTAG('b', 'r', 's', 't'), MKTAG('C', 'R', 'A', 'W'),
        MKTAG('a', 'p', 'r', 'n'), MKTAG('a', 'p', 'r', 'h'), MKTAG('R', '3', 'D', ' ')};
    return std::find(tags.begin(), tags.end(), tag) != tags.end();
}

Error refusal(const std::filesystem::path& path, const std::string& reason)
{
    const std::string name = quoted(path);
    constexpr std::size_t probeBytes = 65536;
    std::vector<char> head(probeBytes + AVPROBE_PADDING_SIZE, 0);
    std::ifstream file(path, std::ios::binary);
    file.read(head.data(), probeBytes);
    const auto got = static_cast<std::size_t>(file.gcount());
    std::fill(head.begin() + got, head.end(), 0);
    const std::string_view bytes(head.data(), got);

    const std::string fileName = path.filename().string();
    const AVProbeData probe{fileName.c_str(), reinterpret_cast<unsigned char*>(head.data()), static_cast<int>(got),
                            nullptr};
    int score = 0;
    const AVInputFormat* format = av_probe_input_format3(&probe, 1, &score);
    if (!format)
        format = av_probe_input_format3(&probe, 0, &score);

    const bool text = got > 0 && std::none_of(bytes.begin(), bytes.end(), [](char c) {
                          return static_cast<unsigned char>(c) < 32 && c != '\n' && c != '\r' && c != '\t' && c != '\f'
                                 && c != '\x1b';
                      });
    if (format && isAmong(format->name, "hls,dash,webm_dash_manifest,concat,sdp,imf,rtsp,ffmetadata,lavfi"))
        return {ErrorKind::Unsupported, name + " is a list that points to other files (" + format->name
                                            + "), not footage; open the footage itself."};
    if (text && isList(endingOf(path), bytes))
        return {ErrorKind::Unsupported,
                name + " is a list that points to other files or addresses, not footage; open the footage itself."};
    if (hasMakersRawHead(bytes) || (!text && hasMakersRawName(path))
        || (format && isAmong(format->name, "cine,r3d,mlv")))
        return makersRaw(name);
    if (format
        && (std::string_view(format->name).ends_with("_pipe") || isAmong(format->name, "image2,gif,apng,ico,webp")))
        return {ErrorKind::Unsupported,
                name + " is a single picture; open the folder of numbered pictures it belongs to."};
    if (text)
        return {ErrorKind::Unsupported, name + " holds text, not footage."};
    if (format && score > AVPROBE_SCORE_EXTENSION && isAmong(format->name, allowedContainers))
        return {ErrorKind::Unreadable, name + " looks like " + (format->long_name ? format->long_name : format->name)
                                           + " but is incomplete or damaged (" + reason
                                           + "); copy it from the camera again."};
    if (format && score > AVPROBE_SCORE_RETRY)
        return {ErrorKind::Unsupported, name + " is of a kind that isn't read as footage ("
                                            + (format->long_name ? format->long_name : format->name) + ")."};
    return {ErrorKind::Unsupported, name + " isn't footage of any known kind."};
}

} // namespace media
