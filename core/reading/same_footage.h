#pragma once
#include "core/media/decode/frame_reader.h"
#include "core/session/edits.h"

namespace reading {

/// Absolute paths of the capture's footage: a file or folder, then the files that go on its recording. `folder` is the
/// session's.
std::vector<std::filesystem::path> footageOf(const session::Capture& capture, const std::filesystem::path& folder);

/// Why footage isn't read: a sentence.
std::string notAskedSentence(const std::string& capture);

/// What comparing a file with what a capture remembers says.
struct FootageComparison {
    bool same = false;
    std::string sentence;         ///< why not; with `same`: that its bytes are others, or nothing where they aren't
    std::string sha256;           ///< of the file
    session::PacketPlaces places; ///< of other bytes that are the same: where the marked pictures come from in them
};

/// The file (or folder) is the capture's when its checksum is; else when frames, size, stamps as far as the session
/// holds them and every marked picture are. A mark never moves to another file by number alone. Files that go on the
/// recording are looked for beside it. Blocks; throws core::Error when the file can't be read, core::Cancelled on a
/// stop.
FootageComparison compareFootage(const session::Document& document, const session::Capture& capture,
                                 const std::filesystem::path& path, std::stop_token stop = {});

/// A file (or folder) with the checksum of the capture's footage that lies in `folder` or below under its name; empty:
/// none. Blocks while it lists and hashes; what can't be read isn't it. Throws core::Cancelled.
std::optional<std::filesystem::path> findMoved(const session::Capture& capture, const std::filesystem::path& folder,
                                               const std::stop_token& stop = {});

/// Whether the reader's footage shows this picture under this number. Reads one frame; throws as compareFootage().
bool shows(media::FrameReader& reader, const session::MarkedPicture& marked, std::stop_token stop = {});

/// Those of the pictures that the capture's footage doesn't show under their number; empty where it isn't there.
/// Otherwise as compareFootage().
std::optional<std::set<session::MarkedPicture>> notShown(const std::set<session::MarkedPicture>& marked,
                                                         const session::Capture& capture,
                                                         const std::filesystem::path& folder,
                                                         std::stop_token stop = {});

/// The document with the checksums that it doesn't hold yet, taken now; without those of footage that isn't there, and
/// of captures that nobody has let be read. Otherwise as compareFootage().
session::Document withChecksums(session::Document document, const std::filesystem::path& folder,
                                const std::set<session::CaptureId>& notToBeRead, std::stop_token stop = {});

} // namespace reading
