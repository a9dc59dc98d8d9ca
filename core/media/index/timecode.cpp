#include "core/media/index/timecode.h"
#include <cstdio>

namespace media {

std::optional<std::int64_t> framesOfTimecode(const std::string& timecode, int rate)
{
    int hours = 0, minutes = 0, seconds = 0, frames = 0, used = 0;
    char separator = 0;
    if (std::sscanf(timecode.c_str(), "%2d:%2d:%2d%c%3d%n", &hours, &minutes, &seconds, &separator, &frames, &used) != 5
        || used != static_cast<int>(timecode.size()) || rate < 1)
        return std::nullopt;
    const bool leavesOut = separator == ';' || separator == '.';
    if ((separator != ':' && !leavesOut) || hours < 0 || hours > 23 || minutes < 0 || minutes > 59 || seconds < 0
        || seconds > 59 || frames < 0 || frames >= rate || (leavesOut && rate % 30 != 0))
        return std::nullopt;
    const std::int64_t minute = hours * 60 + minutes;
    const std::int64_t leftOut = leavesOut ? (rate / 30 * 2) * (minute - minute / 10) : 0;
    return (minute * 60 + seconds) * rate + frames - leftOut;
}

} // namespace media
