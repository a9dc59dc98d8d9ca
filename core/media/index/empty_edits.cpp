// Boxes: ISO/IEC 14496-12, 4.2 (box), 8.2.2 (mvhd), 8.3.2 (tkhd), 8.6.6 (elst).
#include "core/media/index/empty_edits.h"
#include <algorithm>
#include <fstream>
#include <map>
#include <string_view>

namespace media {
namespace {

constexpr std::uint64_t mostBytes = std::uint64_t{1} << 28; // of the box that describes the film

std::uint64_t number(std::string_view bytes, std::size_t at, std::size_t count)
{
    std::uint64_t value = 0;
    for (std::size_t i = at; i < at + count; ++i)
        value = value << 8 | (i < bytes.size() ? static_cast<unsigned char>(bytes[i]) : 0);
    return value;
}

/// Calls `visit(name, contents)` for each box within `bytes`.
template <class Visit> void eachBox(std::string_view bytes, const Visit& visit)
{
    while (bytes.size() >= 8) {
        std::size_t head = 8;
        std::uint64_t size = number(bytes, 0, 4);
        if (size == 1 && bytes.size() >= 16) {
            size = number(bytes, 8, 8);
            head = 16;
        } else if (size == 0) {
            size = bytes.size();
        }
        if (size < head || size > bytes.size())
            return;
        visit(bytes.substr(4, 4), bytes.substr(head, size - head));
        bytes.remove_prefix(size);
    }
}

/// The contents of the box "moov", wherever it lies; empty when there is none.
std::string filmBox(const std::filesystem::path& path)
{
    constexpr int mostBoxes = 100'000; // before it; a fragmented film has its own first
    if (std::error_code ignored; !std::filesystem::is_regular_file(path, ignored)) // a named pipe would be waited for
        return {};
    std::ifstream file(path, std::ios::binary);
    std::uint64_t position = 0;
    for (int box = 0; box < mostBoxes; ++box) {
        std::string head(16, '\0');
        file.seekg(static_cast<std::streamoff>(position));
        if (!file.read(head.data(), 8))
            return {};
        std::uint64_t size = number(head, 0, 4), headBytes = 8;
        if (size == 1) {
            if (!file.read(head.data() + 8, 8))
                return {};
            size = number(head, 8, 8);
            headBytes = 16;
        }
        if (size < headBytes || size > static_cast<std::uint64_t>(INT64_MAX) - position)
            return {};
        if (head.compare(4, 4, "moov") == 0) {
            if (size > mostBytes)
                return {};
            std::string contents(size - headBytes, '\0');
            file.read(contents.data(), static_cast<std::streamsize>(contents.size()));
            contents.resize(static_cast<std::size_t>(file.gcount()));
            return contents;
        }
        position += size;
    }
    return {};
}

std::vector<EmptyEdit> readList(std::string_view list, std::int64_t ticksPerSecond)
{
    const bool wide = number(list, 0, 1) == 1;
    const std::size_t entryBytes = wide ? 20 : 12, field = wide ? 8 : 4;
    const std::size_t count =
        std::min<std::size_t>(number(list, 4, 4), list.size() < 8 ? 0 : (list.size() - 8) / entryBytes);
    constexpr std::uint64_t longest = std::uint64_t{1} << 40; // ticks; nothing sensible is longer
    std::vector<EmptyEdit> edits;
    std::uint64_t start = 0;
    for (std::size_t i = 0; i < count && start < longest; ++i) {
        const std::size_t at = 8 + i * entryBytes;
        const std::uint64_t duration = std::min(number(list, at, field), longest),
                            first = number(list, at + field, field);
        if (i > 0 && first == (wide ? UINT64_MAX : std::uint64_t{UINT32_MAX}))
            edits.push_back({{static_cast<std::int64_t>(start), ticksPerSecond},
                             {static_cast<std::int64_t>(start + duration), ticksPerSecond}});
        start += duration;
    }
    return edits;
}

} // namespace

std::vector<EmptyEdit> emptyEditsWithin(const std::filesystem::path& file, std::uint32_t track)
{
    const std::string film = filmBox(file);
    std::int64_t ticksPerSecond = 0;
    std::vector<EmptyEdit> edits;
    eachBox(film, [&](std::string_view name, std::string_view contents) {
        if (name == "mvhd")
            ticksPerSecond = static_cast<std::int64_t>(number(contents, number(contents, 0, 1) == 1 ? 20 : 12, 4));
    });
    if (ticksPerSecond <= 0)
        return {};
    eachBox(film, [&](std::string_view name, std::string_view contents) {
        if (name != "trak")
            return;
        std::uint64_t id = 0;
        std::string_view list;
        eachBox(contents, [&](std::string_view inner, std::string_view bytes) {
            if (inner == "tkhd")
                id = number(bytes, number(bytes, 0, 1) == 1 ? 20 : 12, 4);
            if (inner == "edts")
                eachBox(bytes, [&](std::string_view kind, std::string_view entries) {
                    list = kind == "elst" ? entries : list;
                });
        });
        if (id == track)
            edits = readList(list, ticksPerSecond);
    });
    return edits;
}

void doubtEmptyEdits(Footage& footage, const std::vector<EmptyEdit>& edits)
{
    std::map<std::size_t, Doubt> doubts; // by edit
    for (std::size_t n = 0; n < footage.frames.size(); ++n) {
        const auto& stamp = footage.frames[n].stamp;
        if (!stamp)
            continue;
        const timing::Rational shown = *stamp + footage.timeBase; // rounded to a tick
        const auto after = std::upper_bound(edits.begin(), edits.end(), shown,
                                            [](const auto& time, const EmptyEdit& edit) { return time < edit.from; });
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
    std::stable_sort(footage.doubts.begin(), footage.doubts.end(),
                     [](const Doubt& a, const Doubt& b) { return a.first < b.first; });
}

} // namespace media
