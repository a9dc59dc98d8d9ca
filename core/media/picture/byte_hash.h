#pragma once // not public: only core/media may include it
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>

struct AVFrame;

namespace media {

/// 64-bit hash of bytes, the same on every machine; not cryptographic. Four lanes take eight bytes each in turn, so
/// that the multiplications overlap; rotation before multiplication lets every bit of a word reach every bit of its
/// lane. Each add() is closed by itself: the pieces count, not only their bytes in a row.
class ByteHash {
public:
    void add(const void* data, std::size_t count)
    {
        const auto* bytes = static_cast<const std::uint8_t*>(data);
        std::array<std::uint64_t, 4> lanes = m_lanes; // in registers
        for (; count >= 32; bytes += 32, count -= 32)
            for (std::size_t lane = 0; lane < 4; ++lane)
                lanes[lane] = mixed(lanes[lane], load(bytes + 8 * lane));
        m_lanes = lanes;
        if (count > 0) {
            std::array<std::uint8_t, 32> tail{};
            std::memcpy(tail.data(), bytes, count);
            for (std::size_t lane = 0; lane < 4; ++lane)
                m_lanes[lane] = mixed(m_lanes[lane], load(tail.data() + 8 * lane));
        }
    }

    void add(std::uint64_t value) { m_lanes[0] = mixed(m_lanes[0], value); }

    std::uint64_t result() const
    {
        std::uint64_t sum = 0;
        for (const std::uint64_t lane : m_lanes) {
            sum = mixed(sum, lane);
            sum ^= sum >> 29;
        }
        sum *= multiplier;
        return sum ^ (sum >> 32);
    }

private:
    static constexpr std::uint64_t multiplier = 0x9e3779b97f4a7c15u; // odd, bits evenly spread (2^64 / golden ratio)

    static std::uint64_t mixed(std::uint64_t lane, std::uint64_t word)
    {
        return std::rotl(lane ^ word, 29) * multiplier;
    }

    static std::uint64_t load(const std::uint8_t* bytes)
    {
        std::uint64_t word = 0;
        std::memcpy(&word, bytes, sizeof word);
        if constexpr (std::endian::native == std::endian::big)
            word = __builtin_bswap64(word);
        return word;
    }

    std::array<std::uint64_t, 4> m_lanes{1, 2, 3, 4};
};

/// Hash of a picture's format, size and the bytes of every plane, whatever the padding between rows.
std::uint64_t hashOf(const AVFrame& frame);

} // namespace media
