#pragma once
#include "core/session/capture.h"
#include <optional>
#include <string>

namespace report {

/// What a look at a capture's pictures found, in one sentence. `rate`: what its frames are said to come at, where
/// known.
std::string pictureWords(const session::PictureFinding&, std::optional<double> rate);

} // namespace report
