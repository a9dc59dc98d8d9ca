#include "core/media/picture_cache.h"
#include <algorithm>

namespace media {

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

void PictureCache::lookAt(Handle handle, timing::FrameNumber n, int direction)
{
    Shelf& shelf = m_shelves[handle];
    shelf.cursor = n.value;
    shelf.direction = direction;
    shelf.lookedAt = ++m_looks;
}

void PictureCache::put(Handle handle, timing::FrameNumber n, Picture picture)
{
    Shelf& shelf = m_shelves[handle];
    shelf.pictureBytes = picture.bytes();
    const auto [place, isNew] = shelf.pictures.try_emplace(n.value, std::move(picture));
    if (!isNew)
        return; // the same frame is the same picture
    m_bytes += place->second.bytes();
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
        pictures.erase(victim);
    }
}

Picture PictureCache::find(Handle handle, timing::FrameNumber n) const
{
    const auto shelf = m_shelves.find(handle);
    if (shelf == m_shelves.end())
        return {};
    const auto picture = shelf->second.pictures.find(n.value);
    return picture == shelf->second.pictures.end() ? Picture{} : picture->second;
}

std::map<std::int64_t, Picture> PictureCache::all(Handle handle) const
{
    const auto shelf = m_shelves.find(handle);
    return shelf == m_shelves.end() ? std::map<std::int64_t, Picture>() : shelf->second.pictures;
}

void PictureCache::takePlaceOf(Handle gone, Handle instead)
{
    Shelf looked;
    if (const auto shelf = m_shelves.find(gone); shelf != m_shelves.end()) {
        looked.cursor = shelf->second.cursor;
        looked.direction = shelf->second.direction;
        looked.lookedAt = shelf->second.lookedAt;
        looked.pictureBytes = shelf->second.pictureBytes;
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
    const auto shelf = m_shelves.find(handle);
    if (shelf == m_shelves.end() || shelf->second.pictureBytes == 0)
        return std::nullopt;
    return static_cast<std::int64_t>(m_budget / shelf->second.pictureBytes);
}

} // namespace media
