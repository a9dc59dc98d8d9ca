#include "core/media/av_handles.h"
#include "core/media/picture.h"
#include <algorithm>
#include <array>
#include <vector>

namespace media {
namespace {

struct Sums {
    double sum = 0;
    int min = 65535;
    int max = 0;
    void add(int value)
    {
        sum += value;
        min = std::min(min, value);
        max = std::max(max, value);
    }
};

/// The common case: one byte a sample, side by side. Sums stay in integers so that the loop can be vectorised.
void addRow(Sums& sums, const std::uint8_t* samples, int count)
{
    std::uint32_t sum = 0;
    std::uint8_t low = 255, high = 0;
    for (int i = 0; i < count; ++i) {
        sum += samples[i];
        low = std::min(low, samples[i]);
        high = std::max(high, samples[i]);
    }
    sums.sum += sum;
    sums.min = std::min<int>(sums.min, low);
    sums.max = std::max<int>(sums.max, high);
}

/// One component of one row, unpacked by libav, which knows every layout and byte order.
void readComponent(std::vector<std::uint16_t>& samples, const AVFrame& frame, const AVPixFmtDescriptor& kind, int component,
                   int x, int y)
{
    const std::uint8_t* planes[4] = {frame.data[0], frame.data[1], frame.data[2], frame.data[3]};
    av_read_image_line(samples.data(), planes, frame.linesize, &kind, x, y, component, static_cast<int>(samples.size()),
                       (kind.flags & AV_PIX_FMT_FLAG_PAL) ? 1 : 0);
}

RegionLevels scaled(const Sums& sums, double samples, int depth)
{
    const double scale = 255.0 / ((1 << depth) - 1);
    return {sums.sum / samples * scale, sums.min * scale, sums.max * scale};
}

} // namespace

RegionLevels measure(const Picture& picture, const Rect& region)
{
    if (!picture)
        return {};
    const AVFrame& frame = picture.native();
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    const std::int64_t left = std::max(region.x, 0), top = std::max(region.y, 0);
    const std::int64_t right = std::min<std::int64_t>(std::int64_t{region.x} + region.width, frame.width);
    const std::int64_t bottom = std::min<std::int64_t>(std::int64_t{region.y} + region.height, frame.height);
    if (!kind || left >= right || top >= bottom || (kind->flags & (AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT)))
        return {};
    const int width = static_cast<int>(right - left);
    const double samples = static_cast<double>(right - left) * static_cast<double>(bottom - top);
    const AVComponentDescriptor& first = kind->comp[0];
    const bool coloured = kind->flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL);

    Sums sums;
    if (!coloured && first.depth == 8 && first.step == 1 && !(kind->flags & AV_PIX_FMT_FLAG_BITSTREAM)) {
        for (std::int64_t y = top; y < bottom; ++y)
            addRow(sums, frame.data[first.plane] + frame.linesize[first.plane] * y + first.offset + left, width);
        return scaled(sums, samples, 8);
    }

    std::array<std::vector<std::uint16_t>, 3> row;
    for (auto& component : row)
        component.resize(static_cast<std::size_t>(width));
    for (std::int64_t y = top; y < bottom; ++y) {
        for (int c = 0; c < (coloured ? 3 : 1); ++c)
            readComponent(row[c], frame, *kind, c, static_cast<int>(left), static_cast<int>(y));
        for (std::size_t x = 0; x < row[0].size(); ++x) {
            if (!coloured)
                sums.add(row[0][x]);
            else // no luma plane: brightness by the weights of ITU-R BT.709, in ten-thousandths
                sums.add((2126 * row[0][x] + 7152 * row[1][x] + 722 * row[2][x] + 5000) / 10000);
        }
    }
    return scaled(sums, samples, (kind->flags & AV_PIX_FMT_FLAG_PAL) ? 8 : first.depth);
}

} // namespace media
