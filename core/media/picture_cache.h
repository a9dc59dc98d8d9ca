#pragma once // not public: only core/media may include it
#include "core/media/picture.h"
#include "core/timing/units.h"
#include <map>
#include <optional>

namespace media {

/// Pictures of several footages within one byte budget. What goes first: footage not looked at for longest, then what
/// lies farthest from where the analyst looks, and sooner behind than ahead. Not for several threads.
class PictureCache {
public:
    using Handle = std::uint64_t;

    explicit PictureCache(std::size_t budgetBytes) : m_budget(budgetBytes) {}

    /// The analyst looks at frame `n` now and travels in `direction` (-1, 0, +1).
    void lookAt(Handle handle, timing::FrameNumber n, int direction);

    /// Keeps the picture unless everything else that fills the budget is nearer.
    void put(Handle handle, timing::FrameNumber n, Picture picture);

    /// Empty when it isn't there.
    Picture find(Handle handle, timing::FrameNumber n) const;
    bool contains(Handle handle, timing::FrameNumber n) const { return static_cast<bool>(find(handle, n)); }
    /// What is kept of a footage, by frame.
    std::map<std::int64_t, Picture> all(Handle handle) const;
    void drop(Handle handle);
    /// Drops the pictures of one footage; another is looked at as that was.
    void takePlaceOf(Handle gone, Handle instead);
    std::size_t bytes() const { return m_bytes; }

    /// How many pictures like those of this footage the budget holds; empty while none was seen.
    std::optional<std::int64_t> capacity(Handle handle) const;

private:
    struct Shelf {
        std::map<std::int64_t, Picture> pictures;
        std::int64_t cursor = 0;
        int direction = 0;
        std::uint64_t lookedAt = 0; ///< rises; 0 before the first look
        std::size_t pictureBytes = 0;

        double distance(std::int64_t n) const;
        bool lowEndIsFarther() const;
    };

    void shrink();

    std::size_t m_budget;
    std::size_t m_bytes = 0;
    std::uint64_t m_looks = 0;
    std::map<Handle, Shelf> m_shelves;
};

} // namespace media
