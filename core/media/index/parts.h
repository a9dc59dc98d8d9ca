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

/// FootageChecksum of the parts of a recording (checksum.h), with its errors.
std::string partsSha256(const std::vector<std::filesystem::path>& paths, std::stop_token stop = {},
                        const Progress& progress = {});

/// Which part holds a frame. Precondition: `footage` has parts and the frame.
const FootagePart& partOf(const Footage& footage, timing::FrameNumber n);

} // namespace media
