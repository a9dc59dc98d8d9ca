#include "core/media/picture_hash.h"
#include "core/media/av_handles.h"
#include <array>
#include <bit>
#include <cstring>

namespace media {
namespace {

/// Four lanes take eight bytes each in turn, so that the multiplications overlap; rotation before multiplication lets
/// every bit of a word reach every bit of its lane.
class Hash {
public:
    void add(const std::uint8_t* bytes, std::size_t count)
    {
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

} // namespace

std::uint64_t hashOf(const AVFrame& frame)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    Hash hash;
    // The name, not the number: libav renumbers its formats between versions.
    if (const char* name = av_get_pix_fmt_name(format))
        hash.add(reinterpret_cast<const std::uint8_t*>(name), std::strlen(name));
    hash.add(static_cast<std::uint64_t>(frame.width));
    hash.add(static_cast<std::uint64_t>(frame.height));
    for (int plane = 0; plane < av_pix_fmt_count_planes(format); ++plane) {
        const int rowBytes = av_image_get_linesize(format, frame.width, plane);
        const bool chroma = plane == 1 || plane == 2;
        const int rows = chroma ? AV_CEIL_RSHIFT(frame.height, kind->log2_chroma_h) : frame.height;
        const std::uint8_t* row = frame.data[plane];
        for (int y = 0; rowBytes > 0 && y < rows; ++y, row += frame.linesize[plane])
            hash.add(row, static_cast<std::size_t>(rowBytes));
    }
    if (kind && (kind->flags & AV_PIX_FMT_FLAG_PAL) && frame.data[1])
        hash.add(frame.data[1], AVPALETTE_SIZE);
    return hash.result();
}

} // namespace media
