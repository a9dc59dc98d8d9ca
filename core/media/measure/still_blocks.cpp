#include "core/media/measure/still_blocks.h"
#include "core/media/picture/component.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

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
                sums[static_cast<std::size_t>(x)] +=
                    weight * static_cast<float>(samples[static_cast<std::size_t>(first + x)]);
            for (int x = 0; x < inner; ++x)
                sums[static_cast<std::size_t>(x)] += weight * static_cast<float>(samples.front());
            for (int x = outer; x < last - first; ++x)
                sums[static_cast<std::size_t>(x)] += weight * static_cast<float>(samples.back());
        }
        for (int i = 0; i < columns; ++i) {
            const double left = (region.x + i * side + dx) / perX;
            const double right = (region.x + end(i, columns, region.width) + dx) / perX;
            double sum = 0;
            for (int x = static_cast<int>(std::floor(left)); x < right; ++x)
                sum += share(x, left, right) * sums[static_cast<std::size_t>(std::clamp(x, first, last - 1) - first)];
            const double level = (sum / ((right - left) * (bottom - top)) - c.black) * c.scale;
            blocks.push_back(
                static_cast<std::int16_t>(std::lround(std::clamp(level, -511.0, 511.0) / StillBlocks::unit)));
        }
    }
}

/// Luma, reduced by a whole factor and smoothed by [1 2 1] either way, so that edges move in it as in a continuous
/// picture.
struct Reduced {
    int factor = 1, width = 0, height = 0;
    std::vector<float> luma;
    float at(int x, int y) const
    {
        return luma[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)];
    }
    float at(double x, double y) const
    {
        const int left = static_cast<int>(std::floor(x)), top = static_cast<int>(std::floor(y));
        const auto u = static_cast<float>(x - left), v = static_cast<float>(y - top);
        const float* from =
            &luma[static_cast<std::size_t>(top) * static_cast<std::size_t>(width) + static_cast<std::size_t>(left)];
        const float upper = from[0] + u * (from[1] - from[0]);
        const float lower = from[width] + u * (from[width + 1] - from[width]);
        return upper + v * (lower - upper);
    }
};

Reduced reduce(const Component& luma)
{
    Reduced r;
    r.factor = std::max(1, (luma.width + reducedWidth / 2) / reducedWidth);
    r.width = luma.width / r.factor;
    r.height = luma.height / r.factor;
    const int step = r.factor > 4 ? 2 : 1; // of rows: of high pictures every other is enough
    const auto width = static_cast<std::size_t>(r.width);
    std::vector<float> plain(width * static_cast<std::size_t>(r.height));
    std::vector<std::uint16_t> row;
    std::vector<std::uint32_t> sums;
    for (int y = 0; y < r.height; ++y) {
        sums.assign(static_cast<std::size_t>(luma.width), 0);
        int added = 0;
        for (int k = 0; k < r.factor; k += step, ++added) {
            luma.read(row, y * r.factor + k);
            for (std::size_t x = 0; x < row.size(); ++x)
                sums[x] += row[x];
        }
        const double scale = luma.scale / (added * r.factor);
        for (std::size_t x = 0; x < width; ++x) {
            std::uint32_t sum = 0;
            for (std::size_t k = 0; k < static_cast<std::size_t>(r.factor); ++k)
                sum += sums[x * static_cast<std::size_t>(r.factor) + k];
            plain[static_cast<std::size_t>(y) * width + x] = static_cast<float>(sum * scale - luma.black * luma.scale);
        }
    }
    std::vector<float> across(plain.size());
    for (int y = 0; y < r.height; ++y) {
        const float* from = &plain[static_cast<std::size_t>(y) * width];
        float* to = &across[static_cast<std::size_t>(y) * width];
        for (std::size_t x = 1; x + 1 < width; ++x)
            to[x] = (from[x - 1] + 2 * from[x] + from[x + 1]) / 4;
        to[0] = from[0];
        to[width - 1] = from[width - 1];
    }
    r.luma = across;
    for (int y = 1; y + 1 < r.height; ++y) {
        const float* from = &across[static_cast<std::size_t>(y) * width];
        float* to = &r.luma[static_cast<std::size_t>(y) * width];
        for (std::size_t x = 0; x < width; ++x)
            to[x] = (*(from + x - width) + 2 * from[x] + from[x + width]) / 4;
    }
    return r;
}

