#pragma once
#include "core/media/picture.h"
#include "core/timing/rational.h"
#include "core/timing/units.h"
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
    std::int64_t ordinal = 0;                ///< packet (or file of a picture folder) it came from, in file order
    std::optional<timing::Rational> stamp;   ///< seconds, exact; empty when the container gives none
    bool cleanEntry = false;                 ///< decoding from this packet gives this frame and every later one right
    std::uint64_t hash = 0;                  ///< Picture::hash() of plain sequential decode
};

/// Frames `first` to `last` inclusive that may not be what the camera saw.
struct Doubt {
    timing::FrameNumber first;
    timing::FrameNumber last;
    std::string why;
};

/// `count` frames are known to be missing right before frame `before`.
struct MissingFrames {
    timing::FrameNumber before;
    std::int64_t count = 0;
};

/// One piece of footage, opened and indexed by decoding it once. Never changes, so any thread may read it.
/// Frames are numbered in presentation order after the container's own edit handling.
struct Footage {
    std::filesystem::path path;      ///< file, or folder of numbered pictures
    bool pictureFolder = false;
    std::string container;           ///< libav's short name, or "pictures"
    std::string codec;
    std::string pixelFormat;
    Size size;                       ///< native, unturned
    int rotation = 0;                ///< clockwise degrees to turn for display: 0, 90, 180, 270
    timing::Rational pixelAspect{1}; ///< width to height of a pixel, unturned
    timing::Rational timeBase{1};    ///< seconds a tick
    std::optional<timing::Rational> averageRate; ///< what the container says, playback
    int streamIndex = 0;
    bool interlaced = false;
    std::map<std::string, std::string> tags; ///< container and stream metadata; stream keys win
    std::vector<FrameEntry> frames;
    std::vector<MissingFrames> numberingHoles; ///< picture folders: numbers that aren't there
    std::vector<Doubt> doubts;
    std::optional<std::string> fault; ///< one sentence when the footage ends early or is damaged, else empty

    /// One sentence when the index couldn't be kept for the next time (openFootage with a cache folder).
    std::optional<std::string> cacheFault;
    std::shared_ptr<const PacketTable> packets; ///< never null in opened footage

    timing::FrameCount frameCount() const { return {static_cast<std::int64_t>(frames.size())}; }
    std::vector<timing::FrameNumber> keyFrames() const; ///< clean entry points, ascending
};

using Progress = std::function<void(std::int64_t done, std::int64_t total)>;

/// Reads and decodes everything once. Progress counts bytes (files for a folder).
/// Throws core::Error (NotFound, Unreadable, Unsupported) when not one frame can be had, core::Cancelled on a stop.
std::shared_ptr<const Footage> openFootage(const std::filesystem::path& path, std::stop_token stop = {},
                                           const Progress& progress = {});

/// The same, but quick when the index of this very footage is in `cacheFolder` from an earlier time (see index_cache.h);
/// otherwise it is put there. An empty path means no cache.
std::shared_ptr<const Footage> openFootage(const std::filesystem::path& path, std::stop_token stop,
                                           const Progress& progress, const std::filesystem::path& cacheFolder);

/// Every file the footage consists of (one, or the pictures of a folder in number order).
std::vector<std::filesystem::path> footageFiles(const std::filesystem::path& path);

/// SHA-256 as lower-case hex: of the file, or for a folder of the concatenated lines "HASH  NAME\n" in number order.
/// Throws core::Error (NotFound, Unreadable), core::Cancelled.
std::string footageSha256(const std::filesystem::path& path, std::stop_token stop = {}, const Progress& progress = {});

} // namespace media
