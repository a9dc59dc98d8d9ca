#pragma once
#include "core/media/index/footage.h"

namespace media {

class FrameSource;

/// Decodes any frame of one footage in any order. One thread at a time; owns its decoder.
/// Every picture of confirmed footage is compared with the index' hash: a mismatch is decoded again from an earlier
/// entry point. If it stays although the file is the same, its data are damaged in a way that no decoder complains of:
/// what one thread makes of them, twice alike, is shown from then on and named in doubts(). Else read() throws and
/// names the frame, so a wrong picture is never shown. A picture of unconfirmed footage is known by its packet; an
/// entry point that the decoder has something to say against is given up for an earlier one. Compare Picture::hash()
/// with the confirmed entry later.
class FrameReader {
public:
    /// Called with each picture that was decoded on the way to the wanted one, wanted one included; ascending where
    /// confirmed.
    using Passing = std::function<void(timing::FrameNumber, const Picture&)>;

    /// Throws core::Error (NotFound, Unreadable, AtOdds when the file isn't the one that was indexed), core::Cancelled.
    explicit FrameReader(std::shared_ptr<const Footage> footage, const std::stop_token& stop = {});
    ~FrameReader();
    FrameReader(const FrameReader&) = delete;
    FrameReader& operator=(const FrameReader&) = delete;

    /// Frames of confirmed footage before `neededFrom` don't pass: they aren't checked, and those that no other builds
    /// on are left out where that is quicker; the hashes of the later ones show that it did no harm. Empty: all pass.
    /// Precondition: `n` is in the footage. Throws core::Error, core::Cancelled.
    Picture read(timing::FrameNumber n, const std::stop_token& stop = {}, const Passing& passing = {},
                 std::optional<timing::FrameNumber> neededFrom = {});

    /// The first frame on the way to `n` when decoding simply goes on; empty when it would begin somewhere, or that
    /// isn't known.
    std::optional<timing::FrameNumber> nextTowards(timing::FrameNumber n) const;

    /// Frames that didn't come out as they were indexed. Grows by reading.
    std::vector<Doubt> doubts() const;

    const Footage& footage() const { return *m_footage; }

private:
    std::shared_ptr<const Footage> m_footage;
    std::unique_ptr<FrameSource> m_source;
};

} // namespace media
