#pragma once
// Metadata that no muxer of ours writes, put into finished films byte by byte.
#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace tag_boxes {

std::string big16(std::uint32_t value);
std::string big32(std::uint32_t value);
std::string little32(std::uint32_t value);

/// A box of MP4 or MOV.
std::string box(const std::string& type, const std::string& inside);

/// Puts boxes at the end of the film's "moov", which has to be the last box of the file.
void addToMovie(const std::filesystem::path& film, const std::string& boxes);
void append(const std::filesystem::path& film, const std::string& bytes);

/// "udta" with "smta" of this recording mode, and "srfr" with the rate in 16.16 fixed point where `rate` isn't 0.
std::string slowMotionBox(int mode, std::uint32_t rate = 0);

/// What stands behind the last box of a film with slow-motion segments "start:end:mode*start:end:mode", in ms.
std::string slowMotionTail(const std::string& text, const std::string& name = "SlowMotion_Data");

/// User data text, as a camera writes it.
std::string userText(const std::string& type, const std::string& text);

/// Camera unit metadata (SMPTE RDD 18) of 2-byte tags and their bytes.
std::string cameraSet(const std::vector<std::pair<std::uint32_t, std::string>>& items);

/// Puts `set` into an MXF film in place of as many bytes of a fill item in front of the pictures. Throws where none is
/// large enough.
void putIntoFill(const std::filesystem::path& film, const std::string& set);

} // namespace tag_boxes
