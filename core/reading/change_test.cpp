#include "core/reading/change_test.h"

#include <algorithm>
#include <cmath>

namespace reading {
namespace {

constexpr double leastK = 9;        // see hints_screen.h
constexpr double overUsual = 2;     // times what is usual in the blocks around
constexpr int around = 2;           // blocks
constexpr double overAll = 1.5;     // times what is usual anywhere
constexpr float clipped = 30;       // z: one block alone can't say more
constexpr double blockShows = 4;    // z
constexpr double overNoise = 1.15;  // of what the same blocks came to before, for an onset
constexpr double onsetShare = 0.15; // of what the change comes to: the first tenth of a refresh is an onset
constexpr std::int64_t mostRest = 32, leastRest = 4; // frames before, that a stretch is compared with
constexpr std::int64_t settling = 8;                 // frames until a picture stored by itself is the new rest
// What follows is from the filmed scenes with even seeds (tests/core/reading/hints_table_test.cpp).
constexpr double leastStrength = 1.2; // times k; below it wrong ones outnumbered right ones
constexpr std::size_t fewPlaces = 2;
constexpr double sureStrength = 2;   // no doubt about it
constexpr double overWeak = 2.5;     // times a weak one before
constexpr double leastPlain = 5;     // levels: no codec leaves blocks' means that far off
constexpr double overCodec = 4;      // times k
constexpr double mostByCodec = 0.03; // of all blocks: a picture stored by itself changes many at once

} // namespace

UsualPast::UsualPast(const std::vector<Frames>& quiet)
{
    std::int64_t most = 0;
    for (const Frames& q : quiet)
        most = std::max(most, q.to - q.from);
    rest = std::clamp<std::int64_t>((most - stretch) / 8, leastRest, mostRest);
    length = std::clamp<std::int64_t>((most - stretch - rest) / 8, 4, 64);
    for (std::size_t k = 0; k < quiet.size(); ++k)
        for (std::int64_t start = quiet[k].to - stretch - length; start - rest >= quiet[k].from; start -= length)
            pieces.push_back({start, k});
}

float UsualPast::usual(const std::vector<float>& values, std::size_t without) const
{
    float most = -1, all = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (i == without)
            continue;
        all = std::max(all, values[i]);
        for (std::size_t j = i + 1; j < values.size() && pieces[j].stretch == pieces[i].stretch; ++j)
            if (j != without && pieces[i].start - pieces[j].start >= rest + stretch + length)
                most = std::max(most, std::min(values[i], values[j]));
    }
    return most < 0 ? all : most;
}

ChangeTest::ChangeTest(const Series& series, const std::vector<bool>& alone, const std::vector<Frames>& quiet,
                       const std::vector<std::vector<bool>>& held)
    : m_series(series), m_alone(alone), m_held(held), m_past(quiet), m_press(quiet.back().to)
{
    m_sums.resize(m_series.values.size() + m_series.places);
    for (std::size_t i = 0; i < m_series.values.size(); ++i)
        m_sums[i + m_series.places] = m_sums[i] + double(m_series.values[i]);
    // A picture stored by itself, where there is one only, is no habit: what follows it is the rest.
    m_restFrom = quiet.back().from;
    std::vector<std::int64_t> jumps;
    for (std::int64_t t = m_restFrom + 1; t < m_press; ++t)
        if (storedAlone(t))
            jumps.push_back(t);
    if (jumps.size() == 1 && m_press - jumps.front() > settling)
        m_restFrom = jumps.front();
    learn();
}

double ChangeTest::sum(std::size_t place, std::int64_t from, std::int64_t to) const
{
    return m_sums[std::size_t(to - m_series.first) * m_series.places + place]
           - m_sums[std::size_t(from - m_series.first) * m_series.places + place];
}

