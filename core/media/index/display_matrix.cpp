#include "core/media/index/display_matrix.h"
#include <cmath>

extern "C" {
#include <libavutil/display.h>
}

namespace media {

int clockwiseTurn(const std::int32_t* matrix)
{
    const double counterclockwise = matrix ? av_display_rotation_get(matrix) : 0;
    if (!std::isfinite(counterclockwise))
        return 0;
    const int quarters = static_cast<int>(std::lround(-counterclockwise / 90));
    return ((quarters % 4) + 4) % 4 * 90;
}

} // namespace media
