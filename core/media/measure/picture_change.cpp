#include "core/media/measure/picture_change.h"
#include "core/media/picture/component.h"
#include "core/media/picture/scaler.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace media {

namespace {

using Plane = std::vector<float>;

float middleOf(std::vector<float>& values)
{
    if (values.empty())
        return 0;
    const auto middle = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::ranges::nth_element(values, middle);
    return *middle;
}

/// The brightness that the blocks share, as a factor.
double commonLight(const StillBlocks& before, const StillBlocks& now)
{
    constexpr int leastLevel = 12; // darker blocks' ratios are noise
    constexpr double unexplained = 0.03;
    std::vector<float> ratios;
    for (std::size_t i = 0; i < now.luma.size(); ++i)
        if (before.luma[i] * StillBlocks::unit > leastLevel)
            ratios.push_back(float(now.luma[i]) / float(before.luma[i]));
    const double own = 5 * ratios.size() > now.luma.size() ? double(middleOf(ratios)) : 1;
    const double around = now.movementKnown ? now.light : 1;
    const bool explained = own > std::min(1.0, around) - unexplained && own < std::max(1.0, around) + unexplained;
    return explained ? own : around;
}

/// Of a grid of differences: what exceeds noise, and what edges can show that the movement isn't known exactly.
std::vector<bool> changedPlaces(const std::vector<float>& differences, const std::int16_t* usual, int columns, int side)
{
    constexpr float leastChange = 2, mostNoise = 2.5f; // levels
    constexpr float farFromNoise = 6;                  // standard deviations
    constexpr float unsureMovement = 0.5f;             // pixels
    const int rows = int(differences.size()) / columns;
    // From neighbour to neighbour: a change that all of the region shows is no noise.
    std::vector<float> steps;
    for (int y = 0; y < rows; ++y)
        for (int x = 1; x < columns; ++x) {
            const auto i = std::size_t(y * columns + x);
            steps.push_back(std::abs(differences[i] - differences[i - 1]));
        }
    const float noise = std::min(mostNoise, 1.4826f * middleOf(steps) / std::sqrt(2.f));
    std::vector<bool> changed(differences.size());
    for (int y = 0; y < rows; ++y)
        for (int x = 0; x < columns; ++x) {
            const auto at = [&](int u, int v) {
                return float(usual[std::clamp(v, 0, rows - 1) * columns + std::clamp(u, 0, columns - 1)]
                             * StillBlocks::unit);
            };
            const float edge = std::max({std::abs(at(x - 1, y) - at(x, y)), std::abs(at(x + 1, y) - at(x, y)),
                                         std::abs(at(x, y - 1) - at(x, y)), std::abs(at(x, y + 1) - at(x, y))});
            const auto i = std::size_t(y * columns + x);
            changed[i] = std::abs(differences[i])
                         > std::max(leastChange, farFromNoise * noise) + unsureMovement * edge / float(side);
        }
    return changed;
}

std::vector<Rect> changedBlocks(const StillBlocks& before, const StillBlocks& now, double light, const Rect& region)
{
    std::vector<float> differences(now.luma.size());
    for (std::size_t i = 0; i < differences.size(); ++i)
        differences[i] = float((now.luma[i] / light - before.luma[i]) * StillBlocks::unit);
    std::vector<bool> changed = changedPlaces(differences, before.luma.data(), now.columns, now.side);
    const std::size_t colours = now.colour.size() / 2;
    for (std::size_t from = 0; from + colours <= now.colour.size() && colours > 0; from += colours) {
        differences.resize(colours);
        for (std::size_t i = 0; i < colours; ++i)
            differences[i] = float((now.colour[from + i] - before.colour[from + i]) * StillBlocks::unit);
        const std::vector<bool> coloured =
            changedPlaces(differences, before.colour.data() + from, now.colourColumns, 2 * now.side);
        for (int y = 0; y < now.rows; ++y)
            for (int x = 0; x < now.columns; ++x)
                if (coloured[y / 2 * now.colourColumns + x / 2])
                    changed[y * now.columns + x] = true;
    }
    std::vector<Rect> blocks;
    const int dx = int(std::lround(now.dx)), dy = int(std::lround(now.dy));
    for (int y = 0; y < now.rows; ++y)
        for (int x = 0; x < now.columns; ++x)
            if (changed[y * now.columns + x])
                blocks.push_back({region.x + x * now.side + dx, region.y + y * now.side + dy,
                                  std::min(now.side, region.width - x * now.side),
                                  std::min(now.side, region.height - y * now.side)});
    return blocks;
}

/// Rows of a component between its samples: linear, so that shifting two pictures by half of what parts them, one
/// either way, blurs both alike.
class ShiftedRows {
public:
    /// Columns [from, to), read `shiftX`, `shiftY` samples further on; beyond the picture's edge stands the edge.
    ShiftedRows(const Component& c, int from, int to, double shiftX, double shiftY)
        : m_component(c), m_from(from), m_columns(std::size_t(to - from)), m_x(int(std::floor(shiftX))),
          m_y(int(std::floor(shiftY))), m_right(float(shiftX - m_x)), m_below(float(shiftY - m_y)), m_row(m_columns)
    {}

