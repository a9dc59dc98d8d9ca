#pragma once // not public: only core/media may include it
#include <atomic>
#include <cstdint>
#include <mutex>
#include <string>
#include <vector>

namespace media {

/// What a demuxer or decoder complained about. libav reports many kinds of damage only in its log, so contexts whose
/// `opaque` points here have their error messages kept. Any thread.
class Complaints {
public:
    /// `position`: where in the file the demuxer was, -1 for decoders.
    void add(const std::string& text, std::int64_t position);
    std::int64_t count() const { return m_count.load(); }
    std::string latest() const;
    /// Where they were made; the first ten thousand.
    std::vector<std::int64_t> positions() const;
    void clear();

private:
    std::atomic<std::int64_t> m_count = 0;
    mutable std::mutex m_mutex;
    std::string m_latest;
    std::vector<std::int64_t> m_positions;
};

/// Once per process, before any other use of libav: bounds allocations, sends libav's log to the contexts' Complaints
/// and nowhere else.
void setUpLibav();

/// libav refuses more; a hostile header can't ask for more than this at once.
inline constexpr std::size_t largestAllocation = std::size_t{1} << 30;
inline constexpr std::int64_t mostPixels = std::int64_t{1} << 26;

/// Demuxers and decoders that footage may use, as libav's white lists. Everything that opens further files
/// (playlists, scripts, network descriptions) is left out.
extern const char* const allowedContainers;
extern const char* const allowedDecoders;

/// Whether one of a demuxer's or decoder's names is in such a list.
bool isAmong(const char* names, const char* list);

} // namespace media
