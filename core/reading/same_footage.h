#pragma once
#include "core/media/decode/frame_reader.h"
#include "core/session/edits.h"

namespace reading {

/// What comparing a file with what a capture remembers says.
struct FootageComparison {
    bool same = false;
    std::string sentence; ///< why not; with `same`: what differs although it is the same, or nothing
    std::string sha256;   ///< of the file
};

/// The file (or folder) is the capture's when its checksum is; else when frames, size and every marked picture are. A
/// mark never moves to another file by number alone. Blocks; throws core::Error when the file can't be read,
/// core::Cancelled on a stop.
FootageComparison compareFootage(const session::Document& document, const session::Capture& capture,
                                 const std::filesystem::path& path, std::stop_token stop = {});

/// Whether the reader's footage shows this picture under this number. Reads one frame; throws as compareFootage().
bool shows(media::FrameReader& reader, const session::MarkedPicture& marked, std::stop_token stop = {});

} // namespace reading