    const Plane& at(int y)
    {
        read(m_upper, m_upperAt, y + m_y);
        read(m_lower, m_lowerAt, y + m_y + 1);
        for (std::size_t x = 0; x < m_columns; ++x)
            m_row[x] = m_upper[x] + m_below * (m_lower[x] - m_upper[x]);
        return m_row;
    }

private:
    void read(Plane& row, int& held, int y)
    {
        y = std::clamp(y, 0, m_component.height - 1);
        if (held == y)
            return;
        if (&row == &m_upper && m_lowerAt == y) { // going down, each row is the next one's upper
            std::swap(m_upper, m_lower);
            std::swap(m_upperAt, m_lowerAt);
            return;
        }
        held = y;
        m_component.read(m_samples, y);
        m_edged.resize(m_columns + 1);
        const int last = m_component.width - 1;
        for (std::size_t x = 0; x <= m_columns; ++x)
            m_edged[x] = float(m_samples[std::clamp(m_from + m_x + int(x), 0, last)]);
        row.resize(m_columns);
        for (std::size_t x = 0; x < m_columns; ++x)
            row[x] = m_edged[x] + m_right * (m_edged[x + 1] - m_edged[x]);
    }

    const Component& m_component;
    int m_from;
    std::size_t m_columns;
    int m_x, m_y;
    float m_right, m_below;
    std::vector<std::uint16_t> m_samples;
    Plane m_edged, m_upper, m_lower, m_row;
    int m_upperAt = -1, m_lowerAt = -1;
};

struct Grid {
    Rect part; ///< native
    int factor, columns, rows;
};

/// A component's difference in levels, as means over the grid's places.
Plane differenceOf(const Component& before, const Component& now, const StillBlocks& moved, double light, const Grid& g)
{
    const int perX = 1 << now.shiftX, perY = 1 << now.shiftY;
    const int left = g.part.x / perX, right = std::max(left + 1, (g.part.x + g.part.width + perX - 1) / perX);
    const int top = g.part.y / perY, bottom = std::max(top + 1, (g.part.y + g.part.height + perY - 1) / perY);
    const double dx = moved.dx / perX, dy = moved.dy / perY;
    const double wholeX = std::round(dx), wholeY = std::round(dy);
    ShiftedRows nows(now, left, right, (dx - wholeX) / 2, (dy - wholeY) / 2);
    ShiftedRows befores(before, left, right, -wholeX - (dx - wholeX) / 2, -wholeY - (dy - wholeY) / 2);
    const bool colour =
        now.shiftX > 0 || now.shiftY > 0 || (now.index > 0 && !(now.format->flags & AV_PIX_FMT_FLAG_RGB));
    const double zero = colour ? 1 << (now.format->comp[now.index].depth - 1) : now.black;
    const auto scaleNow = float(now.scale / light), scaleBefore = float(now.scale);
    const auto offset = float(zero * now.scale * (1 - 1 / light)); // of what lies at zero in both

    Plane result(std::size_t(g.columns) * std::size_t(g.rows));
    Plane sums(std::size_t(right - left)), row(sums.size());
    int summed = 0, rowAt = -1;
    for (int j = 0; j < g.rows; ++j) {
        const int from = (g.part.y + j * g.factor) / perY;
        const int to =
            std::clamp((g.part.y + (j + 1) * g.factor + perY - 1) / perY, from + 1, std::max(from + 1, bottom));
        std::ranges::fill(sums, 0.f);
        summed = 0;
        for (int y = from; y < to; ++y, ++summed) {
            if (rowAt != y) {
                const Plane &n = nows.at(y), &b = befores.at(y);
                for (std::size_t x = 0; x < row.size(); ++x)
                    row[x] = scaleNow * n[x] - scaleBefore * b[x] + offset;
                rowAt = y;
            }
            for (std::size_t x = 0; x < sums.size(); ++x)
                sums[x] += row[x];
        }
        float* out = &result[std::size_t(j) * std::size_t(g.columns)];
        for (int i = 0; i < g.columns; ++i) {
            const int start = (g.part.x + i * g.factor) / perX - left;
            const int end = std::clamp((g.part.x + (i + 1) * g.factor + perX - 1) / perX - left, start + 1,
                                       std::max(start + 1, right - left));
            float sum = 0;
            for (int x = start; x < end; ++x)
                sum += sums[x];
            out[i] = sum / float(summed * (end - start));
        }
    }
    return result;
}

/// [1 2 1] either way: single pixels of a difference are noise.
void smooth(Plane& plane, int columns, int rows)
{
    const auto width = std::size_t(columns);
    Plane across(plane.size());
    for (std::size_t from = 0; from < plane.size(); from += width)
        for (std::size_t x = 0; x < width; ++x)
            across[from + x] =
                (plane[from + (x > 0 ? x - 1 : 0)] + 2 * plane[from + x] + plane[from + (x + 1 < width ? x + 1 : x)])
                / 4;
    for (int y = 0; y < rows; ++y) {
        const float* above = &across[std::size_t(std::max(0, y - 1)) * width];
        const float* below = &across[std::size_t(std::min(rows - 1, y + 1)) * width];
        const float* here = &across[std::size_t(y) * width];
        for (std::size_t x = 0; x < width; ++x)
            plane[std::size_t(y) * width + x] = (above[x] + 2 * here[x] + below[x]) / 4;
    }
}

/// What red and blue take of Cr and Cb, full range (ITU-R BT.709-6, BT.601-7, BT.2020-2: luma's weights).
std::array<float, 2> weightsOf(const AVFrame& frame)
{
    switch (colourSpaceOf(frame)) {
    case AVCOL_SPC_BT470BG:
    case AVCOL_SPC_SMPTE170M:
    case AVCOL_SPC_FCC: return {0.299f, 0.114f};
    case AVCOL_SPC_BT2020_NCL:
    case AVCOL_SPC_BT2020_CL: return {0.2627f, 0.0593f};
    default: return {0.2126f, 0.0722f};
    }
}

RgbImage imageOf(const AVFrame& before, const AVFrame& now, const AVPixFmtDescriptor& format, const StillBlocks& moved,
                 double light, const ChangePart& wanted)
{
    const Rect& part = wanted.rect;
    const Grid grid{part, wanted.factor, (part.width + wanted.factor - 1) / wanted.factor,
                    (part.height + wanted.factor - 1) / wanted.factor};
    const bool rgb = format.flags & AV_PIX_FMT_FLAG_RGB;
    std::vector<Plane> planes;
    for (int index = 0; index < (format.nb_components >= 3 ? 3 : 1); ++index) {
        planes.push_back(
            differenceOf(componentOf(before, format, index), componentOf(now, format, index), moved, light, grid));
        if (wanted.factor == 1)
            smooth(planes.back(), grid.columns, grid.rows);
    }
    RgbImage image{grid.columns, grid.rows, {}};
    image.pixels.resize(3 * planes[0].size());
    const auto [red, blue] = weightsOf(now);
    const auto gain = float(wanted.gain);
    const auto shade = [gain](float difference) {
        return static_cast<std::uint8_t>(std::clamp(128.5f + gain * difference, 0.f, 255.f));
    };
    for (std::size_t i = 0; i < planes[0].size(); ++i) {
        std::array<float, 3> c{planes[0][i], planes[0][i], planes[0][i]};
        if (rgb) {
            c = {planes[0][i], planes[1][i], planes[2][i]};
        } else if (planes.size() == 3) {
            const float y = c[0], cb = planes[1][i], cr = planes[2][i];
            c[0] = y + 2 * (1 - red) * cr;
            c[2] = y + 2 * (1 - blue) * cb;
            c[1] = (y - red * c[0] - blue * c[2]) / (1 - red - blue);
        }
        for (std::size_t k = 0; k < 3; ++k)
            image.pixels[3 * i + k] = shade(c[k]);
    }
    return image;
}

} // namespace

