#include "core/media/index/confirmation.h"
#include "core/media/index/packet_table.h"
#include "core/media/index/parts.h"
#include "core/media/index/refusal.h"
#include "core/media/index/video_index.h"
#include <algorithm>
#include <cassert>
#include <unordered_map>

namespace media {
namespace {

using Moved = std::vector<std::optional<timing::FrameNumber>>;

/// Where each scanned frame is now; empty when all stayed where they were.
Moved movesBetween(const Footage& scanned, const Footage& confirmed)
{
    std::unordered_map<std::int64_t, std::int64_t> numbers;
    for (std::size_t n = 0; n < confirmed.frames.size(); ++n)
        numbers.emplace(confirmed.frames[n].ordinal, static_cast<std::int64_t>(n));
    Moved moved;
    bool same = scanned.frames.size() == confirmed.frames.size();
    for (std::size_t n = 0; n < scanned.frames.size(); ++n) {
        const auto found = numbers.find(scanned.frames[n].ordinal);
        moved.push_back(found == numbers.end() ? std::nullopt : std::optional(timing::FrameNumber{found->second}));
        same = same && moved.back() == timing::FrameNumber{static_cast<std::int64_t>(n)};
    }
    return same ? Moved() : moved;
}

std::string difference(const Footage& scanned, const Footage& confirmed, const Moved& moved)
{
    std::int64_t gone = 0, elsewhere = 0;
    std::optional<std::size_t> first;
    for (std::size_t n = 0; n < moved.size(); ++n) {
        gone += !moved[n];
        elsewhere += moved[n] && moved[n]->value != static_cast<std::int64_t>(n);
        if (!first && moved[n] != timing::FrameNumber{static_cast<std::int64_t>(n)})
            first = n;
    }
    const std::int64_t added = confirmed.frameCount().value - (scanned.frameCount().value - gone);
    std::string text = "Decoding all of \"" + confirmed.path.string() + "\" found "
                       + std::to_string(confirmed.frames.size()) + " frames where its packets told of "
                       + std::to_string(scanned.frames.size()) + ": ";
    if (gone > 0)
        text += std::to_string(gone) + " don't exist, ";
    if (added > 0)
        text += std::to_string(added) + " weren't foreseen, ";
    text += std::to_string(elsewhere) + " have another number";
    if (first)
        text += ", from frame " + std::to_string(*first) + " on";
    return text + "; marks stay on their pictures.";
}

/// What an earlier pass found of a whole part; empty when its pictures are needed once more, and the draft is ready for
/// that.
std::optional<Confirmation> takeDone(ConfirmationDraft& draft)
{
    if (!draft.done)
        return std::nullopt;
    const std::shared_ptr<const Footage> found = draft.done->footage;
    if (draft.had.value >= found->frameCount().value && versionOf(found->path) == found->packets->file)
        return draft.done;
    draft.soFar = found->packets->oneThread ? nullptr : found; // damage is decoded from the beginning
    draft.done.reset();
    return std::nullopt;
}

/// Part by part.
Confirmation confirmParts(const Footage& scanned, const std::stop_token& stop, const ConfirmProgress& progress,
                          const PassingPictures& each, const std::filesystem::path& cacheFolder,
                          ConfirmationDraft* draft)
{
    if (draft)
        draft->parts.resize(scanned.parts.size());
    std::int64_t total = 0, done = 0;
    for (const FootagePart& part : scanned.parts)
        total += part.footage->packets->file.size;
    std::vector<std::shared_ptr<const Footage>> found;
    Confirmation all;
    std::int64_t first = 0; // of the part, now
    bool same = true;
    for (const FootagePart& part : scanned.parts) {
        ConfirmationDraft* own = draft ? &draft->parts[found.size()] : nullptr;
        if (own) {
            own->had = {std::max<std::int64_t>(0, draft->had.value - first)};
            own->checksum = draft->checksum;
        }
        const std::optional<Confirmation> before = own ? takeDone(*own) : std::nullopt;
        const Confirmation one =
            before ? *before
                   : confirmFootage(
                       part.footage, stop,
                       [&](std::int64_t bytes, std::int64_t, timing::FrameCount confirmed) {
                           if (progress)
                               progress(done + bytes, total, {same ? first + confirmed.value : 0});
                       },
                       each ? [&](timing::FrameNumber n, const Picture& picture) { each({first + n.value}, picture); }
                            : PassingPictures(),
                       cacheFolder, own);
        if (own)
            own->done = one;
        for (std::int64_t n = 0; n < part.footage->frameCount().value; ++n) {
            const auto now = one.now({n});
            all.moved.push_back(now ? std::optional(timing::FrameNumber{first + now->value}) : std::nullopt);
        }
        if (one.difference)
            all.difference = all.difference ? *all.difference + " " + *one.difference : *one.difference;
        same = same && one.moved.empty();
        first += one.footage->frameCount().value;
        done += part.footage->packets->file.size;
        found.push_back(one.footage);
    }
    if (same)
        all.moved.clear();
    all.footage = joinParts(found);
    return all;
}

} // namespace

std::optional<timing::FrameNumber> Confirmation::now(timing::FrameNumber scanned) const
{
    if (moved.empty())
        return scanned;
    assert(scanned.value >= 0 && scanned.value < std::ssize(moved));
    return moved[scanned.value];
}

Confirmation confirmFootage(const std::shared_ptr<const Footage>& scanned, std::stop_token stop,
                            const ConfirmProgress& progress, const PassingPictures& each,
                            const std::filesystem::path& cacheFolder, ConfirmationDraft* draft)
{
    if (scanned->confirmed)
        return {scanned, {}, std::nullopt};
    if (!scanned->parts.empty())
        return confirmParts(*scanned, stop, progress, each, cacheFolder, draft);
    timing::FrameCount confirmed;
    IndexEvents events;
    if (progress)
        events.progress = [&](std::int64_t done, std::int64_t total) { progress(done, total, confirmed); };
    events.draft = draft;
    events.frame = [&](timing::FrameNumber n, const FrameEntry& entry, FramePtr frame) {
        if (n.value == 0)
            confirmed = {};
        if (confirmed.value == 0 && n.value > 0 && draft && draft->soFar) // gone on from there
            while (confirmed.value < n.value && static_cast<std::size_t>(confirmed.value) < scanned->frames.size()
                   && scanned->frames[confirmed.value].ordinal == draft->soFar->frames[confirmed.value].ordinal)
                ++confirmed.value;
        const auto place = static_cast<std::size_t>(n.value);
        if (confirmed.value == n.value && place < scanned->frames.size()
            && scanned->frames[place].ordinal == entry.ordinal)
            ++confirmed.value;
        if (each)
            each(n, Picture(std::move(frame)));
    };
    const std::optional<int> stream = scanned->pictureFolder ? std::nullopt : std::optional(scanned->streamIndex);
    const std::shared_ptr<const Footage> found = indexByDecoding(scanned->path, stream, std::move(stop), events);
    if (found->packets->marks != scanned->packets->marks || found->packets->file != scanned->packets->file)
        throw changedSinceOpened(scanned->path);
    Confirmation confirmation{keepIndex(found, cacheFolder), movesBetween(*scanned, *found), std::nullopt};
    if (!confirmation.moved.empty())
        confirmation.difference = difference(*scanned, *found, confirmation.moved);
    return confirmation;
}

} // namespace media
