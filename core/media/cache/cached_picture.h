#pragma once
#include "core/media/picture/rendition.h"

namespace media {

/// How pictures are kept that lie far from where the analyst looks: shrunk to what the screen shows of them, and some
/// rectangles as they are.
struct Reduction {
    int factor = 1;          ///< native pixels to one kept pixel, along either side; 1: nothing is gained
    std::vector<Rect> whole; ///< native rectangles, kept losslessly with what rendering needs around them
    bool operator==(const Reduction&) const = default;
};

/// A picture as the cache has it: native, or reduced. A cheap handle, immutable; an empty one (default) has no picture.
class CachedPicture {
public:
    CachedPicture() = default;
    CachedPicture(Picture native) : m_native(std::move(native)) {} // NOLINT: a native picture is one
    /// `hash`: Picture::hash() of the native one. Empty where the pixel format can't be shrunk or nothing would be
    /// gained.
    static CachedPicture reduced(const Picture& native, const Reduction& how, std::uint64_t hash);
    /// What reduced() would take, roughly; 0 where it gives nothing.
    static std::size_t reducedBytes(const Picture& native, const Reduction& how);

    explicit operator bool() const { return m_native || m_reduced; }
    const Picture& native() const { return m_native; } ///< empty when reduced
    Size size() const;                                 ///< of the native picture
    std::size_t bytes() const;
    std::uint64_t hash() const;                        ///< of the native picture
    bool operator==(const CachedPicture& other) const; ///< the same picture in memory

    /// Whether render() gives what the native picture gives, or, where nothing is enlarged, what can't be told from it.
    bool shows(const View& view) const;
    RgbImage render(const View& view) const; ///< Precondition: shows(view), or empty
    /// As measure(); empty where the region wasn't kept as it is.
    std::optional<RegionLevels> measure(const Rect& region) const;

private:
    struct Crop {
        Rect rect;
        Picture picture;
    };
    struct Reduced {
        Size size;
        int factor = 1;
        Picture small;
        std::vector<Crop> crops;
        std::uint64_t hash = 0;
    };

    const Crop* cropWith(const Rect& rect) const;

    Picture m_native;
    std::shared_ptr<const Reduced> m_reduced;
};

} // namespace media