/// A place whose edges show movement.
struct EdgePlace {
    int x = 0, y = 0;
    float level = 0, slopeX = 0, slopeY = 0;
    double steepness() const { return double(slopeX) * slopeX + double(slopeY) * slopeY; }
};

struct Movement {
    double dx = 0, dy = 0; ///< reduced pixels since the reference
    double light = 1;
};

/// Solves the symmetric 3 x 3 system by Cramer's rule; false where it is singular.
bool solve(const std::array<std::array<double, 3>, 3>& a, const std::array<double, 3>& b, std::array<double, 3>& x)
{
    const auto det = [](const std::array<std::array<double, 3>, 3>& m) {
        return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
               + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
    };
    const double d = det(a);
    if (!(std::abs(d) > 1e-9))
        return false;
    for (std::size_t k = 0; k < 3; ++k) {
        auto with = a;
        for (std::size_t i = 0; i < 3; ++i)
            with[i][k] = b[i];
        x[k] = det(with) / d;
    }
    return true;
}

} // namespace

bool StillBlocks::alike(const StillBlocks& other) const
{
    return side == other.side && columns == other.columns && rows == other.rows && colour.size() == other.colour.size();
}

class StillMeter::Impl {
public:
    Impl(std::vector<Rect> regions, bool far) : m_regions(std::move(regions)), m_reach(far ? searched : furthest) {}

    std::vector<std::shared_ptr<const StillBlocks>> measure(timing::FrameNumber n, const Picture& picture);

private:
    void follow(const Component& luma);
    void takeReference(const Reduced& now);
    std::vector<EdgePlace> edges(const Reduced& picture, bool withRegions) const;
    Movement search(const Reduced& now) const;
    std::optional<Movement> fit(const Reduced& now, Movement guess);

    std::vector<Rect> m_regions;
    double m_reach; ///< reduced pixels
    std::int64_t m_next = -1;
    Size m_size;
    bool m_known = true;
    int m_factor = 0;
    std::vector<EdgePlace> m_places;
    std::vector<float> m_residuals, m_sorted;
    Movement m_reference, m_now; ///< of the reference since the first picture; since the reference
};

/// The steepest places, with every region and a little around it left out.
std::vector<EdgePlace> StillMeter::Impl::edges(const Reduced& p, bool withRegions) const
{
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

void StillMeter::Impl::takeReference(const Reduced& now)
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
    m_factor = now.factor;
    m_places = edges(now, false);
    m_known = stiff(m_places);
    if (!m_known) {
        m_places = edges(now, true); // the regions fill the picture, or nothing shows around them
        if (!stiff(m_places))
            m_places.clear();
    }
    m_reference.dx += m_now.dx;
    m_reference.dy += m_now.dy;
    m_reference.light *= m_now.light;
    m_now = {};
}

/// The whole reduced pixels by which the places differ least, where each counts for as much as an edge at most.
Movement StillMeter::Impl::search(const Reduced& now) const
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
            sum += double(std::min(most, std::abs(now.at(m_places[k].x + dx, m_places[k].y + dy) - m_places[k].level)));
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

