#include "tests/footage/pixels.h"
#include <algorithm>
#include <cmath>

namespace footage {
namespace {

void put(AVFrame& out, const AVPixFmtDescriptor& format, int component, int x, int y, int value)
{
    const AVComponentDescriptor& c = format.comp[component];
    std::uint8_t* at =
        out.data[c.plane] + static_cast<std::ptrdiff_t>(y) * out.linesize[c.plane] + x * c.step + c.offset;
    if (c.depth + c.shift <= 8) {
        *at = static_cast<std::uint8_t>(value << c.shift);
        return;
    }
    const int shifted = value << c.shift;
    const bool big = format.flags & AV_PIX_FMT_FLAG_BE;
    at[big ? 1 : 0] = static_cast<std::uint8_t>(shifted & 255);
    at[big ? 0 : 1] = static_cast<std::uint8_t>(shifted >> 8);
}

void convertYuv(const Frame& frame, AVFrame& out, const AVPixFmtDescriptor& format, bool fullRange)
{
    const int components = format.nb_components >= 3 ? 3 : 1;
    for (int c = 0; c < components; ++c) {
        const int depth = format.comp[c].depth;
        const int top = (1 << depth) - 1;
        const int unit = 1 << (depth - 8);
        // Full range: 0..top around the middle; limited: 16..235 and 16..240 in 8-bit units.
        const float span = fullRange ? static_cast<float>(top) : static_cast<float>((c == 0 ? 219 : 224) * unit);
        const float base = c > 0       ? static_cast<float>(128 * unit) - span / 2
                           : fullRange ? 0.0f
                                       : static_cast<float>(16 * unit);
        const int shiftX = c > 0 ? format.log2_chroma_w : 0, shiftY = c > 0 ? format.log2_chroma_h : 0;
        const int width = AV_CEIL_RSHIFT(frame.width, shiftX), height = AV_CEIL_RSHIFT(frame.height, shiftY);
        for (int y = 0; y < height; ++y)
            for (int x = 0; x < width; ++x) {
                int sum = 0, count = 0;
                for (int fy = y << shiftY; fy < std::min((y + 1) << shiftY, frame.height); ++fy)
                    for (int fx = x << shiftX; fx < std::min((x + 1) << shiftX, frame.width); ++fx, ++count)
                        sum += frame.row(c, fy)[fx];
                const float share = static_cast<float>(sum) / (65535.0f * static_cast<float>(count));
                put(out, format, c, x, y, std::clamp(static_cast<int>(base + share * span + 0.5f), 0, top));
            }
    }
}

void convertRgb(const Frame& frame, AVFrame& out, const AVPixFmtDescriptor& format, Matrix matrix)
{
    const float red = matrix == Matrix::Bt601 ? 0.299f : 0.2126f, blue = matrix == Matrix::Bt601 ? 0.114f : 0.0722f;
    const float green = 1 - red - blue;
    const auto top = static_cast<float>((1 << format.comp[0].depth) - 1);
    for (int y = 0; y < frame.height; ++y)
        for (int x = 0; x < frame.width; ++x) {
            const float luma = static_cast<float>(frame.row(0, y)[x]) / 65535.0f;
            const float r = luma + (static_cast<float>(frame.row(2, y)[x]) / 65535.0f - 0.5f) * 2 * (1 - red);
            const float b = luma + (static_cast<float>(frame.row(1, y)[x]) / 65535.0f - 0.5f) * 2 * (1 - blue);
            const float g = (luma - red * r - blue * b) / green;
            const float rgb[3] = {r, g, b};
            for (int c = 0; c < 3; ++c)
                put(out, format, c, x, y, static_cast<int>(std::clamp(rgb[c], 0.0f, 1.0f) * top + 0.5f));
            if (format.nb_components == 4)
                put(out, format, 3, x, y, static_cast<int>(top));
        }
}

} // namespace

AVPixelFormat pixelFormat(const std::string& name)
{
    const AVPixelFormat format = av_get_pix_fmt(name.c_str());
    const AVPixFmtDescriptor* descriptor = av_pix_fmt_desc_get(format);
    if (!descriptor || (descriptor->flags & (AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL))
        || descriptor->comp[0].depth < 8 || descriptor->comp[0].depth > 16)
        throw std::runtime_error("footage: can't write pixel format " + name);
    return format;
}

void convert(const Frame& frame, AVFrame& out, bool fullRange, Matrix matrix)
{
    const AVPixFmtDescriptor& format = *av_pix_fmt_desc_get(static_cast<AVPixelFormat>(out.format));
    if (format.flags & AV_PIX_FMT_FLAG_RGB)
        convertRgb(frame, out, format, matrix);
    else
        convertYuv(frame, out, format, fullRange || format.nb_components < 3);
}

} // namespace footage
