#pragma once
#include "core/media/picture/picture.h"
#include "core/timing/missing_frames.h"
#include "core/timing/rational.h"
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace media {

struct PacketTable; // the reader's own: how to find places in the file again

/// One presented frame. Its number is its place in the index.
struct FrameEntry {
    std::int64_t ordinal = 0;              ///< packet (or file of a picture folder) it came from, in file order
    std::optional<timing::Rational> stamp; ///< seconds, exact; empty when the container gives none
    bool cleanEntry = false;               ///< decoding from this packet gives this frame and every later one right
    std::uint64_t hash = 0;                ///< Picture::hash() of plain sequential decode; 0 until confirmed
};

/// Frames `first` to `last` inclusive that may not be what the camera saw.
struct Doubt {
    timing::FrameNumber first;
    timing::FrameNumber last;
    std::string why;
};

/// From frame `first` on pictures have another size or pixel format than the one before.
struct FormatChange {
    timing::FrameNumber first;
    Size size;
    std::string pixelFormat;
};

struct Footage;

/// One file of a recording that the camera split.
struct FootagePart {
    timing::FrameNumber first;
    std::shared_ptr<const Footage> footage; ///< of this file alone
};

/// Two parts meet right before frame `before`.
struct Seam {
    timing::FrameNumber before;
    std::optional<timing::FrameCount> missing; ///< empty: nobody knows, and no time can be told across it
    std::string why;                           ///< completes "no time can be told from frame 311 to 312: ..."
};

/// One of the moving pictures that a file holds. Cover pictures and thumbnails aren't among them.
struct VideoStream {
    int index = 0; ///< the container's
    std::string codec;
    Size size;                               ///< as the container says
    std::optional<timing::Rational> seconds; ///< duration, as the container says
    bool isDefault = false; ///< the one that is opened where none is chosen: a film before stills, then the
                            ///< largest picture, the first of equals
    bool decodable = false;
};

/// One piece of footage, indexed. Never changes, so any thread may read it.
/// Frames are numbered in presentation order after the container's own edit handling.
struct Footage {
    /// True: frames, entries and hashes were found by decoding all of it. False: frames are what the packets say. Their
    /// hashes are 0, a clean entry is a guess by the packet's flags, and confirmFootage() may find other frames.
    bool confirmed = false;
    std::filesystem::path path; ///< file, or folder of numbered pictures
    bool pictureFolder = false;
    std::string container; ///< libav's short name, or "pictures"
    std::string codec;
    std::string pixelFormat;                     ///< of frame 0
    Size size;                                   ///< native, unturned; of frame 0
    std::vector<FormatChange> formatChanges;     ///< ascending; found by decoding only
    int rotation = 0;                            ///< clockwise degrees to turn for display: 0, 90, 180, 270
    timing::Rational pixelAspect{1};             ///< width to height of a pixel, unturned
    timing::Rational timeBase{1};                ///< seconds a tick
    std::optional<timing::Rational> averageRate; ///< what the container says, playback
    int streamIndex = 0;
    std::vector<VideoStream> streams; ///< what the analyst may choose from; empty for a folder
    bool interlaced = false;
    std::map<std::string, std::string> tags; ///< container and stream metadata; stream keys win
    std::vector<FrameEntry> frames;
    std::vector<timing::Gap> numberingHoles; ///< picture folders: numbers that aren't there
    std::vector<Doubt> doubts;
    std::optional<std::string> fault; ///< one sentence when the footage ends early or is damaged, else empty

    /// One sentence when the index couldn't be kept for the next time (openFootage with a cache folder).
    std::optional<std::string> cacheFault;
    std::shared_ptr<const PacketTable> packets; ///< never null in opened footage; of joined footage the first part's

    /// Several where files were joined (parts.h), else none. `path`, `container`, `tags` and the like are then the
    /// first one's, and an ordinal counts within its part.
    std::vector<FootagePart> parts;
    std::vector<Seam> seams;

    timing::FrameCount frameCount() const { return {std::ssize(frames)}; }
    std::vector<timing::FrameNumber> keyFrames() const; ///< clean entry points, ascending
};

using Progress = std::function<void(std::int64_t done, std::int64_t total)>;

struct OpenOptions {
    std::optional<int> stream;         ///< one of Footage::streams by its index; empty: the default one
    std::filesystem::path cacheFolder; ///< where confirmed indexes are kept (index_cache.h); empty: nowhere
};

/// Reads and decodes everything once: the footage is confirmed. Quick when its index is in the cache folder from an
/// earlier time; otherwise it is put there. Progress counts bytes (files for a folder). Throws core::Error (NotFound,
/// Unreadable, Unsupported) when not one frame can be had, core::Cancelled on a stop.
std::shared_ptr<const Footage> openFootage(const std::filesystem::path& path, std::stop_token stop = {},
                                           const Progress& progress = {}, const OpenOptions& options = {});

/// Quick enough to be waited for: the confirmed index from the cache where there is one, otherwise the frames that the
/// packets tell of, without decoding. Their order is that of their stamps; where these are missing, equal, backward or
/// merely counted (bare streams, AVI, MXF), that of the order numbers in H.264 and HEVC pictures, which takes a second
/// scan. Confirmed at once as well where nothing tells: reordered pictures of other codecs without sound stamps,
/// streams without a key picture, and damage that the container itself shows (only decoding names the frames in doubt).
/// A folder is scanned by its names and first picture. Errors as openFootage's.
std::shared_ptr<const Footage> scanFootage(const std::filesystem::path& path, std::stop_token stop = {},
                                           const Progress& progress = {}, const OpenOptions& options = {});

/// Every file the footage consists of (one, or the pictures of a folder in number order).
std::vector<std::filesystem::path> footageFiles(const std::filesystem::path& path);

/// A folder, so of numbered pictures. False also where the disk doesn't answer: opening it says why.
bool isFolder(const std::filesystem::path& path);

/// FootageChecksum of a file, a folder or the parts of a recording (checksum.h), with its errors.
std::string partsSha256(const std::vector<std::filesystem::path>& paths, std::stop_token stop = {},
                        const Progress& progress = {});

} // namespace media
