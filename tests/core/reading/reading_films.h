#pragma once
#include "core/media/index/footage.h"
#include "core/session/edits.h"
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"
#include <vector>

/// 320x180, H.264 with B-frames in an mp4, MJPEG in an avi; every picture differs.
footage::Truth smallFilm(const std::filesystem::path& path, std::uint64_t seed = 1, int frames = 40);

/// Overwrites the pictures of an MJPEG film in place: their packets stay, but hold none any more.
void killPictures(const std::filesystem::path& path, const std::vector<std::size_t>& dead);

/// A session with one capture of this footage, a lamp and a screen region in it.
session::Document sessionWith(const media::Footage& footage, const std::string& sha256 = {});
const session::Capture& onlyCapture(const session::Document& document);

/// Marks a press by its frame, as the desk does; crops go to `evidence`. Returns the trial.
session::TrialId markPress(session::Document& document, const std::shared_ptr<const media::Footage>& footage,
                           std::int64_t frame);
const session::Mark& pressOf(const session::Document& document, session::TrialId trial);
