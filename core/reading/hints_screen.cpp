#include "core/reading/hints_screen.h"
#include "core/media/measure/still_blocks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

namespace reading {
namespace {

constexpr std::int64_t mostHistory = 400;   // frames before a press
constexpr std::int64_t leastHistory = 24;   // frames
constexpr std::int64_t mostSearched = 4000; // frames after a press
constexpr float leastNoise = 0.15f;         // levels; what a codec leaves of a still block
constexpr double leastK = 7.8;
constexpr double overUsual = 1.8;    // weaker ones were wrong more often than right on the filmed scenes
constexpr double overNoise = 1.15;   // of what the same blocks came to before, for an onset
constexpr double alarm = 0.75;       // of k
constexpr int staysFor = 3;          // frames, the alarm's own among them
constexpr float clipped = 30;        // z: one block alone can't say more
constexpr double onsetShare = 0.08;  // of the change at the alarm: the first tenth of a refresh is an onset
constexpr double blockShows = 4;     // z
constexpr std::int64_t settling = 8; // frames until the lamp's light, or a picture stored by itself, is the new rest
constexpr double overCodec = 4;      // times k
constexpr double mostByCodec = 0.03; // of all blocks: a picture stored by itself changes many at once

/// Values of many places, frame by frame, from `first` on.
struct Series {
    int columns = 0, rows = 0, layers = 1;
    std::int64_t first = 0;
    std::size_t places = 0;
    std::vector<float> values;

    std::int64_t end() const { return first + std::int64_t(places ? values.size() / places : 0); }
    const float* at(std::int64_t frame) const { return values.data() + std::size_t(frame - first) * places; }
    float* at(std::int64_t frame) { return values.data() + std::size_t(frame - first) * places; }
};

std::vector<float> meanOf(const Series& s, std::int64_t from, std::int64_t to)
{
    std::vector<float> mean(s.places);
    for (std::int64_t t = from; t < to; ++t)
        for (std::size_t i = 0; i < s.places; ++i)
            mean[i] += s.at(t)[i];
    for (float& m : mean)
        m /= float(to - from);
    return mean;
}

/// What was usual before the press, in pieces that are each compared with the frames before them, as the frames after
/// the press will be.
struct Past {
    std::int64_t rest = 0;  ///< frames of a mean
    std::int64_t piece = 0; ///< frames
    std::vector<std::int64_t> starts;

    Past(std::int64_t from, std::int64_t end)
    {
        const std::int64_t n = end - from;
        rest = std::clamp<std::int64_t>(n / 5, 4, 32);
        piece = std::clamp<std::int64_t>((n - rest) / 4, 4, 64);
        for (std::int64_t start = end - piece; start - rest >= from; start -= piece)
            starts.push_back(start);
    }
};

/// What the pieces, latest first, have in common: the latest counts by itself; of the others what two of them reach
/// that don't lie side by side. What came once and stayed - the last reaction's end - isn't usual.
template <class T> T usualMost(const std::vector<T>& pieces)
{
    T most = pieces.front();
    if (pieces.size() < 3)
        return std::max(most, pieces.back());
    for (std::size_t i = 0; i < pieces.size(); ++i)
        for (std::size_t j = i + 2; j < pieces.size(); ++j)
            most = std::max(most, std::min(pieces[i], pieces[j]));
    return most;
}

class ChangeTest {
public:
    /// `alone`: of the series' frames, those stored by themselves.
    ChangeTest(const Series& series, const std::vector<bool>& alone, std::int64_t from, std::int64_t press,
               double leastLevel);

    struct Found {
        std::int64_t onset = 0, alarm = 0;
        double strength = 1;
        double shares = 0;                                 ///< of all places, hanging together or not
        std::vector<std::pair<std::size_t, float>> places; ///< that changed, and their z
    };
    std::optional<Found> find(std::int64_t end);

private:
    using Rows = std::vector<float>;
    std::vector<double> learn();
    bool dropOnce(const std::vector<double>& peaks);
    Rows noiseFrom(const std::vector<Rows>& levels, std::size_t without) const;
    bool storedAlone(std::int64_t t) const { return m_alone[std::size_t(t - m_series.first)]; }
    void z(std::int64_t t, const Rows& rest, Rows& out) const;
    void aroundEach(const Rows& z, Rows& out) const;
    Found walkBack(std::int64_t start, std::int64_t alarmed, std::size_t place, const Rows& rest);
    std::vector<std::pair<std::size_t, float>> changedWith(std::size_t place, const Rows& meanZ) const;

