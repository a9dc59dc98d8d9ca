#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include "core/media/index/footage.h"
#include "core/media/index/packet_table.h"
#include "core/media/index/video_index.h"

namespace media {

/// The one series of numbered pictures in a folder, in number order.
struct PictureSeries {
    struct File {
        std::filesystem::path path;
        std::int64_t number = 0;
    };
    std::vector<File> files; ///< at least one
};

/// Throws core::Error (Unsupported) when there is no series or more than one, core::Cancelled.
PictureSeries findSeries(const std::filesystem::path& folder, const std::stop_token& stop = {});

/// How a packet table remembers a picture file: its number is its position.
PacketMark markOf(const PictureSeries::File& file);

struct PictureFile {
    FramePtr frame;
    std::string codec;     ///< libav's name, by content
    std::string complaint; ///< the decoder's, when parts of the picture may be missing
};
/// Decodes a PNG, TIFF or JPEG file. `checksum` gets its bytes. Throws core::Error (NotFound, Unreadable, Unsupported).
PictureFile decodePictureFile(const std::filesystem::path& path, FootageChecksum* checksum = nullptr);

/// Confirmed footage from a folder. A picture that can't be decoded counts as missing and is named in the fault.
std::shared_ptr<const Footage> indexFolder(const std::filesystem::path& folder, std::stop_token stop,
                                           const IndexEvents& events);

/// The same by the names and the first picture alone: not confirmed.
std::shared_ptr<const Footage> scanFolder(const std::filesystem::path& folder, const std::stop_token& stop = {});

} // namespace media
