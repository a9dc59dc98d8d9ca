#pragma once // not public: only core/media may include it
#include "core/media/index/packet_table.h"

namespace media {

/// Tells where in the file a reader has landed after a seek, by comparing packets with those of the indexing pass.
class PacketFinder {
public:
    /// `table` must outlive the finder. Stamps of bare streams start again after a seek and say nothing.
    PacketFinder(const PacketTable& table, bool stampsAreKept);

    /// Forgets the packets shown so far.
    void restart() { m_shown = 0; }

    enum class Answer { Unknown, Several, Found };
    /// The next packet after the ones shown since restart(). Unknown: these packets don't follow each other in the
    /// table (restart before the next call); Several: show one more.
    Answer show(const PacketMark& mark);

    /// Ordinal of the first packet shown. Precondition: the last answer was Found.
    std::int64_t first() const { return m_candidates.front(); }

private:
    const PacketTable& m_table;
    bool m_stampsAreKept;
    std::vector<std::int64_t> m_byPlace;    ///< ordinals sorted by position, then size
    std::vector<std::int64_t> m_candidates; ///< where the first packet shown may be
    std::int64_t m_shown = 0;
};

/// The same bytes of the file.
inline bool samePlace(const PacketMark& a, const PacketMark& b) { return a.position == b.position && a.size == b.size; }

} // namespace media
