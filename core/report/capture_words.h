#pragma once
#include "core/session/document.h"
#include <optional>
#include <string>
#include <vector>

namespace report {

/// What a look at a capture's pictures found, in one sentence. `rate`: what its frames are said to come at, where
/// known.
std::string pictureWords(const session::PictureFinding&, std::optional<double> rate);

/// "frames 0 to 120 on “phone, 240 mode” (stamps 33.3 ms apart)", "frames 121 to 150 without a capture rate (stamps of
/// changing distance)"; one for each piece of a capture.
std::vector<std::string> pieceWords(const session::Document&, const session::Capture&);

} // namespace report
