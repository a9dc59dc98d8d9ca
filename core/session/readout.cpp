#include "core/session/readout.h"
#include <algorithm>
#include <cctype>

namespace session {

Readout readoutByNote(const Texts& camera)
{
    Readout readout;
    const auto note = camera.find("readout");
    if (note == camera.end())
        return readout;
    std::string text = note->second;
    std::ranges::transform(text, text.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (text.find("global") != std::string::npos)
        readout.kind = ReadoutKind::AllAtOnce;
    return readout;
}

} // namespace session