std::optional<Movement> StillMeter::Impl::fit(const Reduced& now, Movement m)
{
    constexpr int rounds = 4;
    m_residuals.resize(m_places.size());
    for (int round = 0; round < rounds; ++round) {
        if (std::abs(m.dx) > m_reach + 0.5 || std::abs(m.dy) > m_reach + 0.5)
            return {};
        for (std::size_t k = 0; k < m_places.size(); ++k) {
            const EdgePlace& p = m_places[k];
            m_residuals[k] = now.at(p.x + m.dx, p.y + m.dy) - static_cast<float>(m.light) * p.level;
        }
        m_sorted = m_residuals;
        for (float& r : m_sorted)
            r = std::abs(r);
        const auto middle = m_sorted.begin() + std::ptrdiff_t(m_sorted.size() / 2);
        std::nth_element(m_sorted.begin(), middle, m_sorted.end());
        const double cut = 4.685 * std::max(1.4826 * *middle, 0.5); // Tukey's weights, 95 % efficient on normal noise
        std::array<std::array<double, 3>, 3> a{};
        std::array<double, 3> b{}, step{};
        for (std::size_t k = 0; k < m_places.size(); ++k) {
            const EdgePlace& p = m_places[k];
            const double u = m_residuals[k] / cut;
            if (std::abs(u) >= 1)
                continue;
            const double w = (1 - u * u) * (1 - u * u);
            const double row[3] = {-p.slopeX * m.light, -p.slopeY * m.light, p.level};
            for (std::size_t i = 0; i < 3; ++i) {
                for (std::size_t j = 0; j < 3; ++j)
                    a[i][j] += w * row[i] * row[j];
                b[i] += w * row[i] * m_residuals[k];
            }
        }
        if (!solve(a, b, step))
            return {};
        m.dx += step[0];
        m.dy += step[1];
        m.light += step[2];
        if (std::abs(step[0]) < 0.002 && std::abs(step[1]) < 0.002)
            break;
    }
    return m;
}

void StillMeter::Impl::follow(const Component& luma)
{
    const Reduced now = reduce(luma);
    if (m_factor == 0) {
        takeReference(now);
        return;
    }
    if (m_places.empty())
        return;
    const std::optional<Movement> moved = fit(now, m_reach > furthest ? search(now) : m_now);
    if (moved)
        m_now = *moved;
    if (!moved || std::abs(m_now.dx) > m_reach || std::abs(m_now.dy) > m_reach || m_now.light > 1.5
        || m_now.light < 0.67)
        takeReference(now);
}

std::vector<std::shared_ptr<const StillBlocks>> StillMeter::Impl::measure(timing::FrameNumber n, const Picture& picture)
{
    std::vector<std::shared_ptr<const StillBlocks>> result(m_regions.size());
    if (n.value != m_next || picture.size() != m_size) {
        m_size = picture.size();
        m_factor = 0;
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
        Rect r = m_regions[k];
        r.width = std::min(r.x + r.width, m_size.width) - std::max(r.x, 0);
        r.height = std::min(r.y + r.height, m_size.height) - std::max(r.y, 0);
        r.x = std::max(r.x, 0);
        r.y = std::max(r.y, 0);
        if (r.width <= 0 || r.height <= 0)
            continue;
        StillBlocks b;
        const auto count = [&](int side) { return blocksAlong(r.width, side) * blocksAlong(r.height, side); };
        for (b.side = leastSide; count(b.side) > mostBlocks;)
            b.side += 4;
        b.columns = blocksAlong(r.width, b.side);
        b.rows = blocksAlong(r.height, b.side);
        b.dx = (m_reference.dx + m_now.dx) * m_factor;
        b.dy = (m_reference.dy + m_now.dy) * m_factor;
        b.light = m_reference.light * m_now.light;
        b.movementKnown = m_known;
        b.alone = frame.pict_type == AV_PICTURE_TYPE_I;
        b.luma.reserve(static_cast<std::size_t>(count(b.side)));
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

StillMeter::StillMeter(std::vector<Rect> regions, bool far) : m_impl(std::make_unique<Impl>(std::move(regions), far)) {}
StillMeter::StillMeter(const StillMeter& other) : m_impl(std::make_unique<Impl>(*other.m_impl)) {}
StillMeter::~StillMeter() = default;
StillMeter::StillMeter(StillMeter&&) noexcept = default;
StillMeter& StillMeter::operator=(StillMeter&&) noexcept = default;

std::vector<std::shared_ptr<const StillBlocks>> StillMeter::measure(timing::FrameNumber n, const Picture& picture)
{
    return m_impl->measure(n, picture);
}

} // namespace media