/// Of every place: the mean of the stretch from `t` on, less that of the frames before it, none before `since`.
void ChangeTest::step(std::int64_t t, std::int64_t since, Rows& out) const
{
    const std::int64_t from = std::max(t - m_past.rest, since);
    // A shorter rest is less certain.
    const double certain =
        std::sqrt((1.0 / stretch + 1.0 / double(m_past.rest)) / (1.0 / stretch + 1.0 / double(t - from)));
    out.resize(m_series.places);
    for (std::size_t i = 0; i < out.size(); ++i)
        out[i] = float(certain * (sum(i, t, t + stretch) / double(stretch) - sum(i, from, t) / double(t - from)));
}

/// Noise from all pieces; returns how far each usually stands out of the others: things that move on come to new places
/// there, too.
void ChangeTest::learn()
{
    const std::size_t n = m_series.places, pieces = m_past.pieces.size();
    std::vector<Rows> levels(pieces, Rows(n)); // of each piece: noise that it alone would give
    Rows now, apart, squares, furthest;
    for (std::size_t k = 0; k < pieces; ++k) {
        const std::int64_t start = m_past.pieces[k].start;
        squares.assign(n, 0);
        furthest.assign(n, 0);
        for (std::int64_t t = start; t < start + m_past.length; ++t) {
            step(t, t - m_past.rest, now);
            for (std::size_t i = 0; i < n; ++i) {
                squares[i] += now[i] * now[i];
                furthest[i] = std::max(furthest[i], std::abs(now[i]));
            }
        }
        for (std::size_t i = 0; i < n; ++i)
            levels[k][i] =
                std::max({std::sqrt(squares[i] / float(m_past.length)), furthest[i] / 3, m_series.leastNoise});
    }
    const std::size_t count = m_series.places / std::size_t(m_series.layers);
    Rows peaks(pieces);
    std::vector<Rows> peaksOf(count, Rows(pieces));
    for (std::size_t k = 0; k < pieces; ++k) {
        m_noise = noiseFrom(levels, pieces > 1 ? k : pieces);
        for (std::int64_t t = m_past.pieces[k].start; t < m_past.pieces[k].start + m_past.length; ++t) {
            step(t, t - m_past.rest, now);
            aroundEach(now, apart);
            peaks[k] = std::max(peaks[k], *std::ranges::max_element(apart));
            for (std::size_t i = 0; i < count; ++i)
                peaksOf[i][k] = std::max(peaksOf[i][k], apart[i]);
        }
    }
    m_noise = noiseFrom(levels, pieces);
    if (pieces == 0)
        return;
    const double everywhere = std::max(leastK, overAll * double(m_past.usual(peaks, pieces)));
    Rows usual(count);
    for (std::size_t i = 0; i < count; ++i)
        usual[i] = m_past.usual(peaksOf[i], pieces);
    m_k.resize(count);
    for (std::size_t i = 0; i < count; ++i) {
        float most = 0;
        m_series.around(i, around, [&](std::size_t near) { most = std::max(most, usual[near]); });
        m_k[i] = float(std::max(everywhere, overUsual * double(most)));
    }
}

/// Of each place, from all pieces but one. What is busy in one block may reach the next.
ChangeTest::Rows ChangeTest::noiseFrom(const std::vector<Rows>& levels, std::size_t without) const
{
    const std::size_t n = m_series.places;
    Rows own(n), noise(n);
    std::vector<float> some(levels.size());
    for (std::size_t i = 0; i < n && !levels.empty(); ++i) {
        for (std::size_t k = 0; k < levels.size(); ++k)
            some[k] = levels[k][i];
        own[i] = m_past.usual(some, without);
    }
    for (std::size_t i = 0; i < n; ++i) {
        float most = 0;
        m_series.around(i, 1, [&](std::size_t near) { most = std::max(most, own[near]); });
        noise[i] = std::max(own[i], most / 2);
    }
    return noise;
}

