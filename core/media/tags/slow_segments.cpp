#include "core/media/tags/slow_segments.h"
#include "core/media/tags/tag_bytes.h"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace media {
namespace {

// The file ends with a directory of blocks: "SEFH", version, count, and 12 bytes a block (two unused, kind, distance of
// the block's begin back from the directory's, size), then the directory's length and "SEFT". A block: two unused,
// kind, length of its name, name, text. All numbers little-endian (as public readers of such files have it; from
// memory).
constexpr std::int64_t tailBytes = 8, headBytes = 12, entryBytes = 12, nameAt = 8;
constexpr std::uint32_t slowMotion = 0x0890; ///< kind of blocks about slowed films; the name says which one it is
constexpr std::int64_t largestBlock = 64 << 10;
constexpr std::size_t longestUnread = 200;
constexpr std::size_t mostSegments = 200;
constexpr std::int64_t mostBlocks = 1'000;     ///< listed; each is read
constexpr int largestMode = 10;                ///< mode m: 2^(m-1) times slower
constexpr std::int64_t latest = 1'000'000'000; ///< ms

std::optional<std::int64_t> numberIn(std::string_view text)
{
    std::int64_t number = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
    return fault == std::errc() && end == text.data() + text.size() ? std::optional(number) : std::nullopt;
}

std::vector<std::string_view> split(std::string_view text, char at)
{
    std::vector<std::string_view> parts;
    for (std::size_t from = 0; parts.size() <= mostSegments;) {
        const std::size_t end = text.find(at, from);
        parts.push_back(text.substr(from, end - from));
        if (end == std::string_view::npos)
            break;
        from = end + 1;
    }
    return parts;
}

/// "start:end:mode*start:end:mode", in ms. False where that isn't so.
bool readSegments(std::string_view text, std::vector<timing::SlowedSegment>& segments)
{
    for (const std::string_view part : split(text, '*')) {
        const std::vector<std::string_view> fields = split(part, ':');
        if (fields.size() != 3 || segments.size() >= mostSegments)
            return false;
        const auto start = numberIn(fields[0]), end = numberIn(fields[1]), mode = numberIn(fields[2]);
        if (!start || !end || !mode || *start < 0 || *end <= *start || *end > latest || *mode < 1
            || *mode > largestMode)
            return false;
        if (*mode > 1) // 1 is the usual speed
            segments.push_back(
                {static_cast<double>(*start) / 1000, static_cast<double>(*end) / 1000, 1 << (*mode - 1)});
    }
    std::ranges::sort(segments, {}, &timing::SlowedSegment::start);
    return std::ranges::adjacent_find(segments, [](const auto& a, const auto& b) { return b.start < a.end; })
           == segments.end();
}

} // namespace

std::string SlowSegments::words() const
{
    std::string text;
    for (const timing::SlowedSegment& each : segments)
        text += (text.empty() ? "" : "; ") + std::to_string(std::llround(each.start * 1000)) + " to "
                + std::to_string(std::llround(each.end * 1000)) + " ms " + std::to_string(each.divisor)
                + " times slower";
    return text;
}

SlowSegments slowSegments(const std::filesystem::path& path)
{
    SlowSegments found;
    ByteFile file(path);
    const std::int64_t size = file.whole().to;
    const std::string tail = file.read({size - tailBytes, size});
    if (tail.size() != tailBytes || tail.substr(4) != "SEFT")
        return found;
    const std::int64_t begin = size - tailBytes - little32(tail, 0);
    const std::string directory = file.read({begin, size - tailBytes});
    found.damaged = std::ssize(directory) < headBytes || directory.substr(0, 4) != "SEFH";
    for (std::int64_t at = headBytes;
         !found.damaged && at + entryBytes <= std::min(std::ssize(directory), mostBlocks * entryBytes);
         at += entryBytes) {
        const auto entry = static_cast<std::size_t>(at);
        if (little32(directory, entry) >> 16 != slowMotion)
            continue;
        const std::int64_t from = begin - little32(directory, entry + 4), bytes = little32(directory, entry + 8);
        const std::string block = file.read({from, from + std::min(bytes, largestBlock)});
        const std::int64_t length = std::ssize(block) >= nameAt ? std::int64_t{little32(block, 4)} : largestBlock;
        if (nameAt + length > std::ssize(block)) {
            found.damaged = true;
            break;
        }
        const auto name = std::string_view(block).substr(nameAt, static_cast<std::size_t>(length));
        const auto text = std::string_view(block).substr(static_cast<std::size_t>(nameAt + length));
        if (name == "SlowMotion_Data")
            found.damaged = bytes > largestBlock || !readSegments(text, found.segments);
        else if (name == "Super_SlowMotion_Data")
            found.unread = std::string(text.substr(0, longestUnread));
    }
    if (found.damaged)
        found.segments.clear();
    return found;
}

} // namespace media
