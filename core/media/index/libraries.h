#pragma once
#include <string>
#include <vector>

namespace media {

/// The libav libraries that run, with their versions: "libavformat 59.27.100".
std::vector<std::string> libraries();

} // namespace media
