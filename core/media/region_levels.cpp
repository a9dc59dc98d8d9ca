#include "core/media/av_handles.h"
#include "core/media/picture.h"
#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
#include <type_traits>
#include <vector>

namespace media {
namespace {

using Row = std::vector<std::uint16_t>;

/// How a component's samples lie in memory.
enum class Layout {
    Bytes, ///< one byte a sample, side by side
    Words, ///< two bytes a sample in this machine's order, side by side
    Other  ///< has to be unpacked
};

/// Part of a component, in its own samples.
struct Area {
    int left = 0, top = 0, width = 0, height = 0;
    double samples() const { return static_cast<double>(width) * height; }
};

struct Kind {
    const AVPixFmtDescriptor* format = nullptr; ///< null: can't be measured
    bool palette = false;
    bool coloured = false; ///< red, green and blue instead of luma
    bool chroma = false;
};

Kind kindOf(const AVFrame& frame)
{
    Kind kind;
    kind.format = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    if (!kind.format || (kind.format->flags & (AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT)))
        return {};
    kind.palette = kind.format->flags & AV_PIX_FMT_FLAG_PAL;
    kind.coloured = kind.palette || (kind.format->flags & AV_PIX_FMT_FLAG_RGB);
    kind.chroma = !kind.coloured && kind.format->nb_components >= 3;
    return kind;
}

Layout layoutOf(const Kind& kind, int component)
{
    const AVComponentDescriptor& c = kind.format->comp[component];
    const bool bigEndian = kind.format->flags & AV_PIX_FMT_FLAG_BE;
    if (kind.coloured || c.shift != 0 || (kind.format->flags & AV_PIX_FMT_FLAG_BITSTREAM))
        return Layout::Other;
    if (c.depth == 8 && c.step == 1)
        return Layout::Bytes;
    return c.depth > 8 && c.step == 2 && bigEndian == (AV_NE(1, 0) != 0) ? Layout::Words : Layout::Other;
}

/// What is left of a region in the picture; no samples when nothing is.
Area lumaArea(const AVFrame& frame, const Rect& region)
{
    const std::int64_t left = std::max(region.x, 0), top = std::max(region.y, 0);
    const std::int64_t right = std::min<std::int64_t>(std::int64_t{region.x} + region.width, frame.width);
    const std::int64_t bottom = std::min<std::int64_t>(std::int64_t{region.y} + region.height, frame.height);
    if (left >= right || top >= bottom)
        return {};
    return {static_cast<int>(left), static_cast<int>(top), static_cast<int>(right - left), static_cast<int>(bottom - top)};
}

/// Every chroma sample that a pixel of the area takes part in.
Area chromaArea(const Area& luma, const Kind& kind)
{
    const int w = kind.format->log2_chroma_w, h = kind.format->log2_chroma_h;
    const int left = luma.left >> w, top = luma.top >> h;
    return {left, top, AV_CEIL_RSHIFT(luma.left + luma.width, w) - left, AV_CEIL_RSHIFT(luma.top + luma.height, h) - top};
}

template <class Sample>
const Sample* samplesAt(const AVFrame& frame, const Kind& kind, int component, int x, int y)
{
    const AVComponentDescriptor& c = kind.format->comp[component];
    return reinterpret_cast<const Sample*>(frame.data[c.plane] + std::ptrdiff_t{frame.linesize[c.plane]} * y + c.offset) + x;
}

/// One row of a component, unpacked by libav, which knows every layout and byte order but that of palettes.
void unpack(Row& row, const AVFrame& frame, const Kind& kind, int component, int x, int y)
{
    const std::uint8_t* planes[4] = {frame.data[0], frame.data[1], frame.data[2], frame.data[3]};
    const int indexed = kind.palette ? 0 : component;
    av_read_image_line(row.data(), planes, frame.linesize, kind.format, x, y, indexed, static_cast<int>(row.size()), 0);
    if (kind.palette)
        for (std::uint16_t& value : row) {
            std::uint32_t argb; // in this machine's byte order (pixfmt.h, PAL8)
            std::memcpy(&argb, frame.data[1] + 4 * std::size_t{value}, sizeof argb);
            value = static_cast<std::uint16_t>(argb >> (16 - 8 * component) & 255);
        }
    else if (frame.format == AV_PIX_FMT_MONOWHITE) // 0 is white
        for (std::uint16_t& value : row)
            value = !value;
}

void unpackAll(std::array<Row, 3>& rows, const AVFrame& frame, const Kind& kind, const Area& area, int y)
{
    for (int c = 0; c < 3; ++c) {
        rows[c].resize(static_cast<std::size_t>(area.width));
        unpack(rows[c], frame, kind, c, area.left, y);
    }
}

/// Without a luma plane: brightness by the weights of ITU-R BT.709-6, item 3.2, in ten-thousandths.
int weighed(const std::array<Row, 3>& rgb, std::size_t x)
{
    return 2126 * rgb[0][x] + 7152 * rgb[1][x] + 722 * rgb[2][x];
}

double scaleOf(const Kind& kind, int component)
{
    return 255.0 / ((1 << (kind.palette ? 8 : kind.format->comp[component].depth)) - 1);
}

/// A row's sum fits: 16 million bytes, or 4 thousand million million words.
template <class Sample>
using RowSum = std::conditional_t<sizeof(Sample) == 1, std::uint32_t, std::uint64_t>;

struct Sums {
    double sum = 0;
    int min = 65535;
    int max = 0;

