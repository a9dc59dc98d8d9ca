#pragma once
#include "core/media/index/checksum.h"

namespace media {

/// What decoding all of a scanned footage found.
struct Confirmation {
    std::shared_ptr<const Footage> footage; ///< confirmed

    /// Where each scanned frame is now; empty: decoding doesn't give that frame. Pictures keep their identity by the
    /// packet they come from. No elements at all when the scan was right: every frame keeps its number.
    std::vector<std::optional<timing::FrameNumber>> moved;
    std::optional<std::string> difference; ///< one sentence for the analyst when the scan wasn't right

    /// Precondition: `scanned` is in the scanned footage.
    std::optional<timing::FrameNumber> now(timing::FrameNumber scanned) const;
};

/// What a confirming pass that was stopped had found, so that the next one needn't begin at frame 0. For one pass at a
/// time.
struct ConfirmationDraft {
    std::shared_ptr<const Footage> soFar; ///< frames and packets up to the stop; null: nothing that can be gone on from
    timing::FrameCount had;               ///< frames from 0 whose pictures whoever goes on has no more need of
    std::vector<ConfirmationDraft> parts; ///< of joined footage, one each, instead of `soFar`
    std::optional<Confirmation> done;     ///< of a part that was decoded to its end
    std::shared_ptr<FootageChecksum> checksum; ///< gets the bytes that are read; null: isn't wanted
};

/// Every picture in presentation order, from frame 0; with a draft from the clean entry point where decoding goes on.
/// Where damage is met everything comes once more, again from frame 0 (of joined footage from the part's first; parts
/// that were confirmed before don't pass), and the later values hold. Pictures may be kept, but each holds its
/// decoder's memory: keep few.
using PassingPictures = std::function<void(timing::FrameNumber, const Picture&)>;

/// Progress in bytes (files of a folder), and up to where the index is confirmed: that many frames from 0 are the
/// same as scanned and have come by.
using ConfirmProgress = std::function<void(std::int64_t done, std::int64_t total, timing::FrameCount confirmed)>;

/// Decodes all of it once, with one thread where damage is met, and keeps the index in the cache folder unless that is
/// empty. Footage that is confirmed already comes back at once, and no picture passes.
/// `draft`: filled when the pass is stopped, gone on from when it was filled before: at a clean entry point at or
/// before `had`, some frames before the stop, whose pictures have to come out as they did; else it begins at frame 0
/// after all. In a folder the last picture before the stop has to. Of joined footage, parts that were decoded to their
/// end and lie within `had` aren't decoded again as long as their files are the same. Throws core::Error (NotFound,
/// Unreadable, AtOdds when the file isn't the one that was scanned), core::Cancelled.
Confirmation confirmFootage(const std::shared_ptr<const Footage>& scanned, std::stop_token stop = {},
                            const ConfirmProgress& progress = {}, const PassingPictures& each = {},
                            const std::filesystem::path& cacheFolder = {}, ConfirmationDraft* draft = nullptr);

} // namespace media
