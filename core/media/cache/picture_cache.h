#pragma once // FrameService's own
#include "core/media/cache/cached_picture.h"
#include "core/timing/units.h"
#include <map>
#include <optional>

namespace media {

/// Pictures of several footages within one byte budget: native near where the analyst looks, and where the budget
/// doesn't hold enough of these, reduced further off. What goes first: footage not looked at for longest, then what
/// lies farthest from where the analyst looks, and sooner behind than ahead. Not for several threads.
class PictureCache {
public:
    using Handle = std::uint64_t;

    explicit PictureCache(std::size_t budgetBytes) : m_budget(budgetBytes) {}

    void setBudget(std::size_t bytes);
    /// How pictures of this footage are reduced from now on; until then they aren't.
    void setReduction(Handle handle, const Reduction& how);
    Reduction reduction(Handle handle) const;

    /// The analyst looks at frame `n` now and travels in `direction` (-1, 0, +1).
    void lookAt(Handle handle, timing::FrameNumber n, int direction);

    /// Keeps the picture unless everything else that fills the budget is nearer. A native one takes a reduced one's
    /// place, not the other way round.
    void put(Handle handle, timing::FrameNumber n, CachedPicture picture);

    /// Whether this frame, which isn't there yet, is better kept reduced. `picture` tells the size.
    bool isFarOff(Handle handle, timing::FrameNumber n, const Picture& picture) const;
    struct Far {
        timing::FrameNumber frame;
        Picture picture;
    };
    /// The native picture that should be reduced next; empty when each has its room.
    std::optional<Far> nextToReduce(Handle handle) const;
    /// Puts `picture` in the place of the native one, if that is still there.
    void reduce(Handle handle, timing::FrameNumber n, CachedPicture picture);

    /// Empty when it isn't there.
    CachedPicture find(Handle handle, timing::FrameNumber n) const;
    bool contains(Handle handle, timing::FrameNumber n) const { return static_cast<bool>(find(handle, n)); }
    /// What is kept of a footage, by frame.
    std::map<std::int64_t, CachedPicture> all(Handle handle) const;
    void drop(Handle handle);
    /// Drops the pictures of one footage; another is looked at as that was.
    void takePlaceOf(Handle gone, Handle instead);
    std::size_t bytes() const { return m_bytes; }

    /// How many pictures like those of this footage the budget holds; empty while none was seen.
    std::optional<std::int64_t> capacity(Handle handle) const;

private:
    struct Shelf {
        std::map<std::int64_t, CachedPicture> pictures;
        std::int64_t natives = 0; ///< of them
        std::int64_t cursor = 0;
        int direction = 0;
        std::uint64_t lookedAt = 0; ///< rises; 0 before the first look
        Reduction reduction;
        std::size_t nativeBytes = 0, reducedBytes = 0; ///< of one picture; 0: none was seen, or it can't be reduced

        double distance(std::int64_t n) const;
        bool lowEndIsFarther() const;
        std::optional<std::int64_t> farthestNative() const;
    };

    std::int64_t roomForNatives(const Shelf& shelf) const;
    void shrink();

    std::size_t m_budget;
    std::size_t m_bytes = 0;
    std::uint64_t m_looks = 0;
    std::map<Handle, Shelf> m_shelves;
};

} // namespace media