    /// Sums stay in integers so that the loop can be vectorised.
    template <class Sample>
    void addRow(const Sample* samples, int count)
    {
        RowSum<Sample> rowSum = 0;
        Sample low = static_cast<Sample>(-1), high = 0;
        for (int i = 0; i < count; ++i) {
            rowSum += samples[i];
            low = std::min(low, samples[i]);
            high = std::max(high, samples[i]);
        }
        sum += static_cast<double>(rowSum);
        min = std::min<int>(min, low);
        max = std::max<int>(max, high);
    }
};

template <class Sample>
double differenceOfRows(const Sample* a, const Sample* b, int count)
{
    RowSum<Sample> sum = 0;
    for (int i = 0; i < count; ++i)
        sum += static_cast<std::uint32_t>(std::abs(int{a[i]} - int{b[i]}));
    return static_cast<double>(sum);
}

/// Sum of absolute differences, in the component's own codes.
double differenceOf(const AVFrame& a, const AVFrame& b, const Kind& kind, int component, const Area& area)
{
    const Layout layout = layoutOf(kind, component);
    Row rowA, rowB;
    if (layout == Layout::Other) {
        rowA.resize(static_cast<std::size_t>(area.width));
        rowB.resize(rowA.size());
    }
    double sum = 0;
    for (int y = area.top; y < area.top + area.height; ++y) {
        if (layout == Layout::Bytes) {
            sum += differenceOfRows(samplesAt<std::uint8_t>(a, kind, component, area.left, y),
                                    samplesAt<std::uint8_t>(b, kind, component, area.left, y), area.width);
        } else if (layout == Layout::Words) {
            sum += differenceOfRows(samplesAt<std::uint16_t>(a, kind, component, area.left, y),
                                    samplesAt<std::uint16_t>(b, kind, component, area.left, y), area.width);
        } else {
            unpack(rowA, a, kind, component, area.left, y);
            unpack(rowB, b, kind, component, area.left, y);
            sum += differenceOfRows(rowA.data(), rowB.data(), area.width);
        }
    }
    return sum;
}

Change changeOfColours(const AVFrame& a, const AVFrame& b, const Kind& kind, const Area& area)
{
    std::array<Row, 3> rgbA, rgbB;
    double luma = 0, chroma = 0;
    for (int y = area.top; y < area.top + area.height; ++y) {
        unpackAll(rgbA, a, kind, area, y);
        unpackAll(rgbB, b, kind, area, y);
        for (std::size_t x = 0; x < rgbA[0].size(); ++x) {
            // Colour differences as ITU-R BT.709-6, item 3.3 scales them: (B' - Y') / 1.8556, (R' - Y') / 1.5748.
            const double lumaStep = (weighed(rgbB, x) - weighed(rgbA, x)) / 10000.0;
            luma += std::abs(lumaStep);
            chroma += std::abs(rgbB[2][x] - rgbA[2][x] - lumaStep) / 1.8556 + std::abs(rgbB[0][x] - rgbA[0][x] - lumaStep) / 1.5748;
        }
    }
    const double scale = scaleOf(kind, 0);
    return {luma / area.samples() * scale, chroma / (2 * area.samples()) * scale};
}

} // namespace

RegionLevels measure(const Picture& picture, const Rect& region)
{
    if (!picture)
        return {};
    const AVFrame& frame = picture.native();
    const Kind kind = kindOf(frame);
    const Area area = lumaArea(frame, region);
    if (!kind.format || area.width == 0)
        return {};

    const Layout layout = layoutOf(kind, 0);
    Sums sums;
    std::array<Row, 3> rows;
    for (int y = area.top; y < area.top + area.height; ++y) {
        if (layout == Layout::Bytes) {
            sums.addRow(samplesAt<std::uint8_t>(frame, kind, 0, area.left, y), area.width);
        } else if (layout == Layout::Words) {
            sums.addRow(samplesAt<std::uint16_t>(frame, kind, 0, area.left, y), area.width);
        } else if (!kind.coloured) {
            rows[0].resize(static_cast<std::size_t>(area.width));
            unpack(rows[0], frame, kind, 0, area.left, y);
            sums.addRow(rows[0].data(), area.width);
        } else {
            unpackAll(rows, frame, kind, area, y);
            for (std::size_t x = 0; x < rows[0].size(); ++x)
                rows[0][x] = static_cast<std::uint16_t>((weighed(rows, x) + 5000) / 10000);
            sums.addRow(rows[0].data(), area.width);
        }
    }
    const double scale = scaleOf(kind, 0);
    return {sums.sum / area.samples() * scale, sums.min * scale, sums.max * scale, {}, {}};
}

std::optional<Change> changeBetween(const Picture& before, const Picture& after, const Rect& region)
{
    if (!before || !after)
        return {};
    const AVFrame &a = before.native(), &b = after.native();
    if (a.format != b.format || a.width != b.width || a.height != b.height)
        return {};
    const Kind kind = kindOf(b);
    const Area area = lumaArea(b, region);
    if (!kind.format || area.width == 0)
        return {};
    if (kind.coloured)
        return changeOfColours(a, b, kind, area);
    Change change;
    change.luma = differenceOf(a, b, kind, 0, area) / area.samples() * scaleOf(kind, 0);
    if (kind.chroma) {
        const Area less = chromaArea(area, kind);
        const double sum = differenceOf(a, b, kind, 1, less) + differenceOf(a, b, kind, 2, less);
        change.chroma = sum / (2 * less.samples()) * scaleOf(kind, 1);
    }
    return change;
}

} // namespace media
