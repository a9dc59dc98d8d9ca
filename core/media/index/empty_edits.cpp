// Boxes: ISO/IEC 14496-12, 4.2 (box), 8.2.2 (mvhd), 8.3.2 (tkhd), 8.6.6 (elst).
#include "core/media/index/empty_edits.h"
#include "core/media/tags/tag_bytes.h"
#include <algorithm>

namespace media {
namespace {

/// What follows the two times of "mvhd", ticks a second, and of "tkhd", the track's number; 0 where there is none.
std::uint32_t afterTimes(const std::string& head)
{
    const std::size_t at = head.starts_with('\1') ? 20 : 12;
    return head.size() >= at + 4 ? big32(head, at) : 0;
}

std::vector<EmptyEdit> readList(const std::string& list, std::int64_t ticksPerSecond)
{
    if (list.size() < 8)
        return {};
    const bool wide = list.starts_with('\1');
    const std::size_t field = wide ? 8 : 4, entryBytes = 2 * field + 4;
    const auto fieldAt = [&](std::size_t at) { return wide ? big64(list, at) : std::uint64_t{big32(list, at)}; };
    const std::size_t count = std::min<std::size_t>(big32(list, 4), (list.size() - 8) / entryBytes);
    constexpr std::uint64_t longest = std::uint64_t{1} << 40; // ticks; nothing sensible is longer
    std::vector<EmptyEdit> edits;
    std::uint64_t start = 0;
    for (std::size_t i = 0; i < count && start < longest; ++i) {
        const std::size_t at = 8 + i * entryBytes;
        const std::uint64_t duration = std::min(fieldAt(at), longest), first = fieldAt(at + field);
        if (i > 0 && first == (wide ? UINT64_MAX : std::uint64_t{UINT32_MAX}))
            edits.push_back({{static_cast<std::int64_t>(start), ticksPerSecond},
                             {static_cast<std::int64_t>(start + duration), ticksPerSecond}});
        start += duration;
    }
    return edits;
}

} // namespace

std::vector<EmptyEdit> emptyEditsWithin(const std::filesystem::path& path, std::uint32_t track)
{
    ByteFile file(path);
    bool ignored = false; // a film that was cut off says so elsewhere
    const auto inside = [&](Span span) { return boxesIn(file, span, ignored); };
    const std::vector<Box> film = inside(boxNamed(inside(file.whole()), "moov"));
    const std::uint32_t ticksPerSecond = afterTimes(file.read(boxNamed(film, "mvhd")));
    for (const Box& box : film) {
        if (box.type != "trak" || ticksPerSecond == 0)
            continue;
        const std::vector<Box> parts = inside(box.inside);
        if (afterTimes(file.read(boxNamed(parts, "tkhd"))) == track)
            return readList(file.read(boxNamed(inside(boxNamed(parts, "edts")), "elst")), ticksPerSecond);
    }
    return {};
}

void doubtEmptyEdits(Footage& footage, const std::vector<EmptyEdit>& edits)
{
    std::map<std::size_t, Doubt> doubts; // by edit
    for (std::size_t n = 0; n < footage.frames.size(); ++n) {
        const auto& stamp = footage.frames[n].stamp;
        if (!stamp)
            continue;
        const timing::Rational shown = *stamp + footage.timeBase; // rounded to a tick
        const auto after = std::ranges::upper_bound(edits, shown, {}, &EmptyEdit::from);
        if (after == edits.begin() || !(shown < std::prev(after)->to))
            continue;
        const timing::FrameNumber frame{static_cast<std::int64_t>(n)};
        const auto edit = static_cast<std::size_t>(after - edits.begin()) - 1;
        doubts
            .try_emplace(edit, Doubt{frame, frame,
                                     "the file's edit list shows nothing there; what comes out is the film's "
                                     "beginning"})
            .first->second.last = frame;
    }
    for (const auto& [edit, doubt] : doubts) {
        if (!footage.fault)
            footage.fault = "\"" + footage.path.string()
                            + "\" is to show nothing for a while by its edit list; what comes out there, frames "
                            + std::to_string(doubt.first.value) + " to " + std::to_string(doubt.last.value)
                            + ", is its beginning again and no moment of its own.";
        footage.doubts.push_back(doubt);
    }
    std::ranges::stable_sort(footage.doubts, {}, &Doubt::first);
}

} // namespace media
