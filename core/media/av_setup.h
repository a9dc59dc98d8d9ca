#pragma once // not public: only core/media may include it
#include <atomic>
#include <cstdint>
#include <mutex>
#include <string>

namespace media {

/// What a demuxer or decoder complained about. libav reports many kinds of damage only in its log, so contexts whose
/// `opaque` points here have their error messages counted. Any thread.
class Complaints {
public:
    void add(const std::string& text);
    std::int64_t count() const { return m_count.load(); }
    std::string latest() const;

private:
    std::atomic<std::int64_t> m_count = 0;
    mutable std::mutex m_mutex;
    std::string m_latest;
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

bool isAllowedDecoder(const char* name);

} // namespace media
