#include "core/media/index/packet_finder.h"
#include <algorithm>
#include <numeric>
#include <tuple>

namespace media {
namespace {

auto placeOf(const PacketMark& mark) { return std::tuple(mark.position, mark.size); }

} // namespace

PacketFinder::PacketFinder(const PacketTable& table, bool stampsAreKept)
    : m_table(table), m_stampsAreKept(stampsAreKept), m_byPlace(table.marks.size())
{
    std::iota(m_byPlace.begin(), m_byPlace.end(), std::int64_t{0});
    std::ranges::stable_sort(m_byPlace, {}, [&](std::int64_t ordinal) { return placeOf(table.marks[ordinal]); });
}

PacketFinder::Answer PacketFinder::show(const PacketMark& mark)
{
    const auto& marks = m_table.marks;
    if (m_shown == 0) {
        const auto same = std::ranges::equal_range(m_byPlace, placeOf(mark), {},
                                                   [&](std::int64_t ordinal) { return placeOf(marks[ordinal]); });
        m_candidates.assign(same.begin(), same.end());
    } else {
        std::erase_if(m_candidates, [&](std::int64_t first) {
            const std::int64_t ordinal = first + m_shown;
            return ordinal >= std::ssize(marks) || !samePlace(marks[ordinal], mark);
        });
    }
    if (m_stampsAreKept && m_candidates.size() > 1) {
        // Several edits may show the same bytes; only the stamps tell them apart.
        std::vector<std::int64_t> exact;
        std::ranges::copy_if(m_candidates, std::back_inserter(exact), [&](std::int64_t first) {
            const PacketMark& known = marks[first + m_shown];
            return known.pts == mark.pts && known.dts == mark.dts;
        });
        if (!exact.empty())
            m_candidates = std::move(exact);
    }
    ++m_shown;
    if (m_candidates.empty())
        return Answer::Unknown;
    return m_candidates.size() == 1 ? Answer::Found : Answer::Several;
}

} // namespace media
