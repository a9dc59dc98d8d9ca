#pragma once
#include "core/media/cache/picture_cache.h"
#include "core/media/cache/prefetch_plan.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/confirmation.h"
#include <condition_variable>
#include <list>
#include <mutex>
#include <set>
#include <thread>

namespace media {

/// Serves pictures of several footages from a cache with one byte budget, decoding on its own threads. Where the budget
/// holds too few native pictures, those far from the frame asked for are kept reduced. Two workers share the cache: one
/// serves what is wanted, one decodes ahead and rests while a wanted frame is decoded.
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
        /// One sentence about frames from this one on, which are shown: such a delivery has no picture.
        std::string doubt = {};
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
    using Lock = std::unique_lock<std::mutex>;

    /// The readers one worker has open. Few: each holds a decoder's own pictures.
    class Readers {
    public:
        using Open = std::list<std::pair<Handle, FrameReader>>;

        FrameReader& of(Handle handle, const std::shared_ptr<const Footage>& footage, const std::stop_token& stop);
        void close(Handle handle);
        /// Those whose footage was removed, for closing them where nobody waits.
        template <class Known> Open takeStale(const Known& known)
        {
            Open stale;
            for (auto entry = m_open.begin(); entry != m_open.end();) {
                const auto next = std::next(entry);
                if (!known.contains(entry->first))
                    stale.splice(stale.end(), m_open, entry);
                entry = next;
            }
            return stale;
        }

    private:
        Open m_open; // latest used first
    };

    /// What one worker decodes at the moment.
    struct Run {
        bool active = false;
        bool jumps = false; ///< one picture is waited for; what comes by on the way counts less
        Handle handle = 0;
        std::int64_t position = -1; ///< latest frame that came by
        std::int64_t target = 0;
        std::stop_source stop;
    };

    void serveWanted();
    void decodeAhead();
    bool deliverCached(Lock& lock);
    /// Decodes to `n` with what passes by going into the cache. A sentence when it fails.
    std::optional<std::string> decode(Lock& lock, Readers& readers, Run& run, Handle handle, timing::FrameNumber n,
                                      std::optional<timing::FrameNumber> neededFrom);
    void take(Handle handle, timing::FrameNumber n, const Picture& picture, Run& run);
    CachedPicture reduced(Lock& lock, Handle handle, timing::FrameNumber n, const Picture& picture);
    void reduceFarOnes(Lock& lock, Handle handle);
    void deliver(Lock& lock, Delivery delivery);
    void tellDoubts(Lock& lock, Handle handle, const Footage& footage, const std::vector<Doubt>& doubts);
    /// The picture of a pass, if the cache holds it; waits while it is on its way there. Throws core::Cancelled.
    Picture keptForPass(Handle handle, std::int64_t n, const std::stop_token& stop) const;
    void keepFromPass(Handle handle, timing::FrameNumber n, const Picture& picture);
    bool prefetchWillBring(timing::FrameNumber n) const;
    std::optional<timing::FrameNumber> nextAhead();
    /// The last frame that may be decoded in one go with missing frame `n`.
    timing::FrameNumber lastAlongWith(timing::FrameNumber n) const;
    /// True when it had to let go of the lock.
    bool closeStale(Lock& lock, Readers& readers);
    PrefetchView view() const;

    const Deliver m_deliver;
    mutable std::mutex m_mutex;
    mutable std::condition_variable
        m_changed; ///< a request, a picture, the end of a run or of a delivery, or the end of all
    bool m_stopping = false;
    Handle m_lastHandle = 0;
    std::map<Handle, std::shared_ptr<const Footage>> m_footage;
    PictureCache m_cache;

    Handle m_wantedHandle = 0;
    std::int64_t m_cursor = 0;
    int m_direction = 0;
    Detail m_detail = Detail::Native;
    bool m_travels = false; ///< the cursor came from near: what lies on the way is likely to be wanted as well
    std::list<timing::FrameNumber> m_pending;                ///< of m_wantedHandle, most wanted first
    std::set<std::pair<Handle, std::int64_t>> m_failedAhead; ///< left to a request, which will say what is wrong
    std::set<std::pair<Handle, std::int64_t>> m_doubted;     ///< told of
    PrefetchPlan m_plan;
    bool m_cacheIsFull = false; ///< what was decoded ahead didn't fit; until the next request
    Run m_wantedRun;
    Run m_aheadRun;
    std::vector<std::pair<std::thread::id, Handle>> m_delivering;

    std::thread m_wantedWorker;
    std::thread m_aheadWorker;
};

} // namespace media
