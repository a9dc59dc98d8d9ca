#include "core/media/libav/av_handles.h"
#include "core/media/picture/picture.h"
#include "core/media/picture/component.h"
#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
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

double samplesIn(const Rect& area) { return static_cast<double>(area.width) * area.height; }

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

/// Every chroma sample that a pixel of the area takes part in.
Rect chromaArea(const Rect& luma, const Kind& kind)
{
    const int w = kind.format->log2_chroma_w, h = kind.format->log2_chroma_h;
    const int left = luma.x >> w, top = luma.y >> h;
    return {left, top, AV_CEIL_RSHIFT(luma.x + luma.width, w) - left, AV_CEIL_RSHIFT(luma.y + luma.height, h) - top};
}

template <class Sample> const Sample* samplesAt(const AVFrame& frame, const Kind& kind, int component, int x, int y)
{
    const AVComponentDescriptor& c = kind.format->comp[component];
    return reinterpret_cast<const Sample*>(frame.data[c.plane] + std::ptrdiff_t{frame.linesize[c.plane]} * y + c.offset)
           + x;
}

/// One row of a component, with colours looked up in the palette.
void unpack(Row& row, const AVFrame& frame, const Kind& kind, int component, int x, int y)
{
    readSamples(row.data(), frame, *kind.format, kind.palette ? 0 : component, x, y, static_cast<int>(row.size()));
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

/// Red, green and blue of one row. Without a luma plane brightness is weighed as ITU-R BT.709-6, item 3.2 does, in
/// ten-thousandths.
class ColourRow {
public:
    explicit ColourRow(int width)
    {
        for (Row& row : m_rows)
            row.resize(width);
    }

    void read(const AVFrame& frame, const Kind& kind, int x, int y)
    {
        for (int c = 0; c < 3; ++c)
            unpack(m_rows[c], frame, kind, c, x, y);
    }

    const std::uint16_t* operator[](int component) const { return m_rows[component].data(); }

private:
    std::array<Row, 3> m_rows;
};

double scaleOf(const Kind& kind, int component)
{
    return 255.0 / ((1 << (kind.palette ? 8 : kind.format->comp[component].depth)) - 1);
}

constexpr int run = 65536; // samples: as many words have a sum of 32 bits

struct Sums {
    double sum = 0;
    int min = 65535;
    int max = 0;

    /// Sums stay in integers so that the loop can be vectorised.
    template <class Sample> void addRow(const Sample* samples, int count)
    {
        std::uint64_t rowSum = 0;
        Sample low = static_cast<Sample>(-1), high = 0;
        for (int from = 0; from < count; from += run) {
            std::uint32_t runSum = 0;
            for (int i = from, to = std::min(count, from + run); i < to; ++i) {
                runSum += samples[i];
                low = std::min(low, samples[i]);
                high = std::max(high, samples[i]);
            }
            rowSum += runSum;
        }
        sum += static_cast<double>(rowSum);
        min = std::min<int>(min, low);
        max = std::max<int>(max, high);
    }
};

template <class Sample> double differenceOfRows(const Sample* a, const Sample* b, int count)
{
    std::uint64_t sum = 0;
    for (int from = 0; from < count; from += run) {
        std::uint32_t runSum = 0;
        for (int i = from, to = std::min(count, from + run); i < to; ++i)
            runSum += static_cast<std::uint32_t>(std::abs(int{a[i]} - int{b[i]}));
        sum += runSum;
    }
    return static_cast<double>(sum);
}

/// Sum of absolute differences, in the component's own codes.
double differenceOf(const AVFrame& a, const AVFrame& b, const Kind& kind, int component, const Rect& area)
{
    const Layout layout = layoutOf(kind, component);
    Row rowA, rowB;
    if (layout == Layout::Other) {
        rowA.resize(area.width);
        rowB.resize(rowA.size());
    }
    double sum = 0;
    for (int y = area.y; y < area.y + area.height; ++y) {
        if (layout == Layout::Bytes) {
            sum += differenceOfRows(samplesAt<std::uint8_t>(a, kind, component, area.x, y),
                                    samplesAt<std::uint8_t>(b, kind, component, area.x, y), area.width);
        } else if (layout == Layout::Words) {
            sum += differenceOfRows(samplesAt<std::uint16_t>(a, kind, component, area.x, y),
                                    samplesAt<std::uint16_t>(b, kind, component, area.x, y), area.width);
        } else {
            unpack(rowA, a, kind, component, area.x, y);
            unpack(rowB, b, kind, component, area.x, y);
            sum += differenceOfRows(rowA.data(), rowB.data(), area.width);
        }
    }
    return sum;
}

/// Sums of |differences| in ten-thousandths of a code: of luma, and of blue and red against it.
struct ColourSums {
    std::uint64_t luma = 0, blue = 0, red = 0;
};

/// `Step` holds a difference of two codes. `colourRun`: samples whose sums fit into `Sum`.
template <class Step, class Sum>
void addColourDifferences(ColourSums& sums, const ColourRow& a, const ColourRow& b, int count, int colourRun)
{
    for (int from = 0; from < count; from += colourRun) {
        Sum luma = 0, blue = 0, red = 0;
        for (int i = from, to = std::min(count, from + colourRun); i < to; ++i) {
            const Step r = static_cast<Step>(b[0][i] - a[0][i]), g = static_cast<Step>(b[1][i] - a[1][i]),
                       bl = static_cast<Step>(b[2][i] - a[2][i]);
            const int step = 2126 * r + 7152 * g + 722 * bl;
            luma += static_cast<std::uint32_t>(std::abs(step));
            blue += static_cast<std::uint32_t>(std::abs(10000 * bl - step));
            red += static_cast<std::uint32_t>(std::abs(10000 * r - step));
        }
        sums.luma += luma;
        sums.blue += blue;
        sums.red += red;
    }
}

Change changeOfColours(const AVFrame& a, const AVFrame& b, const Kind& kind, const Rect& area)
{
    ColourRow rgbA(area.width), rgbB(area.width);
    ColourSums sums;
    const int depth = kind.palette ? 8 : kind.format->comp[0].depth;
    const int colourRun = static_cast<int>((std::uint64_t{1} << 32) / (std::uint64_t{20000} << depth));
    for (int y = area.y; y < area.y + area.height; ++y) {
        rgbA.read(a, kind, area.x, y);
        rgbB.read(b, kind, area.x, y);
        if (depth <= 12)
            addColourDifferences<std::int16_t, std::uint32_t>(sums, rgbA, rgbB, area.width, colourRun);
        else
            addColourDifferences<int, std::uint64_t>(sums, rgbA, rgbB, area.width, area.width);
    }
    // Colour differences as ITU-R BT.709-6, item 3.3 scales them: (B' - Y') / 1.8556, (R' - Y') / 1.5748.
    const double scale = scaleOf(kind, 0) / 10000 / samplesIn(area);
    return {static_cast<double>(sums.luma) * scale,
            (static_cast<double>(sums.blue) / 1.8556 + static_cast<double>(sums.red) / 1.5748) / 2 * scale};
}

} // namespace

