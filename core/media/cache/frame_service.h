#pragma once
#include "core/media/index/confirmation.h"
#include "core/media/cache/cached_picture.h"

namespace media {

/// Serves pictures of several footages from a cache with one byte budget, decoding on its own threads. Where the budget
/// holds too few native pictures, those far from the frame asked for are kept reduced.
/// Members may be called from one thread (the window's), those that say so from any; deliveries come on a worker
/// thread.
class FrameService {
public:
    using Handle = std::uint64_t;

    struct Delivery {
        Handle handle = 0;
        timing::FrameNumber frame;
        CachedPicture picture; ///< empty when `fault` says why
        std::string fault;     ///< one sentence, empty when all is well
        std::string doubt =
            {}; ///< one sentence about frames from this one on, which are shown: such a delivery has no picture
    };
    using Deliver = std::function<void(const Delivery&)>;

    /// `deliver` must not block and must be safe to call from any thread until the destructor has returned.
    FrameService(std::size_t budgetBytes, Deliver deliver);
    ~FrameService();
    FrameService(const FrameService&) = delete;
    FrameService& operator=(const FrameService&) = delete;

    /// The footage can be asked for from now on; nothing is opened yet.
    Handle add(std::shared_ptr<const Footage> footage);
    /// What the budget allows pictures to take, from now on.
    void setBudget(std::size_t bytes);
    /// How this footage's pictures may be reduced, for those that are kept from now on; until then all are native.
    void setReduction(Handle handle, const Reduction& how);
    /// Drops its pictures and requests; no delivery for it begins after this returns.
    void remove(Handle handle);

    /// Cached pictures of scanned footage next to what decoding found, by their confirmed numbers.
    struct Compared {
        std::vector<std::pair<timing::FrameNumber, CachedPicture>> right;
        std::vector<timing::FrameNumber> wrong; ///< were shown, or could have been, and aren't what decoding gives
    };
    /// Blocks while it hashes; for any thread. Nothing for a footage that was removed. Throws core::Cancelled.
    Compared compare(Handle handle, const Confirmation& confirmation, const std::stop_token& stop) const;
    /// Puts confirmed footage in the place of the scanned one, which is removed; pictures that are right stay in the
    /// cache. Requests are to be made anew, by confirmed numbers. Returns the handle that holds from now on.
    Handle replace(Handle handle, std::shared_ptr<const Footage> confirmed, const Compared& pictures);

    /// The picture, if the cache holds it now. Never decodes, never waits for a decoder.
    CachedPicture cached(Handle handle, timing::FrameNumber n) const;

    enum class Detail {
        Native,  ///< as decoded
        Reduced, ///< whatever the cache has; what it hasn't comes native
    };

    /// Asks for these frames, most wanted first; each is delivered once, cached ones too. Replaces every earlier
    /// request that hasn't been served, so a held key builds no backlog. `direction` (-1, 0, +1): the way the
    /// analyst travels; frames ahead that way are decoded into the cache after the wanted ones, without delivery.
    void want(Handle handle, std::vector<timing::FrameNumber> frames, int direction, Detail detail = Detail::Native);

    /// Blocks while a wanted frame is being decoded: long passes in the background let it go first. For any thread but
    /// the one that deliveries come on. Returns at once on a stop.
    void letWantedGoFirst(const std::stop_token& stop) const;

    /// Pictures of `count` frames from `first` on, or up to the end, in ascending order, for a trace. What the cache
    /// holds native isn't decoded; what is decoded goes into the cache where it lies near the frame asked for last.
    /// Blocks; rests while a wanted frame is being decoded. For any thread but the one that deliveries come on.
    /// Precondition: `first` is in the footage. Throws core::Error; core::Cancelled on a stop and when the footage is
    /// removed.
    void pass(Handle handle, timing::FrameNumber first, timing::FrameCount count, const PassingPictures& each,
              const std::stop_token& stop);

    std::size_t cachedBytes() const;

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace media
