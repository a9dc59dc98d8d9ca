#pragma once
#include "core/media/index/footage.h"

namespace media {

/// One recording that the camera split into several files, as one footage: frame numbers run on, each picture keeps the
/// stamp of its own file. `parts` in recording order, each of one file. A seam's gap is known where the stamps go on
/// across it, or where timecodes show that not a frame is missing; else nobody knows how many frames are. Throws
/// core::Error (AtOdds) when the parts can't be of one recording: other size, pixel format, codec or turn;
/// (Unsupported) for picture folders and footage that is joined already.
std::shared_ptr<const Footage> joinParts(const std::vector<std::shared_ptr<const Footage>>& parts);

/// openFootage() and scanFootage() for the files of one recording; one path is a footage as ever. `options.stream`
/// holds for every part, progress counts bytes of all of them.
std::shared_ptr<const Footage> openParts(const std::vector<std::filesystem::path>& paths, std::stop_token stop = {},
                                         const Progress& progress = {}, const OpenOptions& options = {});
std::shared_ptr<const Footage> scanParts(const std::vector<std::filesystem::path>& paths, std::stop_token stop = {},
                                         const Progress& progress = {}, const OpenOptions& options = {});

/// Frames counted since midnight by a timecode "HH:MM:SS:FF" at `rate` frames a second (24, 25, 30, 50, 60, ...); with
/// ';' or '.' before the frames it leaves out numbers at each minute but every tenth (SMPTE ST 12-1), as 29.97
/// and 59.94 need. Empty for anything else.
std::optional<std::int64_t> framesOfTimecode(const std::string& timecode, int rate);

/// Which part holds a frame. Precondition: `footage` has parts and the frame.
const FootagePart& partOf(const Footage& footage, timing::FrameNumber n);

} // namespace media
