#include "core/error.h"
#include "core/media/cache/frame_service.h"
#include <algorithm>
#include <cassert>
#include <chrono>

namespace media {
namespace {

constexpr std::int64_t inOneGo = 48; // frames; between them others may fill the cache, and it is looked at again
constexpr std::int64_t likely = 256; // frames from the one in view: whoever traces them is about to step there

} // namespace

void FrameService::pass(Handle handle, timing::FrameNumber first, timing::FrameCount count, const PassingPictures& each,
                        const std::stop_token& stop)
{
    std::shared_ptr<const Footage> footage;
    {
        const Lock lock(m_mutex);
        if (const auto open = m_footage.find(handle); open != m_footage.end())
            footage = open->second;
    }
    if (!footage)
        throw core::Cancelled();
    assert(first.value >= 0 && first < timing::FrameNumber{footage->frameCount().value});
    const std::int64_t end = std::min(first.value + count.value, footage->frameCount().value);
    std::optional<FrameReader> reader;
    for (std::int64_t n = first.value; n < end;) {
        letWantedGoFirst(stop);
        if (const Picture picture = keptForPass(handle, n, stop)) {
            each({n++}, picture);
            continue;
        }
        std::int64_t last = n;
        while (last + 1 < end && last - n + 1 < inOneGo && !cached(handle, {last + 1}).native())
            ++last;
        const std::int64_t begin = n;
        const auto come = [&](timing::FrameNumber number, const Picture& picture) {
            if (number.value != n) // on the way there, or once more after a false start
                return;
            letWantedGoFirst(stop);
            keepFromPass(handle, number, picture);
            each({n++}, picture);
        };
        if (!reader)
            reader.emplace(footage, stop);
        reader->read({last}, stop, come, timing::FrameNumber{begin});
        if (n == begin) // frames that aren't confirmed may come in another order
            come({n}, reader->read({n}, stop));
    }
}

Picture FrameService::keptForPass(Handle handle, std::int64_t n, const std::stop_token& stop) const
{
    Lock lock(m_mutex);
    const auto isOnItsWay = [&] { return handle == m_wantedHandle && prefetchWillBring({n}); };
    while (m_footage.contains(handle) && !stop.stop_requested() && isOnItsWay())
        m_changed.wait_for(lock, std::chrono::milliseconds(20)); // a stop doesn't wake it
    if (!m_footage.contains(handle) || stop.stop_requested())
        throw core::Cancelled();
    return m_cache.find(handle, {n}).native();
}

void FrameService::keepFromPass(Handle handle, timing::FrameNumber n, const Picture& picture)
{
    {
        const Lock lock(m_mutex);
        if (!m_footage.contains(handle))
            throw core::Cancelled();
        if (handle != m_wantedHandle || std::abs(n.value - m_cursor) > likely || m_cache.isFarOff(handle, n, picture))
            return;
        m_cache.put(handle, n, CachedPicture(picture));
    }
    m_changed.notify_all();
}

} // namespace media
