#pragma once
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
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
/// What of any rectangle lies in a picture of that size; Rect{} where nothing does.
Rect clipped(const Rect& rect, Size picture);

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
    std::size_t bytes() const;       ///< memory held by the planes

    /// MD5 of the tight-packed native planes as lower-case hex (what framemd5 of rawvideo prints).
    std::string md5() const;
    /// Fast 64-bit hash of format, size and the same bytes; equal on every machine. Not cryptographic.
    std::uint64_t hash() const;

    const AVFrame& native() const { return *m_frame; }

private:
    std::shared_ptr<const AVFrame> m_frame;
};

/// Mean absolute difference per native sample between two pictures, scaled to 0..255 whatever the bit depth. Chroma:
/// all samples that cover the region, both components alike; 0 without colours. RGB: of luma and colour differences by
/// ITU-R BT.709.
struct Change {
    double luma = 0;
    double chroma = 0;
    bool operator==(const Change&) const = default;
};

struct StillBlocks;

/// Brightness of a region in native luma samples scaled to 0..255 whatever the bit depth, and how it differs from other
/// frames.
struct RegionLevels {
    double mean = 0;
    double min = 0;
    double max = 0;
    std::optional<Change> sincePrevious = {};  ///< empty: no frame before, of another kind or size, or not asked for
    std::optional<Change> sinceReference = {}; ///< the same for the reference frame that holds (RegionMeter)
    std::shared_ptr<const StillBlocks> blocks = {}; ///< where asked for (RegionMeter) and where it can be measured
};
/// Brightness alone. Region is clipped to the picture; all zero when nothing is left of it.
RegionLevels measure(const Picture& picture, const Rect& region);
/// Empty when either is empty, when they differ in size or pixel format, or when the region is outside them.
std::optional<Change> changeBetween(const Picture& before, const Picture& after, const Rect& region);

/// The native samples that one pixel shows, in the codes of the file.
struct PixelValue {
    std::vector<int> codes; ///< Y, or Y, Cb and Cr, or red, green and blue
    bool rgb = false;
    int depth = 8; ///< bits of a code
};
/// Empty outside the picture, without one, and of formats whose samples can't be read.
std::optional<PixelValue> pixelAt(const Picture& picture, int x, int y);

} // namespace media
