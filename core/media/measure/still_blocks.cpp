#include "core/media/measure/still_blocks.h"
#include "core/media/picture/component.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <type_traits>

namespace media {

namespace {

constexpr int mostBlocks = 1200;         // of a region: a long film keeps them all for a while
constexpr int leastSide = 8;             // of a block: below it noise and the codec's own blocks tell most
constexpr int reducedWidth = 400;        // about; the picture that movement is looked for in
constexpr std::size_t mostPlaces = 1600; // with the steepest edges: more add cost, not precision
constexpr double leastSlope = 3;         // levels a reduced pixel: flatter places show noise
constexpr double leastStiffness = 4000;  // levels squared: below it noise alone moves the fit by a tenth of a pixel
constexpr double furthest = 2;           // reduced pixels from the reference; beyond it the fit is no longer linear
constexpr double searched = 12;          // the same where a search by whole reduced pixels begins it

/// The share of [n, n + 1) that lies in [from, to).
double share(int n, double from, double to)
{
    return std::max(0.0, std::min<double>(n + 1, to) - std::max<double>(n, from));
}

int blocksAlong(int length, int side) { return std::max(1, length / side); }

/// Means over blocks of `side` pixels that lie where `region` has been shifted to; what lies outside the picture is
/// taken from its edge.
void addBlocks(std::vector<std::int16_t>& blocks, const Component& c, const Rect& region, int side, double dx,
               double dy)
{
    const double perX = 1 << c.shiftX, perY = 1 << c.shiftY;
    const int columns = blocksAlong(region.width, side), rows = blocksAlong(region.height, side);
    const auto end = [side](int i, int count, int length) { return i + 1 == count ? length : (i + 1) * side; };
    const int first = static_cast<int>(std::floor((region.x + dx) / perX));
    const int last = static_cast<int>(std::ceil((region.x + region.width + dx) / perX));
    std::vector<float> sums(static_cast<std::size_t>(last - first));
    std::vector<std::uint16_t> samples;
    const int inner = std::clamp(-first, 0, last - first), outer = std::clamp(c.width - first, inner, last - first);
    int readRow = -1;
    for (int j = 0; j < rows; ++j) {
        const double top = (region.y + j * side + dy) / perY;
        const double bottom = (region.y + end(j, rows, region.height) + dy) / perY;
        std::ranges::fill(sums, 0.f);
        for (int y = static_cast<int>(std::floor(top)); y < bottom; ++y) {
            const int inside = std::clamp(y, 0, c.height - 1);
            if (inside != readRow)
                c.read(samples, readRow = inside);
            const auto weight = static_cast<float>(share(y, top, bottom));
            for (int x = inner; x < outer; ++x)
                sums[x] += weight * static_cast<float>(samples[first + x]);
            for (int x = 0; x < inner; ++x)
                sums[x] += weight * static_cast<float>(samples.front());
            for (int x = outer; x < last - first; ++x)
                sums[x] += weight * static_cast<float>(samples.back());
        }
        for (int i = 0; i < columns; ++i) {
            const double left = (region.x + i * side + dx) / perX;
            const double right = (region.x + end(i, columns, region.width) + dx) / perX;
            double sum = 0;
            for (int x = static_cast<int>(std::floor(left)); x < right; ++x)
                sum += share(x, left, right) * sums[std::clamp(x, first, last - 1) - first];
            const double level = (sum / ((right - left) * (bottom - top)) - c.black) * c.scale;
            blocks.push_back(
                static_cast<std::int16_t>(std::lround(std::clamp(level, -511.0, 511.0) / StillBlocks::unit)));
        }
    }
}

/// By pointers that don't overlap, which the compiler makes vectors of.
template <class Sample> void addRow(std::vector<std::uint32_t>& sums, const Sample* __restrict row)
{
    std::uint32_t* __restrict to = sums.data();
    const std::size_t count = sums.size();
    for (std::size_t x = 0; x < count; ++x)
        to[x] += row[x];
}

/// [1 2 1] of the values at `before`, `here` and `after`.
void smooth(float* __restrict to, const float* __restrict before, const float* __restrict here,
            const float* __restrict after, std::size_t count)
{
    for (std::size_t x = 0; x < count; ++x)
        to[x] = (before[x] + 2 * here[x] + after[x]) / 4;
}

/// Means over `factor` columns. A step that is known while compiling makes it several times as fast.
void takeColumns(std::vector<float>& means, const std::vector<std::uint32_t>& sums, int factor, double scale,
                 double black)
{
    const auto take = [&](auto step) {
        const std::uint32_t* from = sums.data();
        for (float& mean : means) {
            std::uint32_t sum = 0;
            for (int k = 0; k < step; ++k)
                sum += from[k];
            from += int(step);
            mean = static_cast<float>(sum * scale - black);
        }
    };
    switch (factor) {
    case 1: return take(std::integral_constant<int, 1>());
    case 2: return take(std::integral_constant<int, 2>());
    case 3: return take(std::integral_constant<int, 3>());
    case 5: return take(std::integral_constant<int, 5>());
    case 10: return take(std::integral_constant<int, 10>());
    default: return take(factor);
    }
}

} // namespace

bool StillBlocks::alike(const StillBlocks& other) const
{
    return side == other.side && columns == other.columns && rows == other.rows && colour.size() == other.colour.size();
}

float StillMeter::Reduced::at(double x, double y) const
{
    const int left = static_cast<int>(std::floor(x)), top = static_cast<int>(std::floor(y));
    const auto u = static_cast<float>(x - left), v = static_cast<float>(y - top);
    const float* from =
        &luma[static_cast<std::size_t>(top) * static_cast<std::size_t>(width) + static_cast<std::size_t>(left)];
    const float upper = from[0] + u * (from[1] - from[0]);
    const float lower = from[width] + u * (from[width + 1] - from[width]);
    return upper + v * (lower - upper);
}

void StillMeter::Reduced::take(const Component& c)
{
    factor = std::max(1, (c.width + reducedWidth / 2) / reducedWidth);
    width = c.width / factor;
    height = c.height / factor;
    const auto columns = static_cast<std::size_t>(width);
    luma.resize(columns * static_cast<std::size_t>(height));
    plain.resize(columns);
    across.resize(3 * columns);
    const int step = factor > 4 ? 2 : 1; // of rows: of high pictures every other is enough
    const double scale = c.scale / ((factor + step - 1) / step * factor), black = c.black * c.scale;
    for (int y = 0; y < height; ++y) {
        sums.assign(static_cast<std::size_t>(c.width), 0);
        for (int k = 0; k < factor; k += step)
            if (const std::uint8_t* bytes = c.bytes(y * factor + k)) {
                addRow(sums, bytes);
            } else {
                c.read(row, y * factor + k);
                addRow(sums, row.data());
            }
        takeColumns(plain, sums, factor, scale, black);
        const auto rowOf = [&](int n) { return &across[static_cast<std::size_t>(n % 3) * columns]; };
        float* to = rowOf(y);
        to[0] = plain.front();
        smooth(to + 1, &plain[0], &plain[1], &plain[2], columns - 2);
        to[columns - 1] = plain.back();
        float* done = &luma[static_cast<std::size_t>(y) * columns];
        if (y == 0 || y + 1 == height)
            std::copy_n(to, columns, done);
        if (y >= 2)
            smooth(done - columns, rowOf(y - 2), rowOf(y - 1), to, columns);
    }
}

StillMeter::StillMeter(std::vector<Rect> regions, bool far)
    : m_regions(std::move(regions)), m_reach(far ? searched : furthest)
{}

/// The steepest places, with every region and a little around it left out.
std::vector<StillMeter::EdgePlace> StillMeter::edges(bool withRegions) const
{
    const Reduced& p = m_picture;
    const int margin = int(m_reach) + 1; // as far as the fit may reach
    const auto covered = [&](int x, int y) {
        return !withRegions && std::ranges::any_of(m_regions, [&](const Rect& r) {
            return x >= r.x / p.factor - margin && x <= (r.x + r.width) / p.factor + margin
                   && y >= r.y / p.factor - margin && y <= (r.y + r.height) / p.factor + margin;
        });
    };
    std::vector<EdgePlace> places;
    for (int y = margin; y + margin < p.height; ++y)
        for (int x = margin; x + margin < p.width; ++x) {
            const EdgePlace place{x, y, p.at(x, y), (p.at(x + 1, y) - p.at(x - 1, y)) / 2,
                                  (p.at(x, y + 1) - p.at(x, y - 1)) / 2};
            if (place.steepness() > leastSlope * leastSlope && !covered(x, y))
                places.push_back(place);
        }
    // Both ways have to show: half of the places are those that show the one best, half the other.
    std::vector<EdgePlace> chosen;
    for (const auto slope : {&EdgePlace::slopeX, &EdgePlace::slopeY}) {
        const std::size_t count = std::min(places.size(), mostPlaces / 2);
        std::ranges::nth_element(places, places.begin() + std::ptrdiff_t(count), std::ranges::greater{},
                                 [&](const EdgePlace& place) { return std::abs(place.*slope); });
        chosen.insert(chosen.end(), places.begin(), places.begin() + std::ptrdiff_t(count));
        places.erase(places.begin(), places.begin() + std::ptrdiff_t(count));
    }
    return chosen;
}

void StillMeter::takeReference()
{
    const auto stiff = [](const std::vector<EdgePlace>& places) {
        double xx = 0, yy = 0, xy = 0;
        for (const EdgePlace& p : places) {
            xx += double(p.slopeX) * p.slopeX;
            yy += double(p.slopeY) * p.slopeY;
            xy += double(p.slopeX) * p.slopeY;
        }
        return (xx + yy) / 2 - std::hypot((xx - yy) / 2, xy) > leastStiffness; // the smaller eigenvalue
    };
    m_begun = true;
    m_places = edges(false);
    m_known = stiff(m_places);
    if (!m_known) {
        m_places = edges(true); // the regions fill the picture, or nothing shows around them
        if (!stiff(m_places))
            m_places.clear();
    }
    m_reference.dx += m_now.dx;
    m_reference.dy += m_now.dy;
    m_reference.light *= m_now.light;
    m_now = {};
}

/// The whole reduced pixels by which the places differ least, where each counts for as much as an edge at most.
StillMeter::Movement StillMeter::search() const
{
    constexpr std::size_t enough = 200;
    constexpr float most = 30; // levels
    const int reach = int(m_reach);
    const std::size_t step = m_places.size() / enough + 1;
    Movement best;
    double least = std::numeric_limits<double>::infinity();
    const auto look = [&](int dx, int dy) {
        double sum = 1e-3 * (dx * dx + dy * dy); // of places that don't differ the nearest
        for (std::size_t k = 0; k < m_places.size() && sum < least; k += step)
            sum += double(
                std::min(most, std::abs(m_picture.at(m_places[k].x + dx, m_places[k].y + dy) - m_places[k].level)));
        if (sum < least) {
            least = sum;
            best = {double(dx), double(dy), 1};
        }
    };
    look(0, 0); // most often it is near, and the others are soon given up
    for (int dy = -reach; dy <= reach; ++dy)
        for (int dx = -reach; dx <= reach; ++dx)
            look(dx, dy);
    return best;
}

std::optional<StillMeter::Movement> StillMeter::fit(Movement m)
{
    constexpr int rounds = 4;
    m_residuals.resize(m_places.size());
    for (int round = 0; round < rounds; ++round) {
        if (std::abs(m.dx) > m_reach + 0.5 || std::abs(m.dy) > m_reach + 0.5)
            return {};
        for (std::size_t k = 0; k < m_places.size(); ++k) {
            const EdgePlace& p = m_places[k];
            m_residuals[k] = m_picture.at(p.x + m.dx, p.y + m.dy) - static_cast<float>(m.light) * p.level;
        }
        m_sorted = m_residuals;
        for (float& r : m_sorted)
            r = std::abs(r);
        const auto middle = m_sorted.begin() + std::ptrdiff_t(m_sorted.size() / 2);
        std::nth_element(m_sorted.begin(), middle, m_sorted.end());
        const double cut = 4.685 * std::max(1.4826 * *middle, 0.5); // Tukey's weights, 95 % efficient on normal noise
        Eigen::Matrix3d a = Eigen::Matrix3d::Zero();
        Eigen::Vector3d b = Eigen::Vector3d::Zero();
        for (std::size_t k = 0; k < m_places.size(); ++k) {
            const EdgePlace& p = m_places[k];
            const double u = m_residuals[k] / cut;
            if (std::abs(u) >= 1)
                continue;
            const double w = (1 - u * u) * (1 - u * u);
            const Eigen::Vector3d row{-p.slopeX * m.light, -p.slopeY * m.light, p.level};
            a += w * row * row.transpose();
            b += w * row * m_residuals[k];
        }
        Eigen::Matrix3d inverse;
        bool solvable = false;
        a.computeInverseWithCheck(inverse, solvable, 1e-9);
        if (!solvable)
            return {};
        const Eigen::Vector3d step = inverse * b;
        m.dx += step[0];
        m.dy += step[1];
        m.light += step[2];
        if (std::abs(step[0]) < 0.002 && std::abs(step[1]) < 0.002)
            break;
    }
    return m;
}

void StillMeter::follow(const Component& luma)
{
    m_picture.take(luma);
    if (!m_begun) {
        takeReference();
        return;
    }
    if (m_places.empty())
        return;
    const std::optional<Movement> moved = fit(m_reach > furthest ? search() : m_now);
    if (moved)
        m_now = *moved;
    if (!moved || std::abs(m_now.dx) > m_reach || std::abs(m_now.dy) > m_reach || m_now.light > 1.5
        || m_now.light < 0.67)
        takeReference();
}

std::vector<std::shared_ptr<const StillBlocks>> StillMeter::measure(timing::FrameNumber n, const Picture& picture)
{
    std::vector<std::shared_ptr<const StillBlocks>> result(m_regions.size());
    if (n.value != m_next || picture.size() != m_size) {
        m_size = picture.size();
        m_begun = false;
        m_reference = m_now = {};
    }
    m_next = n.value + 1;
    const AVFrame& frame = picture.native();
    const AVPixFmtDescriptor* format = readableFormat(frame);
    if (!format || m_size.width < 32 || m_size.height < 32)
        return result;
    const bool rgb = format->flags & AV_PIX_FMT_FLAG_RGB;
    const Component luma = componentOf(frame, *format, rgb ? 1 : 0);
    follow(luma);
    for (std::size_t k = 0; k < m_regions.size(); ++k) {
        const Rect r = clipped(m_regions[k], m_size);
        if (r.width == 0)
            continue;
        StillBlocks b;
        const auto count = [&](int side) { return blocksAlong(r.width, side) * blocksAlong(r.height, side); };
        for (b.side = leastSide; count(b.side) > mostBlocks;)
            b.side += 4;
        b.columns = blocksAlong(r.width, b.side);
        b.rows = blocksAlong(r.height, b.side);
        b.dx = (m_reference.dx + m_now.dx) * m_picture.factor;
        b.dy = (m_reference.dy + m_now.dy) * m_picture.factor;
        b.light = m_reference.light * m_now.light;
        b.movementKnown = m_known;
        b.alone = frame.pict_type == AV_PICTURE_TYPE_I;
        b.luma.reserve(count(b.side));
        addBlocks(b.luma, luma, r, b.side, b.dx, b.dy);
        if (format->nb_components >= 3) {
            b.colourColumns = blocksAlong(r.width, 2 * b.side);
            b.colourRows = blocksAlong(r.height, 2 * b.side);
            for (const int index : {rgb ? 0 : 1, 2})
                addBlocks(b.colour, componentOf(frame, *format, index), r, 2 * b.side, b.dx, b.dy);
        }
        result[k] = std::make_shared<const StillBlocks>(std::move(b));
    }
    return result;
}

} // namespace media