std::optional<PictureChange> ChangeMeter::measure(const Picture& before, const Picture& now, const Rect& region,
                                                  const ChangePart& wanted)
{
    const AVFrame& frame = now.native();
    const AVPixFmtDescriptor* format = readableFormat(frame);
    if (!format || !(before.size() == now.size()) || before.native().format != frame.format)
        return {};
    if (!m_prepared || !m_before || &m_before.native() != &before.native() || !(m_region == region)) {
        m_before = before;
        m_region = region;
        m_prepared.emplace(std::vector<Rect>{region}, true);
        m_blocksBefore = m_prepared->measure({0}, before).front();
    }
    StillMeter meter = *m_prepared;
    const auto blocks = meter.measure({1}, now).front();
    ChangePart part = wanted;
    part.rect = clipped(wanted.rect, now.size());
    if (!m_blocksBefore || !blocks || !blocks->alike(*m_blocksBefore) || part.rect.width == 0)
        return {};
    PictureChange change;
    change.dx = blocks->dx;
    change.dy = blocks->dy;
    change.light = commonLight(*m_blocksBefore, *blocks);
    change.blocks = changedBlocks(*m_blocksBefore, *blocks, change.light, clipped(region, now.size()));
    change.image = imageOf(before.native(), frame, *format, *blocks, change.light, part);
    return change;
}

} // namespace media
