#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include "core/media/index/confirmation.h"

namespace media {

/// What is told while footage is indexed by decoding. Empty members aren't told.
struct IndexEvents {
    Progress progress;
    /// Frames from 0 in order; once more from 0 when damage makes a second pass necessary.
    std::function<void(timing::FrameNumber, const FrameEntry&, FramePtr)> frame;
    ConfirmationDraft* draft = nullptr; ///< as confirmFootage's
};

/// Confirmed footage from a file: decodes everything once, with one thread where there is damage. `stream` as in
/// OpenOptions.
std::shared_ptr<const Footage> indexVideo(const std::filesystem::path& path, std::optional<int> stream,
                                          std::stop_token stop, const IndexEvents& events);

/// The same for a file or a folder.
std::shared_ptr<const Footage> indexByDecoding(const std::filesystem::path& path, std::optional<int> stream,
                                               std::stop_token stop, const IndexEvents& events);

/// The footage, with its index put into the cache folder unless that is empty; if that fails, it says so.
std::shared_ptr<const Footage> keepIndex(std::shared_ptr<const Footage> footage,
                                         const std::filesystem::path& cacheFolder);

} // namespace media
