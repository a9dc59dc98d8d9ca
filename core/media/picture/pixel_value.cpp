#include "core/media/picture/pixel_value.h"
#include "core/media/picture/component.h"
#include "core/media/picture/sample_rows.h"

#include <algorithm>

namespace media {

std::optional<PixelValue> pixelAt(const Picture& picture, int x, int y)
{
    const Size size = picture ? picture.size() : Size{};
    if (x < 0 || y < 0 || x >= size.width || y >= size.height)
        return {};
    const AVPixFmtDescriptor* format = readableFormat(picture.native());
    if (!format)
        return {};
    PixelValue value;
    value.rgb = format->flags & AV_PIX_FMT_FLAG_RGB;
    value.depth = format->comp[0].depth;
    for (int index = 0; index < (format->nb_components >= 3 ? 3 : 1); ++index) {
        const Component c = componentOf(picture.native(), *format, index);
        std::uint16_t code = 0;
        readSamples(&code, picture.native(), *format, index, std::min(x >> c.shiftX, c.width - 1),
                    std::min(y >> c.shiftY, c.height - 1), 1);
        value.codes.push_back(code);
    }
    return value;
}

} // namespace media