/// R of every place; layers count together.
void ChangeTest::aroundEach(const Rows& step, Rows& out) const
{
    const auto z = [&](std::size_t i) { return std::clamp(step[i] / m_noise[i], -clipped, clipped); };
    const auto columns = std::size_t(m_series.columns), rows = std::size_t(m_series.rows);
    Rows square(columns * rows), across(columns * rows);
    for (std::size_t layer = 0; layer < std::size_t(m_series.layers); ++layer)
        for (std::size_t i = 0; i < square.size(); ++i)
            square[i] += z(layer * square.size() + i) * z(layer * square.size() + i);
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
std::vector<std::pair<std::size_t, float>> ChangeTest::changedWith(std::size_t place, const Rows& z) const
{
    const std::size_t count = m_series.places / std::size_t(m_series.layers);
    std::vector<bool> seen(count);
    std::vector<std::size_t> open{place};
    seen[place] = true;
    std::vector<std::pair<std::size_t, float>> changed;
    while (!open.empty()) {
        const std::size_t at = open.back();
        open.pop_back();
        for (std::size_t layer = 0; layer < std::size_t(m_series.layers); ++layer)
            if (std::abs(z[layer * count + at]) > blockShows)
                changed.emplace_back(layer * count + at, z[layer * count + at]);
        m_series.around(at, 1, [&](std::size_t next) {
            bool shows = false;
            for (std::size_t layer = 0; layer < std::size_t(m_series.layers); ++layer)
                shows = shows || std::abs(z[layer * count + next]) > blockShows;
            if (shows && !seen[next]) {
                seen[next] = true;
                open.push_back(next);
            }
        });
    }
    return changed;
}

/// The first frame that shows what the frames of `late` come to.
std::optional<ChangeTest::Found> ChangeTest::onsetAt(std::int64_t alarmed, Frames late, std::size_t place,
                                                     std::int64_t since) const
{
    Found found;
    found.alarm = alarmed;
    const std::int64_t from = std::max(alarmed - m_past.rest, since);
    Rows z(m_series.places), rest(m_series.places);
    for (std::size_t i = 0; i < z.size(); ++i) {
        rest[i] = float(sum(i, from, alarmed) / double(alarmed - from));
        const double now = sum(i, late.from, late.to) / double(late.to - late.from);
        z[i] = std::clamp((float(now) - rest[i]) / m_noise[i], -clipped, clipped);
        found.shares += std::abs(z[i]) > blockShows ? 1 / double(z.size()) : 0;
    }
    found.places = changedWith(place, z);
    std::vector<float> by;
    for (const auto& [i, weight] : found.places)
        by.push_back(std::abs(float(sum(i, late.from, late.to) / double(late.to - late.from)) - rest[i]));
    found.levels = by.empty() ? 0 : double(medianOf(by));
    double norm = 0;
    for (const auto& [i, weight] : found.places)
        norm += double(weight) * weight;
    if (norm == 0)
        return {};
    const auto project = [&](std::int64_t t, const auto& level) {
        double sum = 0;
        for (const auto& [i, weight] : found.places)
            sum += double(weight) * double((m_series.at(t)[i] - level(i)) / m_noise[i]);
        return sum / std::sqrt(norm);
    };
    std::vector<float> most;
    for (const auto& [start, stretchOf] : m_past.pieces) {
        double peak = 0;
        const auto level = [&](std::size_t i) {
            return float(sum(i, start - m_past.rest, start)) / float(m_past.rest);
        };
        for (std::int64_t t = start; t < start + m_past.length; ++t)
            peak = std::max(peak, std::abs(project(t, level)));
        most.push_back(float(peak));
    }
    const auto before = [&](std::size_t i) { return rest[i]; };
    double level = 0;
    for (std::int64_t t = late.from; t < late.to; ++t)
        level += project(t, before) / double(late.to - late.from);
    const double limit = std::max(overNoise * double(m_past.usual(most, most.size())), onsetShare * level);
    for (std::int64_t t = alarmed; t < late.to && t + 2 < m_series.end(); ++t)
        if (project(t, before) > limit && (project(t + 1, before) > limit || project(t + 2, before) > limit)) {
            found.onset = t;
            return found;
        }
    return {};
}

bool ChangeTest::touch(const Found& a, const Found& b) const
{
    const std::size_t count = std::size_t(m_series.columns) * std::size_t(m_series.rows);
    const auto near = [&](std::size_t i, std::size_t j) {
        const auto columns = std::size_t(m_series.columns);
        return std::abs(int(i % count % columns) - int(j % count % columns)) <= 1
               && std::abs(int(i % count / columns) - int(j % count / columns)) <= 1;
    };
    return std::ranges::any_of(a.places, [&](const auto& one) {
        return std::ranges::any_of(b.places, [&](const auto& other) { return near(one.first, other.first); });
    });
}

std::optional<ChangeTest::Found> ChangeTest::find(std::int64_t end)
{
    end = std::min(end, m_series.end());
    if (m_past.pieces.empty())
        return {};
    std::int64_t since = m_restFrom;
    Rows now, apart;
    std::optional<Found> first; // that may have been it: what comes later elsewhere has to be far stronger
    bool firstEnough = false;
    std::optional<std::int64_t> suspect;
    const std::int64_t guard = 1; // the frame before the press may be partly lit
    for (std::int64_t t = m_press - guard; t + 2 * stretch <= end; ++t) {
        step(t, since, now);
        aroundEach(now, apart);
        const auto held = m_held.empty() ? nullptr : &m_held[std::size_t(t + stretch - 1 - m_series.first)];
        std::size_t best = apart.size();
        for (std::size_t i = 0; i < apart.size(); ++i)
            if (apart[i] > m_k[i] && !(held && (*held)[i])
                && (best == apart.size() || apart[i] * m_k[best] > apart[best] * m_k[i]))
                best = i;
        if (best == apart.size())
            continue;
        // The stretch holds the change at its end: what it comes to shows right after it, and what moves on later.
        std::optional<Found> found = onsetAt(t, {t + stretch - 1, t + stretch + 2}, best, since);
        if (const auto later = onsetAt(t, {t + stretch, t + 2 * stretch}, best, since);
            later && (!found || later->onset < found->onset))
            found = later;
        if (!found)
            continue;
        found->strength = 0;
        for (std::int64_t later = t; later <= std::min(found->onset + 1, end - stretch); ++later) {
            step(later, since, now);
            aroundEach(now, apart);
            found->strength = std::max(found->strength, double(apart[best] / m_k[best]));
        }
        // What comes with the lamp is its light; what is weak and comes with a picture stored by itself is the codec's.
        const bool byCodec = storedAlone(found->onset) && found->levels < leastPlain
                             && (found->strength < overCodec || found->shares > mostByCodec);
        if (found->onset > m_press && !byCodec) {
            const bool few = found->places.size() <= fewPlaces && m_series.places > 1 && found->levels < leastPlain;
            const bool enough = found->strength >= (few ? sureStrength : leastStrength);
            // What a picture stored by itself began goes on in those that follow; it may have hidden the change.
            if (enough && suspect && found->onset - *suspect <= settling)
                return {};
            const bool sure = enough && found->strength >= sureStrength;
            if (!first || (firstEnough ? touch(*first, *found) : found->onset - first->onset <= stretch)) {
                if (!first || (enough && !firstEnough)) {
                    first = found;
                    firstEnough = enough;
                }
                if (sure)
                    return first;
            } else if (enough && found->strength >= overWeak * first->strength) {
                return found;
            } else if (sure) {
                return firstEnough ? first : std::nullopt;
            }
            continue;
        }
        // Go on from there.
        if (byCodec && found->strength >= overCodec)
            suspect = found->onset;
        since = std::max(found->onset, m_press) + 1;
        t = since + leastRest - 1;
    }
    return firstEnough ? first : std::nullopt;
}

double ChangeTest::strengthAt(std::int64_t t) const
{
    if (m_k.empty() || t - leastRest < m_restFrom || t + stretch > m_series.end())
        return 0;
    Rows now, apart;
    step(t, m_restFrom, now);
    aroundEach(now, apart);
    double most = 0;
    for (std::size_t i = 0; i < apart.size(); ++i)
        most = std::max(most, double(apart[i] / m_k[i]));
    return most;
}

} // namespace reading
