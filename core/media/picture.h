#pragma once
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

struct AVFrame;

namespace media {

struct Size {
    int width = 0;
    int height = 0;
    bool operator==(const Size&) const = default;
};

/// Rectangle in the native (unturned, unstretched) picture, in pixels, right and bottom exclusive.
struct Rect {
    int x = 0;
    int y = 0;
    int width = 0;
    int height = 0;
    bool operator==(const Rect&) const = default;
};

/// One decoded frame in its native pixel format. A cheap handle: copies share the planes.
/// Immutable, so any thread may read it. An empty handle (default) has no picture.
class Picture {
public:
    Picture() = default;
    /// Takes over a reference; for the decoder only.
    explicit Picture(std::shared_ptr<const AVFrame> frame);

    explicit operator bool() const { return m_frame != nullptr; }
    Size size() const;
    std::string pixelFormat() const; ///< libav's name, e.g. "yuv420p10le"
    int bitDepth() const;            ///< of the first component
    std::size_t bytes() const;       ///< memory held by the planes
    bool damaged() const;            ///< the decoder reported errors in it

    /// MD5 of the tight-packed native planes as lower-case hex (what framemd5 of rawvideo prints).
    std::string md5() const;
    /// Fast 64-bit hash of format, size and the same bytes; equal on every machine. Not cryptographic.
    std::uint64_t hash() const;

    const AVFrame& native() const { return *m_frame; }

private:
    std::shared_ptr<const AVFrame> m_frame;
};

/// Brightness of a region in native luma samples scaled to 0..255 whatever the bit depth.
struct RegionLevels {
    double mean = 0;
    double min = 0;
    double max = 0;
};
/// Region is clipped to the picture; all zero when nothing is left of it.
RegionLevels measure(const Picture& picture, const Rect& region);

} // namespace media
