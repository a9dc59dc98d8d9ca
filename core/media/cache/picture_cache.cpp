#include "core/media/cache/picture_cache.h"
#include <algorithm>
#include <limits>

namespace media {
namespace {

constexpr std::int64_t enough = 384;      // frames: a group of 250 ahead, and half of one behind
constexpr std::int64_t leastNatives = 16; // around the cursor, for the step back and forth that marking takes

} // namespace

double PictureCache::Shelf::distance(std::int64_t n) const
{
    constexpr double behindCountsAs = 4; // a turn back is rarer than the next step on
    const double away = static_cast<double>(n - cursor);
    const bool behind = direction != 0 && away * direction < 0;
    return std::abs(away) * (behind ? behindCountsAs : 1);
}

bool PictureCache::Shelf::lowEndIsFarther() const
{
    return distance(pictures.begin()->first) > distance(pictures.rbegin()->first);
}

std::optional<std::int64_t> PictureCache::Shelf::farthestNative() const
{
    const auto isNative = [](const auto& entry) { return static_cast<bool>(entry.second.native()); };
    const auto low = std::find_if(pictures.begin(), pictures.end(), isNative);
    if (low == pictures.end())
        return std::nullopt;
    const auto high = std::find_if(pictures.rbegin(), pictures.rend(), isNative);
    return distance(low->first) > distance(high->first) ? low->first : high->first;
}

void PictureCache::setBudget(std::size_t bytes)
{
    m_budget = bytes;
    shrink();
}

void PictureCache::setReduction(Handle handle, const Reduction& how)
{
    Shelf& shelf = m_shelves[handle];
    shelf.reduction = how;
    shelf.reducedBytes = 0;
    for (const auto& [n, picture] : shelf.pictures)
        if (picture.native()) {
            shelf.reducedBytes = CachedPicture::reducedBytes(picture.native(), how);
            break;
        }
}

Reduction PictureCache::reduction(Handle handle) const
{
    const auto shelf = m_shelves.find(handle);
    return shelf == m_shelves.end() ? Reduction{} : shelf->second.reduction;
}

void PictureCache::lookAt(Handle handle, timing::FrameNumber n, int direction)
{
    Shelf& shelf = m_shelves[handle];
    shelf.cursor = n.value;
    shelf.direction = direction;
    shelf.lookedAt = ++m_looks;
}

void PictureCache::put(Handle handle, timing::FrameNumber n, CachedPicture picture)
{
    Shelf& shelf = m_shelves[handle];
    if (picture.native()) {
        shelf.nativeBytes = picture.bytes();
        if (shelf.reducedBytes == 0)
            shelf.reducedBytes = CachedPicture::reducedBytes(picture.native(), shelf.reduction);
    } else {
        shelf.reducedBytes = picture.bytes();
    }
    const auto place = shelf.pictures.find(n.value);
    if (place != shelf.pictures.end()) {
        if (place->second.native() || !picture.native())
            return; // the same frame is the same picture
        m_bytes -= place->second.bytes();
        shelf.pictures.erase(place);
    }
    m_bytes += picture.bytes();
    shelf.natives += picture.native() ? 1 : 0;
    shelf.pictures.emplace(n.value, std::move(picture));
    shrink();
}

/// As many as leave room for enough pictures altogether.
std::int64_t PictureCache::roomForNatives(const Shelf& shelf) const
{
    if (shelf.reducedBytes == 0 || shelf.reducedBytes >= shelf.nativeBytes)
        return std::numeric_limits<std::int64_t>::max();
    const auto budget = static_cast<std::int64_t>(m_budget), native = static_cast<std::int64_t>(shelf.nativeBytes);
    const auto reduced = static_cast<std::int64_t>(shelf.reducedBytes);
    const std::int64_t natives = (budget - enough * reduced) / (native - reduced);
    return std::max(natives, std::min(leastNatives, budget / native / 2));
}

bool PictureCache::isFarOff(Handle handle, timing::FrameNumber n, const Picture& picture) const
{
    const auto place = m_shelves.find(handle);
    if (place == m_shelves.end() || CachedPicture::reducedBytes(picture, place->second.reduction) == 0)
        return false;
    const Shelf& shelf = place->second;
    if (shelf.natives < roomForNatives(shelf))
        return false;
    const auto farthest = shelf.farthestNative();
    return !farthest || shelf.distance(n.value) >= shelf.distance(*farthest);
}

std::optional<PictureCache::Far> PictureCache::nextToReduce(Handle handle) const
{
    const auto place = m_shelves.find(handle);
    if (place == m_shelves.end() || place->second.natives <= roomForNatives(place->second))
        return std::nullopt;
    const auto farthest = place->second.farthestNative();
    return farthest ? std::optional(Far{{*farthest}, place->second.pictures.at(*farthest).native()}) : std::nullopt;
}

void PictureCache::reduce(Handle handle, timing::FrameNumber n, CachedPicture picture)
{
    const auto place = m_shelves.find(handle);
    if (place == m_shelves.end())
        return;
    Shelf& shelf = place->second;
    const auto kept = shelf.pictures.find(n.value);
    if (kept == shelf.pictures.end() || !kept->second.native() || picture.native())
        return;
    m_bytes -= kept->second.bytes();
    --shelf.natives;
    shelf.pictures.erase(kept);
    if (!picture)
        return; // it can't be reduced, and its room is needed
    m_bytes += picture.bytes();
    shelf.reducedBytes = picture.bytes();
    shelf.pictures.emplace(n.value, std::move(picture));
    shrink();
}

void PictureCache::shrink()
{
    while (m_bytes > m_budget) {
        Shelf* oldest = nullptr;
        for (auto& [handle, shelf] : m_shelves)
            if (!shelf.pictures.empty() && (!oldest || shelf.lookedAt < oldest->lookedAt))
                oldest = &shelf;
        auto& pictures = oldest->pictures;
        const auto victim = oldest->lowEndIsFarther() ? pictures.begin() : std::prev(pictures.end());
        m_bytes -= victim->second.bytes();
        oldest->natives -= victim->second.native() ? 1 : 0;
        pictures.erase(victim);
    }
}

CachedPicture PictureCache::find(Handle handle, timing::FrameNumber n) const
{
    const auto shelf = m_shelves.find(handle);
    if (shelf == m_shelves.end())
        return {};
    const auto picture = shelf->second.pictures.find(n.value);
    return picture == shelf->second.pictures.end() ? CachedPicture{} : picture->second;
}

std::map<std::int64_t, CachedPicture> PictureCache::all(Handle handle) const
{
    const auto shelf = m_shelves.find(handle);
    return shelf == m_shelves.end() ? std::map<std::int64_t, CachedPicture>() : shelf->second.pictures;
}

void PictureCache::takePlaceOf(Handle gone, Handle instead)
{
    Shelf looked;
    if (const auto shelf = m_shelves.find(gone); shelf != m_shelves.end()) {
        looked = shelf->second;
        looked.pictures.clear();
        looked.natives = 0;
    }
    drop(gone);
    m_shelves[instead] = std::move(looked);
}

void PictureCache::drop(Handle handle)
{
    const auto shelf = m_shelves.find(handle);
    if (shelf == m_shelves.end())
        return;
    for (const auto& [n, picture] : shelf->second.pictures)
        m_bytes -= picture.bytes();
    m_shelves.erase(shelf);
}

std::optional<std::int64_t> PictureCache::capacity(Handle handle) const
{
    const auto place = m_shelves.find(handle);
    if (place == m_shelves.end() || place->second.nativeBytes == 0)
        return std::nullopt;
    const Shelf& shelf = place->second;
    const auto budget = static_cast<std::int64_t>(m_budget), native = static_cast<std::int64_t>(shelf.nativeBytes);
    const std::int64_t natives = std::min(roomForNatives(shelf), budget / native);
    if (shelf.reducedBytes == 0)
        return natives;
    return natives
           + std::max<std::int64_t>(0, budget - natives * native) / static_cast<std::int64_t>(shelf.reducedBytes);
}

} // namespace media
