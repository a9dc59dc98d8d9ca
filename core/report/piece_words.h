#pragma once
#include "core/session/document.h"
#include <string>
#include <vector>

namespace report {

/// "frames 0 to 120 on “phone, 240 mode” (stamps 33.3 ms apart)", "frames 121 to 150 without a capture rate (stamps of
/// changing distance)"; one for each piece of a capture.
std::vector<std::string> pieceWords(const session::Document&, const session::Capture&);

} // namespace report