    const Series& m_series;
    const std::vector<bool>& m_alone;
    Past m_past{0, 0};
    std::int64_t m_press, m_restFrom = 0;
    float m_leastLevel;
    Rows m_noise;
    double m_k = leastK;
};

ChangeTest::ChangeTest(const Series& series, const std::vector<bool>& alone, std::int64_t from, std::int64_t press,
                       double leastLevel)
    : m_series(series), m_alone(alone), m_press(press), m_leastLevel(float(leastLevel))
{
    // A picture stored by itself, where there is one only, is no habit: what follows it is the past, or what comes
    // before.
    std::vector<std::int64_t> jumps;
    for (std::int64_t t = from + 1; t < press; ++t)
        if (storedAlone(t))
            jumps.push_back(t);
    m_restFrom = from;
    if (jumps.size() == 1 && press - jumps.front() >= leastHistory)
        m_past = Past(m_restFrom = jumps.front(), press);
    else if (jumps.size() == 1 && jumps.front() - from >= leastHistory)
        m_past = Past(from, jumps.front());
    else
        m_past = Past(from, press);
    if (jumps.size() == 1 && press - jumps.front() > settling)
        m_restFrom = jumps.front();
    std::vector<double> peaks = learn();
    if (dropOnce(peaks))
        peaks = learn();
    m_k = peaks.empty() ? leastK : std::max(leastK, overUsual * usualMost(peaks));
}

/// Noise from all pieces; returns how far each stands out of the others: things that move on come to new places there,
/// too.
std::vector<double> ChangeTest::learn()
{
    const std::size_t n = m_series.places, pieces = m_past.starts.size();
    std::vector<Rows> levels(pieces, Rows(n)), rests; // of each piece: noise that it alone would give
    for (std::size_t k = 0; k < pieces; ++k) {
        const std::int64_t start = m_past.starts[k];
        rests.push_back(meanOf(m_series, start - m_past.rest, start));
        Rows squares(n), most(n);
        for (std::int64_t t = start; t < start + m_past.piece; ++t)
            for (std::size_t i = 0; i < n; ++i) {
                const float away = m_series.at(t)[i] - rests[k][i];
                squares[i] += away * away;
                most[i] = std::max(most[i], std::abs(away));
            }
        for (std::size_t i = 0; i < n; ++i)
            levels[k][i] = std::max({std::sqrt(squares[i] / float(m_past.piece)), most[i] / 3, m_leastLevel});
    }
    std::vector<double> peaks;
    Rows now, around;
    for (std::size_t k = 0; k < pieces; ++k) {
        m_noise = noiseFrom(levels, pieces > 1 ? k : pieces);
        float peak = 0;
        for (std::int64_t t = m_past.starts[k]; t < m_past.starts[k] + m_past.piece; ++t) {
            z(t, rests[k], now);
            aroundEach(now, around);
            peak = std::max(peak, *std::ranges::max_element(around));
        }
        peaks.push_back(double(peak));
    }
    m_noise = noiseFrom(levels, pieces);
    return peaks;
}

/// Leaves out pieces in which something happened once, such as the last reaction's end; it shows in the piece it falls
/// in and in the one that is compared with frames around it. True where there were any.
bool ChangeTest::dropOnce(const std::vector<double>& peaks)
{
    constexpr double standsOut = 1.6;
    double usual = 0;
    for (std::size_t k = 0; k < peaks.size(); ++k) {
        if (k > 0 && peaks[k] > standsOut * std::max(usual, leastK)) {
            std::size_t end = k;
            while (end < peaks.size() && peaks[end] > standsOut * std::max(usual, leastK))
                ++end;
            const bool again = std::any_of(peaks.begin() + std::ptrdiff_t(end), peaks.end(),
                                           [&](double p) { return p > standsOut * std::max(usual, leastK); });
            if (end - k > 2 || again)
                return false;
            m_past.starts.erase(m_past.starts.begin() + std::ptrdiff_t(k), m_past.starts.begin() + std::ptrdiff_t(end));
            return true;
        }
        usual = std::max(usual, peaks[k]);
    }
    return false;
}

/// Of each place, from all pieces but one. What is busy in one block may reach the next.
ChangeTest::Rows ChangeTest::noiseFrom(const std::vector<Rows>& levels, std::size_t without) const
{
    const std::size_t n = m_series.places;
    Rows own(n), noise(n);
    std::vector<float> some;
    for (std::size_t i = 0; i < n && !levels.empty(); ++i) {
        some.clear();
        for (std::size_t k = 0; k < levels.size(); ++k)
            if (k != without)
                some.push_back(levels[k][i]);
        own[i] = usualMost(some);
    }
    const int columns = m_series.columns, rows = m_series.rows;
    for (int layer = 0; layer < m_series.layers; ++layer)
        for (int y = 0; y < rows; ++y)
            for (int x = 0; x < columns; ++x) {
                const auto place = [&](int u, int v) {
                    return (std::size_t(layer) * std::size_t(rows) + std::size_t(v)) * std::size_t(columns)
                           + std::size_t(u);
                };
                float around = 0;
                for (int v = std::max(0, y - 1); v <= std::min(rows - 1, y + 1); ++v)
                    for (int u = std::max(0, x - 1); u <= std::min(columns - 1, x + 1); ++u)
                        around = std::max(around, own[place(u, v)]);
                noise[place(x, y)] = std::max(own[place(x, y)], around / 2);
            }
    return noise;
}

void ChangeTest::z(std::int64_t t, const Rows& rest, Rows& out) const
{
    out.resize(m_series.places);
    const float* now = m_series.at(t);
    for (std::size_t i = 0; i < out.size(); ++i)
        out[i] = std::clamp((now[i] - rest[i]) / m_noise[i], -clipped, clipped);
}

/// R of every place; layers count together.
void ChangeTest::aroundEach(const Rows& z, Rows& out) const
{
    const auto columns = std::size_t(m_series.columns), rows = std::size_t(m_series.rows);
    Rows square(columns * rows), across(columns * rows);
    for (std::size_t layer = 0; layer < std::size_t(m_series.layers); ++layer)
        for (std::size_t i = 0; i < square.size(); ++i)
            square[i] += z[layer * square.size() + i] * z[layer * square.size() + i];
    for (std::size_t y = 0; y < rows; ++y)
        for (std::size_t x = 0; x < columns; ++x)
            across[y * columns + x] = square[y * columns + x] + (x > 0 ? square[y * columns + x - 1] : 0)
                                      + (x + 1 < columns ? square[y * columns + x + 1] : 0);
    out.resize(square.size());
    for (std::size_t y = 0; y < rows; ++y)
        for (std::size_t x = 0; x < columns; ++x)
            out[y * columns + x] = std::sqrt(across[y * columns + x] + (y > 0 ? across[(y - 1) * columns + x] : 0)
                                             + (y + 1 < rows ? across[(y + 1) * columns + x] : 0));
}

/// Those that show a change and hang together with `place`.
std::vector<std::pair<std::size_t, float>> ChangeTest::changedWith(std::size_t place, const Rows& meanZ) const
{
    const int columns = m_series.columns, rows = m_series.rows;
    const std::size_t count = std::size_t(columns) * std::size_t(rows);
    std::vector<bool> seen(count);
    std::vector<std::size_t> open{place};
    seen[place] = true;
    std::vector<std::pair<std::size_t, float>> changed;
    while (!open.empty()) {
        const std::size_t at = open.back();
        open.pop_back();
        for (std::size_t layer = 0; layer < std::size_t(m_series.layers); ++layer)
            if (std::abs(meanZ[layer * count + at]) > blockShows)
                changed.emplace_back(layer * count + at, meanZ[layer * count + at]);
        const int x = int(at) % columns, y = int(at) / columns;
        for (int v = std::max(0, y - 1); v <= std::min(rows - 1, y + 1); ++v)
            for (int u = std::max(0, x - 1); u <= std::min(columns - 1, x + 1); ++u) {
                const std::size_t next = std::size_t(v) * std::size_t(columns) + std::size_t(u);
                bool shows = false;
                for (std::size_t layer = 0; layer < std::size_t(m_series.layers); ++layer)
                    shows = shows || std::abs(meanZ[layer * count + next]) > blockShows;
                if (shows && !seen[next]) {
                    seen[next] = true;
                    open.push_back(next);
                }
            }
    }
    return changed;
}

ChangeTest::Found ChangeTest::walkBack(std::int64_t start, std::int64_t alarmed, std::size_t place, const Rows& rest)
{
    Found found;
    found.onset = found.alarm = alarmed;
    Rows now, mean(m_series.places);
    for (std::int64_t t = alarmed; t < alarmed + staysFor; ++t) {
        z(t, rest, now);
        for (std::size_t i = 0; i < mean.size(); ++i)
            mean[i] += now[i] / float(staysFor);
    }
    found.places = changedWith(place, mean);
    for (const float m : mean)
        found.shares += std::abs(m) > blockShows ? 1 / double(mean.size()) : 0;
    double norm = 0;
    for (const auto& [i, weight] : found.places)
        norm += double(weight) * weight;
    if (norm == 0)
        return found;
    const auto project = [&](std::int64_t t, const Rows& level) {
        double sum = 0;
        for (const auto& [i, weight] : found.places)
            sum += double(weight) * double((m_series.at(t)[i] - level[i]) / m_noise[i]);
        return sum / std::sqrt(norm);
    };
    std::vector<double> most;
    for (const std::int64_t from : m_past.starts) {
        const Rows level = meanOf(m_series, from - m_past.rest, from);
        double peak = 0;
        for (std::int64_t t = from; t < from + m_past.piece; ++t)
            peak = std::max(peak, std::abs(project(t, level)));
        most.push_back(peak);
    }
    const double limit = std::max(overNoise * usualMost(most), onsetShare * project(alarmed, rest));
    while (found.onset > start && project(found.onset - 1, rest) > limit)
        --found.onset;
    return found;
}

std::optional<ChangeTest::Found> ChangeTest::find(std::int64_t end)
{
    end = std::min(end, m_series.end());
    if (m_past.starts.empty())
        return {};
    const std::int64_t guard = 1; // the frame before the press may be partly lit
    std::int64_t base = m_press - guard;
    Rows rest = meanOf(m_series, std::max(base - m_past.rest, m_restFrom), base);
    Rows now, around;
    std::vector<double> sums(std::size_t(m_series.columns) * std::size_t(m_series.rows));
    for (std::int64_t t = m_press; t + staysFor <= end; ++t) {
        if (t - base > m_past.piece && std::ranges::all_of(sums, [](double s) { return s == 0; })) {
            base = t;
            rest = meanOf(m_series, t - m_past.rest, t);
        }
        z(t, rest, now);
        aroundEach(now, around);
        std::size_t best = 0;
        for (std::size_t i = 0; i < sums.size(); ++i) {
            sums[i] = std::max(0.0, sums[i] + double(around[i]) - m_k);
            if (sums[i] > sums[best])
                best = i;
        }
        if (sums[best] <= alarm * m_k)
            continue;
        const double strength = double(around[best]) / m_k;
        bool stays = around[best] > m_k;
        Rows later, laterAround;
        for (std::int64_t next = t + 1; next < t + staysFor && stays; ++next) {
            z(next, rest, later);
            aroundEach(later, laterAround);
            stays = laterAround[best] > m_k;
        }
        if (!stays) {
            sums[best] = 0;
            continue;
        }
        Found found = walkBack(m_press, t, best, rest);
        // What comes with the lamp is its light; what is weak and comes with a picture stored by itself is the codec's.
        const bool byCodec = storedAlone(found.onset) && (strength < overCodec || found.shares > mostByCodec);
        if (found.onset > m_press && !byCodec) {
            found.strength = std::max(1.0, strength);
            return found;
        }
        // Go on from there.
        const std::int64_t settled = std::max(found.onset, m_press) + settling;
        if (t >= settled || settled + staysFor > end)
            return {};
        base = settled;
        rest = meanOf(m_series, settled - settling + 2, settled);
        std::ranges::fill(sums, 0);
        t = settled - 1;
    }
    return {};
}

float medianOf(std::vector<float>& values)
{
    const auto middle = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// The screen's blocks and what all of them share.
struct ScreenSeries {
    Series luma, colour;
    std::vector<bool> alone; ///< of the frames: stored by themselves
    Series plain;            ///< luma as it is, where `luma` follows the busy places
    Series common;           ///< one place: brightness that the room's light doesn't explain, in levels
};

/// What all blocks share, as a factor: the median of their ratios to what they usually are.
std::vector<double> takeCommonOut(Series& luma, const std::vector<float>& usual)
{
    constexpr float leastLevel = 12; // darker blocks' ratios are noise
    constexpr std::size_t enough = 400;
    std::vector<std::size_t> bright;
    for (std::size_t i = 0; i < usual.size(); ++i)
        if (usual[i] > leastLevel)
            bright.push_back(i);
    std::vector<double> factors;
    const std::size_t step = bright.size() / enough + 1;
    std::vector<float> ratios;
    for (std::int64_t t = luma.first; t < luma.end(); ++t) {
        ratios.clear();
        float* now = luma.at(t);
        for (std::size_t k = 0; k < bright.size(); k += step)
            ratios.push_back(now[bright[k]] / usual[bright[k]]);
        const bool tell = 5 * bright.size() > usual.size();
        const float factor = tell ? std::clamp(medianOf(ratios), 0.2f, 5.f) : 1.f;
        factors.push_back(double(factor));
        for (std::size_t i = 0; i < luma.places; ++i)
            now[i] /= factor;
    }
    return factors;
}

/// Places that keep moving before the press are followed by what they do against the few frames before: how far they
/// get to is new all the time, how fast isn't.
void followTheBusy(Series& s, std::int64_t press)
{
    constexpr std::int64_t few = 6;
    constexpr float busy = 2; // times as far from a long rest as from a short one; white noise: 0.94
    if (press - s.first < 3 * few)
        return;
    const std::vector<float> usual = meanOf(s, s.first, press);
    for (std::size_t i = 0; i < s.places; ++i) {
        float overLong = 0, overShort = 0, sum = 0;
        const auto value = [&](std::int64_t t) -> float& { return s.at(t)[i]; };
        for (std::int64_t t = s.first; t < s.first + few; ++t)
            sum += value(t);
        std::vector<float> steps;
        for (std::int64_t t = s.first + few; t < s.end(); ++t) {
            const float step = value(t) - sum / float(few);
            steps.push_back(step);
            if (t < press) {
                overShort += step * step;
                overLong += (value(t) - usual[i]) * (value(t) - usual[i]);
            }
            sum += value(t) - value(t - few);
        }
        if (overLong > busy * busy * overShort && overLong > leastNoise * leastNoise * float(press - s.first))
            for (std::int64_t t = s.first; t < s.end(); ++t)
                value(t) = t < s.first + few ? 0 : steps[std::size_t(t - s.first - few)];
    }
}

/// Frames from `first` on, as far as they are alike.
ScreenSeries seriesOf(const media::Trace& screen, std::int64_t first, std::int64_t press, std::int64_t end)
{
    ScreenSeries s;
    const media::StillBlocks& kind = *screen[std::size_t(press)].blocks;
    s.luma = {kind.columns, kind.rows, 1, first, kind.luma.size(), {}};
    s.colour = {kind.colourColumns, kind.colourRows, 2, first, kind.colour.size(), {}};
    s.common = {1, 1, 1, first, 1, {}};
    std::vector<double> light;
    const auto append = [](Series& to, const std::vector<std::int16_t>& from) {
        for (const std::int16_t v : from)
            to.values.push_back(float(v * media::StillBlocks::unit));
    };
    for (std::int64_t t = first; t < end; ++t) {
        const auto& blocks = screen[std::size_t(t)].blocks;
        if (!blocks || !blocks->alike(kind))
            break;
        s.alone.push_back(blocks->alone);
        append(s.luma, blocks->luma);
        append(s.colour, blocks->colour);
        light.push_back(kind.movementKnown && blocks->movementKnown ? std::log(std::max(blocks->light, 1e-3)) : 0);
    }
    if (s.luma.end() <= press)
        return s;
    const std::vector<float> usual = meanOf(s.luma, first, press);
    const std::vector<double> factors = takeCommonOut(s.luma, usual);
    s.plain = s.luma;
    followTheBusy(s.luma, press);
    followTheBusy(s.colour, press);
    double level = 0;
    for (const float u : usual)
        level += double(u) / double(usual.size());
    // How much of the room's light the screen takes part in, from before the press.
    const auto n = std::size_t(press - first);
    double meanLight = 0, meanOwn = 0, both = 0, square = 1e-9;
    for (std::size_t k = 0; k < n; ++k) {
        meanLight += light[k] / double(n);
        meanOwn += std::log(factors[k]) / double(n);
    }
    for (std::size_t k = 0; k < n; ++k) {
        both += (light[k] - meanLight) * (std::log(factors[k]) - meanOwn);
        square += (light[k] - meanLight) * (light[k] - meanLight);
    }
    const double part = std::clamp(both / square, 0.0, 1.5);
    for (std::size_t k = 0; k < factors.size(); ++k)
        s.common.values.push_back(float(level * (std::log(factors[k]) - meanOwn - part * (light[k] - meanLight))));
    return s;
}

media::Rect blockAt(const media::Rect& region, int side, int columns, std::size_t place)
{
    const int x = int(place) % columns * side, y = int(place) / columns * side;
    return {region.x + x, region.y + y, std::min(side, region.width - x), std::min(side, region.height - y)};
}

/// What kind of change it is, by what the blocks do in the frames after it.
ChangeKind kindOf(const Series& luma, const ChangeTest::Found& found, std::int64_t end)
{
    constexpr std::int64_t watched = 40;
    const std::int64_t soon = found.alarm + 2, late = std::min(end - 1, found.alarm + watched);
    if (late <= soon + 4)
        return ChangeKind::Appears;
    // Motion goes on: the blocks themselves change again, or others join them.
    const std::vector<float> early = meanOf(luma, soon, soon + 2);
    const std::vector<float> after = meanOf(luma, late - 2, late);
    const std::vector<float> before = meanOf(luma, found.onset - 4, found.onset);
    double step = 0, later = 0;
    for (std::size_t i = 0; i < luma.places; ++i) {
        step += std::pow(double(early[i] - before[i]), 2);
        later += std::pow(double(after[i] - early[i]), 2);
    }
    if (later > 0.35 * step)
        return ChangeKind::MotionStarts;
    int up = 0;
    for (const auto& [i, weight] : found.places)
        up += weight > 0 ? 1 : -1;
    const bool wide = found.places.size() * 12 > luma.places;
    return wide && std::size_t(std::abs(up)) * 10 > found.places.size() * 9 ? ChangeKind::BrightnessStep
                                                                            : ChangeKind::Appears;
}

/// Something moved before the press as regularly as the display refreshes, and comes to rest.
std::optional<ResponseHint> motionStop(const Series& luma, std::int64_t press, std::int64_t end,
                                       const media::Rect& region, int side)
{
    const std::int64_t from = std::max(luma.first + 1, press - 120);
    if (press - from < 40)
        return {};
    // A block's own noise from frame to frame: the middle of what it does, for moving things pass it now and then only.
    std::vector<float> noise(luma.places), steps;
    for (std::size_t i = 0; i < luma.places; ++i) {
        steps.clear();
        for (std::int64_t t = from; t < press; ++t)
            steps.push_back(std::abs(luma.at(t)[i] - luma.at(t - 1)[i]));
        noise[i] = std::max(1.4826f * medianOf(steps), leastNoise);
    }
    const auto activity = [&](std::int64_t t, std::size_t* where) {
        float most = 0;
        for (int y = 0; y + 1 < luma.rows; ++y)
            for (int x = 0; x + 1 < luma.columns; ++x) {
                float sum = 0;
                for (const int v : {y, y + 1})
                    for (const int u : {x, x + 1}) {
                        const auto i = std::size_t(v * luma.columns + u);
                        const float step = (luma.at(t)[i] - luma.at(t - 1)[i]) / noise[i];
                        sum += step * step;
                    }
                if (sum > most) {
                    most = sum;
                    if (where)
                        *where = std::size_t(y * luma.columns + x);
                }
            }
        return std::sqrt(most);
    };
    std::vector<float> all;
    for (std::int64_t t = from; t < press; ++t)
        all.push_back(activity(t, nullptr));
    std::vector<float> sorted = all;
    std::ranges::sort(sorted);
    const float high = sorted[sorted.size() * 9 / 10], low = sorted[sorted.size() / 10];
    const float limit = std::max(8.f, 0.4f * high);
    if (high < 16 || low > limit)
        return {}; // nothing moves, or it can't be seen when it doesn't
    std::int64_t longest = 0, last = -1, count = 0;
    std::vector<float> gaps;
    for (std::size_t k = 0; k < all.size(); ++k)
        if (all[k] > limit) {
            if (last >= 0) {
                longest = std::max(longest, std::int64_t(k) - last);
                gaps.push_back(float(std::int64_t(k) - last));
            }
            last = std::int64_t(k);
            ++count;
        }
    constexpr std::int64_t longestRefresh = 24; // frames
    if (count < 6 || longest > longestRefresh || std::int64_t(all.size()) - last > longest)
        return {};
    const std::int64_t quiet = 3 * longest + 4;
    std::int64_t moved = from + last;
    std::size_t where = 0;
    activity(moved, &where);
    for (std::int64_t t = press; t < std::min(end, luma.end()); ++t) {
        std::size_t place = 0;
        if (activity(t, &place) > limit) {
            moved = t;
            where = place;
        } else if (t - moved > quiet) {
            const std::int64_t onset = moved + std::lround(medianOf(gaps));
            if (onset <= press)
                return {};
            ResponseHint hint;
            hint.frame = {onset};
            hint.strength = std::max(1.0, double(high / limit));
            hint.kind = ChangeKind::MotionStops;
            for (const std::size_t i :
                 {where, where + 1, where + std::size_t(luma.columns), where + std::size_t(luma.columns) + 1})
                hint.blocks.push_back(blockAt(region, side, luma.columns, i));
            return hint;
        }
    }
    return {};
}

} // namespace

std::optional<ResponseHint> screenChange(const media::Trace& screen, const media::Rect& region,
                                         timing::FrameNumber earliest, timing::FrameNumber pressFrame,
                                         timing::FrameNumber endFrame)
{
    const std::int64_t press = pressFrame.value;
    const std::int64_t end = std::min({endFrame.value, std::ssize(screen), press + mostSearched});
    if (press >= std::ssize(screen) || !screen[std::size_t(press)].blocks)
        return {};
    const media::StillBlocks& kind = *screen[std::size_t(press)].blocks;
    std::int64_t first = press;
    while (first > std::max(earliest.value, press - mostHistory) && screen[std::size_t(first - 1)].blocks
           && screen[std::size_t(first - 1)].blocks->alike(kind))
        --first;
    if (press - first < leastHistory || press + staysFor > end || kind.luma.empty())
        return {};

    const ScreenSeries s = seriesOf(screen, first, press, end);
    std::optional<ResponseHint> best;
    const auto offer = [&](ResponseHint hint) {
        // Of two that come together the first offered says more of what it is.
        constexpr std::int64_t together = 2;
        if (!best || hint.frame.value < best->frame.value - together)
            best = std::move(hint);
        else if (hint.frame.value < best->frame.value)
            best->frame = hint.frame;
    };
    if (const auto found = ChangeTest(s.common, s.alone, first, press, 0.1).find(end)) {
        ResponseHint hint;
        hint.frame = {found->onset};
        hint.strength = found->strength;
        hint.kind = ChangeKind::BrightnessStep;
        hint.blocks = {region};
        offer(std::move(hint));
    }
    if (const auto found = ChangeTest(s.luma, s.alone, first, press, double(leastNoise)).find(end)) {
        ResponseHint hint;
        hint.frame = {found->onset};
        hint.strength = found->strength;
        hint.kind = kindOf(s.plain, *found, s.plain.end());
        for (const auto& [i, weight] : found->places)
            hint.blocks.push_back(blockAt(region, kind.side, kind.columns, i));
        offer(std::move(hint));
    }
    if (!kind.colour.empty())
        if (const auto found = ChangeTest(s.colour, s.alone, first, press, double(leastNoise)).find(end)) {
            ResponseHint hint;
            hint.frame = {found->onset};
            hint.strength = found->strength;
            hint.kind = ChangeKind::Colour;
            const std::size_t count = kind.colour.size() / 2;
            for (const auto& [i, weight] : found->places)
                if (const media::Rect r = blockAt(region, 2 * kind.side, kind.colourColumns, i % count);
                    std::ranges::find(hint.blocks, r) == hint.blocks.end())
                    hint.blocks.push_back(r);
            offer(std::move(hint));
        }
    if (const auto stop = motionStop(s.plain, press, best ? best->frame.value : end, region, kind.side))
        offer(*stop);
    return best;
}

} // namespace reading
