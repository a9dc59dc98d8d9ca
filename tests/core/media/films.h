#pragma once
#include "core/media/index/footage.h"
#include "core/media/picture/rendition.h"
#include "tests/footage/edit.h"
#include "tests/footage/spec.h"
#include "tests/footage/temp_folder.h"
#include <filesystem>
#include <string>

/// Where the catalogue's films are kept between runs: making them takes longer than checking them.
std::filesystem::path filmCache();

/// 320x180 H.264 (mjpeg in "mjpeg.avi") with groups of 12 frames and three B-frames in a row.
footage::Spec smallSpec(int frames = 60);

/// A film of the pattern scene, made once per test program. `name` ends in the container's extension and is unique.
std::filesystem::path film(const std::string& name, const footage::Spec& spec);

/// A small film in a container by extension, opened.
std::shared_ptr<const media::Footage> smallFilm(const std::string& extension);

using footage::readBytes;
using footage::writeBytes;
void writePng(const media::RgbImage& image, const std::filesystem::path& path);