RegionLevels measure(const Picture& picture, const Rect& region)
{
    if (!picture)
        return {};
    const AVFrame& frame = picture.native();
    const Kind kind = kindOf(frame);
    const Rect area = clipped(region, picture.size());
    if (!kind.format || area.width == 0)
        return {};

    const Layout layout = layoutOf(kind, 0);
    Sums sums;
    Row row(layout == Layout::Other ? static_cast<std::size_t>(area.width) : 0);
    ColourRow rgb(kind.coloured ? area.width : 0);
    for (int y = area.y; y < area.y + area.height; ++y) {
        if (layout == Layout::Bytes) {
            sums.addRow(samplesAt<std::uint8_t>(frame, kind, 0, area.x, y), area.width);
        } else if (layout == Layout::Words) {
            sums.addRow(samplesAt<std::uint16_t>(frame, kind, 0, area.x, y), area.width);
        } else if (!kind.coloured) {
            unpack(row, frame, kind, 0, area.x, y);
            sums.addRow(row.data(), area.width);
        } else {
            rgb.read(frame, kind, area.x, y);
            for (int x = 0; x < area.width; ++x)
                row[x] = static_cast<std::uint16_t>((2126u * rgb[0][x] + 7152u * rgb[1][x] + 722u * rgb[2][x] + 5000)
                                                    / 10000);
            sums.addRow(row.data(), area.width);
        }
    }
    const double scale = scaleOf(kind, 0);
    return {sums.sum / samplesIn(area) * scale, sums.min * scale, sums.max * scale, {}, {}};
}

std::optional<Change> changeBetween(const Picture& before, const Picture& after, const Rect& region)
{
    if (!before || !after)
        return {};
    const AVFrame &a = before.native(), &b = after.native();
    if (a.format != b.format || a.width != b.width || a.height != b.height)
        return {};
    const Kind kind = kindOf(b);
    const Rect area = clipped(region, after.size());
    if (!kind.format || area.width == 0)
        return {};
    if (kind.coloured)
        return changeOfColours(a, b, kind, area);
    Change change;
    change.luma = differenceOf(a, b, kind, 0, area) / samplesIn(area) * scaleOf(kind, 0);
    if (kind.chroma) {
        const Rect less = chromaArea(area, kind);
        const double sum = differenceOf(a, b, kind, 1, less) + differenceOf(a, b, kind, 2, less);
        change.chroma = sum / (2 * samplesIn(less)) * scaleOf(kind, 1);
    }
    return change;
}

} // namespace media
