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
    std::stable_sort(m_byPlace.begin(), m_byPlace.end(),
                     [&](std::int64_t a, std::int64_t b) { return placeOf(table.marks[a]) < placeOf(table.marks[b]); });
}

PacketFinder::Answer PacketFinder::show(const PacketMark& mark)
{
    const auto& marks = m_table.marks;
    if (m_shown == 0) {
        const auto before = [&](std::int64_t ordinal, const PacketMark& m) {
            return placeOf(marks[ordinal]) < placeOf(m);
        };
        auto it = std::lower_bound(m_byPlace.begin(), m_byPlace.end(), mark, before);
        m_candidates.clear();
        for (; it != m_byPlace.end() && samePlace(marks[*it], mark); ++it)
            m_candidates.push_back(*it);
    } else {
        std::erase_if(m_candidates, [&](std::int64_t first) {
            const std::int64_t ordinal = first + m_shown;
            return ordinal >= static_cast<std::int64_t>(marks.size()) || !samePlace(marks[ordinal], mark);
        });
    }
    if (m_stampsAreKept && m_candidates.size() > 1) {
        // Several edits may show the same bytes; only the stamps tell them apart.
        std::vector<std::int64_t> exact;
        std::copy_if(m_candidates.begin(), m_candidates.end(), std::back_inserter(exact), [&](std::int64_t first) {
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
