#include "core/error.h"
#include "core/media/cache/frame_service.h"
#include "core/media/index/parts.h"
#include <algorithm>
#include <cassert>
#include <chrono>

namespace media {
namespace {

constexpr std::int64_t near = 32;           // frames; the most that playback passes over is one less
constexpr std::int64_t keptBeforeJump = 12; // frames; enough for the first steps back while the rest is decoded

} // namespace

FrameReader& FrameService::Readers::of(Handle handle, const std::shared_ptr<const Footage>& footage,
                                       const std::stop_token& stop)
{
    constexpr std::size_t mostOpen = 2;
    const auto open =
        std::find_if(m_open.begin(), m_open.end(), [&](const auto& entry) { return entry.first == handle; });
    if (open != m_open.end()) {
        m_open.splice(m_open.begin(), m_open, open);
    } else {
        while (m_open.size() >= mostOpen)
            m_open.pop_back();
        m_open.emplace_front(std::piecewise_construct, std::forward_as_tuple(handle),
                             std::forward_as_tuple(footage, stop));
    }
    return m_open.front().second;
}

void FrameService::Readers::close(Handle handle)
{
    m_open.remove_if([&](const auto& entry) { return entry.first == handle; });
}

FrameService::FrameService(std::size_t budgetBytes, Deliver deliver)
    : m_deliver(std::move(deliver)), m_cache(budgetBytes)
{
    m_wantedWorker = std::thread([this] { serveWanted(); });
    m_aheadWorker = std::thread([this] { decodeAhead(); });
}

FrameService::~FrameService()
{
    {
        const Lock lock(m_mutex);
        m_stopping = true;
        m_wantedRun.stop.request_stop();
        m_aheadRun.stop.request_stop();
    }
    m_changed.notify_all();
    m_wantedWorker.join();
    m_aheadWorker.join();
}

FrameService::Handle FrameService::add(std::shared_ptr<const Footage> footage)
{
    assert(footage);
    const Lock lock(m_mutex);
    m_footage.emplace(++m_lastHandle, std::move(footage));
    return m_lastHandle;
}

void FrameService::remove(Handle handle)
{
    Lock lock(m_mutex);
    m_footage.erase(handle);
    m_cache.drop(handle);
    if (m_wantedHandle == handle)
        m_pending.clear();
    for (Run* run : {&m_wantedRun, &m_aheadRun})
        if (run->active && run->handle == handle)
            run->stop.request_stop();
    m_changed.notify_all();
    const auto isDelivered = [&] {
        return std::any_of(m_delivering.begin(), m_delivering.end(), [&](const auto& delivery) {
            return delivery.second == handle && delivery.first != std::this_thread::get_id();
        });
    };
    m_changed.wait(lock, [&] { return !isDelivered(); });
}

FrameService::Compared FrameService::compare(Handle handle, const Confirmation& confirmation,
                                             const std::stop_token& stop) const
{
    std::map<std::int64_t, CachedPicture> pictures;
    {
        const Lock lock(m_mutex);
        if (!m_footage.contains(handle))
            return {};
        pictures = m_cache.all(handle);
    }
    Compared compared;
    for (const auto& [n, picture] : pictures) {
        if (stop.stop_requested())
            throw core::Cancelled();
        const std::optional<timing::FrameNumber> now = confirmation.now({n});
        if (!now)
            continue;
        if (picture.hash() == confirmation.footage->frames[now->value].hash)
            compared.right.emplace_back(*now, picture);
        else
            compared.wrong.push_back(*now);
    }
    return compared;
}

FrameService::Handle FrameService::replace(Handle handle, std::shared_ptr<const Footage> confirmed,
                                           const Compared& pictures)
{
    const Handle added = add(std::move(confirmed));
    {
        const Lock lock(m_mutex);
        m_cache.takePlaceOf(handle, added);
        for (const auto& [n, picture] : pictures.right)
            m_cache.put(added, n, picture);
    }
    remove(handle);
    return added;
}

void FrameService::letWantedGoFirst(const std::stop_token& stop) const
{
    Lock lock(m_mutex);
    while (m_wantedRun.active && !m_stopping && !stop.stop_requested())
        m_changed.wait_for(lock, std::chrono::milliseconds(20)); // a stop doesn't wake it
}

void FrameService::setBudget(std::size_t bytes)
{
    {
        const Lock lock(m_mutex);
        m_cache.setBudget(bytes);
        m_cacheIsFull = false;
    }
    m_changed.notify_all();
}

void FrameService::setReduction(Handle handle, const Reduction& how)
{
    const Lock lock(m_mutex);
    if (m_footage.contains(handle))
        m_cache.setReduction(handle, how);
}

CachedPicture FrameService::cached(Handle handle, timing::FrameNumber n) const
{
    const Lock lock(m_mutex);
    return m_cache.find(handle, n);
}

std::size_t FrameService::cachedBytes() const
{
    const Lock lock(m_mutex);
    return m_cache.bytes();
}

void FrameService::want(Handle handle, std::vector<timing::FrameNumber> frames, int direction, Detail detail)
{
    assert(direction >= -1 && direction <= 1);
    {
        const Lock lock(m_mutex);
        const auto footage = m_footage.find(handle);
        if (footage == m_footage.end() || frames.empty())
            return;
        for ([[maybe_unused]] const timing::FrameNumber n : frames)
            assert(n.value >= 0 && n.value < footage->second->frameCount().value);
        const std::int64_t step = std::abs(frames.front().value - m_cursor);
        if (handle != m_wantedHandle || step != 0)
            m_travels = handle == m_wantedHandle && step <= near;
        m_wantedHandle = handle;
        m_cursor = frames.front().value;
        m_direction = direction;
        m_detail = detail;
        m_cacheIsFull = false;
        m_pending.assign(frames.begin(), frames.end());
        m_cache.lookAt(handle, frames.front(), direction);

        const bool stillWanted =
            m_wantedRun.handle == handle
            && std::find(frames.begin(), frames.end(), timing::FrameNumber{m_wantedRun.target}) != frames.end();
        if (m_wantedRun.active && !stillWanted)
            m_wantedRun.stop.request_stop();
        const bool stillAhead = m_aheadRun.handle == handle && PrefetchPlan::serves(view(), {m_aheadRun.target});
        if (m_aheadRun.active && !stillAhead)
            m_aheadRun.stop.request_stop();
    }
    m_changed.notify_all();
}

void FrameService::serveWanted()
{
    Readers readers;
    Lock lock(m_mutex);
    while (!m_stopping) {
        if (deliverCached(lock) || closeStale(lock, readers))
            continue;
        if (m_pending.empty()) {
            m_changed.wait(lock);
            continue;
        }
        const Handle handle = m_wantedHandle;
        const timing::FrameNumber n = m_pending.front();
        if (prefetchWillBring(n)) {
            m_changed.wait(lock);
            continue;
        }
        // Who jumps waits for one picture. Those right before it are for a step back, the others for who goes on that
        // way.
        const bool isKept = m_cache.contains(handle, n); // reduced: what lies around it is there as well
        const auto neededFrom =
            m_travels && !isKept && std::abs(n.value - m_cursor) <= near
                ? std::nullopt
                : std::optional(timing::FrameNumber{std::max<std::int64_t>(0, n.value - keptBeforeJump)});
        const std::optional<std::string> fault = decode(lock, readers, m_wantedRun, handle, n, neededFrom);
        const auto wanted = std::find(m_pending.begin(), m_pending.end(), n);
        if (fault && handle == m_wantedHandle && wanted != m_pending.end()) {
            m_pending.erase(wanted);
            deliver(lock, {handle, n, {}, *fault});
        }
    }
}

bool FrameService::deliverCached(Lock& lock)
{
    for (auto n = m_pending.begin(); n != m_pending.end(); ++n) {
        if (CachedPicture picture = m_cache.find(m_wantedHandle, *n);
            picture.native() || (picture && m_detail == Detail::Reduced)) {
            const Delivery delivery{m_wantedHandle, *n, std::move(picture), {}};
            m_pending.erase(n);
            deliver(lock, delivery);
            return true;
        }
    }
    return false;
}

bool FrameService::prefetchWillBring(timing::FrameNumber n) const
{
    return m_aheadRun.active && !m_aheadRun.stop.stop_requested() && m_aheadRun.handle == m_wantedHandle
           && m_aheadRun.position >= 0 && n.value > m_aheadRun.position && n.value <= m_aheadRun.target;
}

void FrameService::decodeAhead()
{
    Readers readers;
    Lock lock(m_mutex);
    while (!m_stopping) {
        if (closeStale(lock, readers))
            continue;
        const std::optional<timing::FrameNumber> n =
            m_wantedRun.active || !m_pending.empty() ? std::nullopt : nextAhead();
        if (!n) {
            m_changed.wait(lock);
            continue;
        }
        const Handle handle = m_wantedHandle;
        const timing::FrameNumber last = lastAlongWith(*n);
        if (decode(lock, readers, m_aheadRun, handle, last, std::nullopt))
            for (std::int64_t failed = std::max(n->value, m_aheadRun.position + 1); failed <= last.value; ++failed)
                m_failedAhead.emplace(handle, failed);
        else if (!m_aheadRun.stop.stop_requested() && !m_cache.contains(handle, last))
            m_cacheIsFull = true;
    }
}

std::optional<timing::FrameNumber> FrameService::nextAhead()
{
    if (m_cacheIsFull || !m_footage.contains(m_wantedHandle))
        return std::nullopt;
    return m_plan.next(view(), [this](timing::FrameNumber n) {
        return m_cache.contains(m_wantedHandle, n) || m_failedAhead.contains({m_wantedHandle, n.value});
    });
}

/// Forwards: as far as is wanted, so that frame threads pay and a frame on its way is waited for instead of decoded
/// once more. Not over a clean entry point: decoding towards a frame behind it would begin there.
timing::FrameNumber FrameService::lastAlongWith(timing::FrameNumber n) const
{
    const Footage& footage = *m_footage.at(m_wantedHandle);
    const auto beginsSomething = [&](std::int64_t next) {
        return footage.frames[next].cleanEntry
               || (!footage.parts.empty() && partOf(footage, {next}).first.value == next);
    };
    const auto goesAlong = [&](std::int64_t next) {
        return next < footage.frameCount().value && !beginsSomething(next) && PrefetchPlan::serves(view(), {next})
               && !m_cache.contains(m_wantedHandle, {next}) && !m_failedAhead.contains({m_wantedHandle, next});
    };
    while (n.value > m_cursor && goesAlong(n.value + 1))
        ++n.value;
    return n;
}

bool FrameService::closeStale(Lock& lock, Readers& readers)
{
    Readers::Open stale = readers.takeStale(m_footage);
    if (stale.empty())
        return false;
    lock.unlock();
    stale.clear();
    lock.lock();
    return true;
}

PrefetchView FrameService::view() const
{
    return {m_cursor, m_direction, m_footage.at(m_wantedHandle)->frameCount().value, m_cache.capacity(m_wantedHandle)};
}

std::optional<std::string> FrameService::decode(Lock& lock, Readers& readers, Run& run, Handle handle,
                                                timing::FrameNumber n, std::optional<timing::FrameNumber> neededFrom)
{
    const std::shared_ptr<const Footage> footage = m_footage.at(handle);
    run = {true, neededFrom.has_value(), handle, -1, n.value, {}};
    const std::stop_token stop = run.stop.get_token();
    std::optional<std::string> fault;
    std::vector<Doubt> doubts;
    lock.unlock();
    try {
        const auto passing = [&](timing::FrameNumber number, const Picture& picture) {
            take(handle, number, picture, run);
        };
        FrameReader& reader = readers.of(handle, footage, stop);
        if (const auto next = reader.nextTowards(n)) {
            lock.lock();
            run.position = next->value - 1;
            lock.unlock();
        }
        reader.read(n, stop, passing, neededFrom);
        doubts = reader.doubts();
    } catch (const core::Cancelled&) {
        // Someone wants something else now; what came by is in the cache.
    } catch (const std::exception& error) {
        fault = error.what();
        readers.close(handle);
    }
    lock.lock();
    run.active = false;
    m_changed.notify_all();
    tellDoubts(lock, handle, *footage, doubts);
    return fault;
}

void FrameService::tellDoubts(Lock& lock, Handle handle, const Footage& footage, const std::vector<Doubt>& doubts)
{
    for (const Doubt& doubt : doubts) {
        bool isNew = false;
        for (std::int64_t n = doubt.first.value; n <= doubt.last.value; ++n)
            isNew = m_doubted.emplace(handle, n).second || isNew;
        if (!isNew || !m_footage.contains(handle))
            continue;
        const std::string first = std::to_string(doubt.first.value), last = std::to_string(doubt.last.value);
        const std::string frames = first == last ? "Frame " + first : "Frames " + first + " to " + last;
        deliver(lock, {handle,
                       doubt.first,
                       {},
                       {},
                       frames + " of \"" + footage.path.string() + "\" can't be relied on: " + doubt.why + "."});
    }
}

void FrameService::take(Handle handle, timing::FrameNumber n, const Picture& picture, Run& run)
{
    Lock lock(m_mutex);
    if (!m_footage.contains(handle))
        return;
    run.position = n.value;
    CachedPicture kept =
        !run.jumps && m_cache.isFarOff(handle, n, picture) ? reduced(lock, handle, n, picture) : CachedPicture();
    if (!m_footage.contains(handle))
        return; // removed while it was reduced
    m_cache.put(handle, n, kept ? std::move(kept) : CachedPicture(picture));
    const auto wanted = handle == m_wantedHandle ? std::find(m_pending.begin(), m_pending.end(), n) : m_pending.end();
    if (wanted != m_pending.end()) {
        m_pending.erase(wanted);
        deliver(lock, {handle, n, picture, {}});
    }
    m_changed.notify_all();
    if (!run.jumps)
        reduceFarOnes(lock, handle);
    if (&run == &m_aheadRun) // a wanted frame outranks what may be wanted later
        m_changed.wait(lock, [this] { return !m_wantedRun.active || m_aheadRun.stop.stop_requested(); });
}

/// Lets go of the lock meanwhile.
CachedPicture FrameService::reduced(Lock& lock, Handle handle, timing::FrameNumber n, const Picture& picture)
{
    const Reduction how = m_cache.reduction(handle);
    const std::shared_ptr<const Footage> footage = m_footage.at(handle);
    CachedPicture kept;
    lock.unlock();
    try {
        const auto hash = footage->confirmed ? footage->frames[n.value].hash : picture.hash();
        kept = CachedPicture::reduced(picture, how, hash);
    } catch (const core::Error&) {
        // No memory for it, or libswscale takes the format after all not: the picture is as good as before, only large.
    }
    lock.lock();
    return kept;
}

void FrameService::reduceFarOnes(Lock& lock, Handle handle)
{
    while (const auto far = m_cache.nextToReduce(handle)) {
        if (m_stopping || !m_footage.contains(handle))
            return;
        CachedPicture kept = reduced(lock, handle, far->frame, far->picture);
        m_cache.reduce(handle, far->frame, std::move(kept));
    }
}

void FrameService::deliver(Lock& lock, Delivery delivery)
{
    m_delivering.emplace_back(std::this_thread::get_id(), delivery.handle);
    lock.unlock();
    m_deliver(delivery);
    lock.lock();
    const auto own = std::find_if(m_delivering.begin(), m_delivering.end(),
                                  [](const auto& entry) { return entry.first == std::this_thread::get_id(); });
    m_delivering.erase(own);
    m_changed.notify_all();
}

} // namespace media
