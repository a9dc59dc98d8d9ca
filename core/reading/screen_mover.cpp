#include "core/reading/screen_mover.h"

#include <algorithm>
#include <cmath>

namespace reading {
namespace {

constexpr std::int64_t longestRefresh = 24; // frames

} // namespace

/// The two by two places whose squares come to most.
ScreenMover::Most ScreenMover::mostOf(const std::vector<float>& squares) const
{
    Most found;
    const auto columns = std::size_t(m_luma.columns);
    for (int y = 0; y + 1 < m_luma.rows; ++y)
        for (int x = 0; x + 1 < m_luma.columns; ++x) {
            const std::size_t i = std::size_t(y) * columns + std::size_t(x);
            const float sum = squares[i] + squares[i + 1] + squares[i + columns] + squares[i + columns + 1];
            if (sum > found.value)
                found = {sum, i};
        }
    found.value = std::sqrt(found.value);
    return found;
}

ScreenMover::Most ScreenMover::most(std::int64_t t) const
{
    std::vector<float> squares(m_luma.places);
    for (std::size_t i = 0; i < squares.size(); ++i)
        squares[i] = step(t, i) * step(t, i);
    return mostOf(squares);
}

std::vector<float> ScreenMover::difference(std::int64_t t) const
{
    std::vector<float> before = meanOf(m_luma, t - few, t), after = meanOf(m_luma, t, t + few);
    for (std::size_t i = 0; i < after.size(); ++i)
        after[i] -= before[i];
    return after;
}

/// From what the places do in the quiet stretches. What moves passes a place now and then only: from frame to frame the
/// middle is noise, over a few frames the lower quarter.
void ScreenMover::learn(const std::vector<Frames>& quiet)
{
    constexpr float middle = 1.4826f, quarter = 3.14f; // times that: the standard deviation of normal noise
    std::vector<std::vector<float>> differences;
    for (const Frames& q : quiet)
        for (std::int64_t t = q.from + few; t + few <= q.to; t += 2)
            differences.push_back(difference(t));
    std::vector<float> some;
    for (std::size_t i = 0; i < m_luma.places; ++i) {
        some.clear();
        for (const Frames& q : quiet)
            for (std::int64_t t = q.from + 1; t < q.to; ++t)
                some.push_back(std::abs(m_luma.at(t)[i] - m_luma.at(t - 1)[i]));
        m_noise.push_back(std::max(middle * medianOf(some), m_luma.leastNoise));
        some.clear();
        for (const std::vector<float>& d : differences)
            some.push_back(std::abs(d[i]));
        const auto place = some.begin() + std::ptrdiff_t(some.size() / 4);
        std::ranges::nth_element(some, place);
        m_driftNoise.push_back(quarter * *place);
    }
    std::vector<float> all = m_driftNoise;
    const float least = std::max(medianOf(all), m_luma.leastNoise);
    for (float& noise : m_driftNoise)
        noise = std::max(noise, least);
}

/// How far the means of a few frames from `t` on lie from those of as many before, in the two by two places that differ
/// most. Steps of what moves add up; those of flicker, and of what a codec makes of it, don't.
ScreenMover::Most ScreenMover::drift(std::int64_t t) const
{
    constexpr float most = 30; // z
    std::vector<float> squares = difference(t);
    for (std::size_t i = 0; i < squares.size(); ++i) {
        const float z = std::min(most, std::abs(squares[i]) / m_driftNoise[i]);
        squares[i] = z * z;
    }
    return mostOf(squares);
}

/// After the press it comes to places next to those it has been to.
void ScreenMover::follow(const Frames& past, std::int64_t end, float moves)
{
    constexpr std::int64_t recent = 40;               // frames before the press: where it is by then
    const float shows = std::max(6.f, 0.35f * moves); // z
    constexpr int around = 2;                         // blocks
    m_places.assign(std::size_t(end - m_luma.first), std::vector<bool>(m_luma.places));
    std::vector<bool> been(m_luma.places), near = been;
    for (std::int64_t t = std::max(past.from + few, past.to - recent); t < end; ++t) {
        if (t + few <= end) {
            const std::vector<float> d = difference(t);
            for (std::size_t i = 0; i < d.size(); ++i)
                if (std::max(std::abs(d[i]) / m_driftNoise[i], std::abs(step(t, i))) > shows
                    && (t < past.to || near[i]))
                    m_luma.around(i, around, [&](std::size_t reached) { been[reached] = true; });
        }
        if (t < past.to && 3 * std::ranges::count(been, true) > std::ssize(been))
            return m_places.clear(); // all of the screen moves, and what is new shows by how much
        m_places[std::size_t(t - m_luma.first)] = near = been;
    }
}

ScreenMover::ScreenMover(const Series& luma, const std::vector<Frames>& quiet, std::int64_t end) : m_luma(luma)
{
    constexpr std::int64_t watched = 160, leastWatched = 40; // frames
    constexpr std::int64_t just = 24;                        // frames before the press in which it has to move
    constexpr float surely = 10;                             // drift; where nothing moved it came to 8
    const Frames past{std::max({luma.first + 1, quiet.back().from, quiet.back().to - watched}), quiet.back().to};
    if (past.to - past.from < leastWatched)
        return;
    learn(quiet);
    std::vector<float> drifts;
    for (std::int64_t t = std::max(past.from + few, past.to - few - just); t + few <= past.to; ++t)
        drifts.push_back(drift(t).value);
    std::ranges::sort(drifts);
    const float moves = drifts[drifts.size() / 8];
    if (moves < surely)
        return;
    follow(past, end, moves);
    m_stop = lastRefresh(past, end, std::min(moves / 2, drifts.front()));
    if (!m_stop)
        m_stop = runsOut(past, end, medianOf(drifts));
    if (m_stop)
        m_stop->strength = double(moves / surely);
}

/// When each refresh moves it: in a frame or a few, the first of them. `past`: before the press.
std::optional<ScreenMover::Beat> ScreenMover::beatOf(const std::vector<Most>& all, const Frames& past, float limit)
{
    constexpr std::int64_t leastRefreshes = 5;
    std::vector<std::int64_t> active;
    for (std::size_t k = 0; k < all.size(); ++k)
        if (all[k].value > limit)
            active.push_back(past.from + std::int64_t(k));
    const std::int64_t known = std::ranges::lower_bound(active, past.to) - active.begin();
    if (known < leastRefreshes)
        return {};
    std::vector<float> gaps;
    for (std::int64_t k = 1; k < known; ++k)
        gaps.push_back(float(active[std::size_t(k)] - active[std::size_t(k - 1)]));
    std::ranges::sort(gaps);
    const float longest = gaps[gaps.size() - 1 - gaps.size() / 12]; // one in a dozen may be too weak to be seen
    Beat beat;
    for (std::size_t k = 0; k < active.size(); ++k)
        if (k == 0 || longest < 3 || float(active[k] - active[k - 1]) > longest / 2)
            beat.starts.push_back(active[k]);
    std::vector<float> refreshes;
    for (std::size_t k = 1; k < beat.starts.size() && beat.starts[k] < past.to; ++k)
        refreshes.push_back(float(beat.starts[k] - beat.starts[k - 1]));
    if (std::ssize(refreshes) < leastRefreshes - 1)
        return {};
    const float usual = medianOf(refreshes);
    int counted = 0;
    for (const float r : refreshes)
        if (std::abs(r - usual) <= std::max(1.f, 0.25f * usual)) {
            beat.refresh += double(r);
            ++counted;
        }
    beat.refresh /= counted;
    beat.pause = std::int64_t(3 * std::max(double(longest), beat.refresh)) + 3;
    if (beat.refresh > longestRefresh || counted * 3 < std::ssize(refreshes) * 2
        || past.to - active[std::size_t(known - 1)] > beat.pause)
        return {};
    return beat;
}

/// `still`: the drift below which it doesn't move.
std::optional<ScreenMover::Stop> ScreenMover::lastRefresh(const Frames& past, std::int64_t end, float still) const
{
    constexpr float plainStep = 12; // z of a refresh that moves it: below it too many aren't seen
    constexpr float leastDrift = 6; // what noise comes to
    std::vector<Most> all;          // from `past` on
    for (std::int64_t t = past.from; t < end; ++t)
        all.push_back(most(t));
    std::vector<float> before;
    for (std::int64_t t = past.from; t < past.to; ++t)
        before.push_back(all[std::size_t(t - past.from)].value);
    std::ranges::sort(before);
    const float high = before[before.size() * 9 / 10], low = before[before.size() / 10];
    const float limit = std::max(8.f, 0.35f * high);
    if (high < plainStep || low > limit)
        return {}; // it can't be seen when it moves, or when it doesn't
    const std::optional<Beat> beat = beatOf(all, past, limit);
    if (!beat)
        return {};
    // What else flickers there isn't as strong as a refresh that moves it.
    struct Refresh {
        std::int64_t start;
        Most most;
    };
    std::vector<Refresh> moved;
    std::vector<float> peaks;
    for (std::size_t k = 0; k < beat->starts.size(); ++k) {
        Refresh r{beat->starts[k], {}};
        const std::int64_t next = k + 1 < beat->starts.size() ? beat->starts[k + 1] : end;
        for (std::int64_t t = r.start; t < std::min(next, r.start + std::lround(beat->refresh) + 1); ++t)
            if (all[std::size_t(t - past.from)].value > r.most.value)
                r.most = all[std::size_t(t - past.from)];
        moved.push_back(r);
        if (r.start < past.to)
            peaks.push_back(r.most.value);
    }
    std::ranges::sort(peaks);
    const float plain = std::max(limit, 0.6f * peaks[peaks.size() / 5]);
    std::erase_if(moved, [&](const Refresh& r) { return r.most.value < plain; });
    auto last = std::ranges::find_if(moved, [&](const Refresh& r) { return r.start >= past.to; });
    if (last == moved.begin())
        return {};
    // Where steps are too weak to be seen, it may have moved on all the same.
    const auto goesOn = [&](std::int64_t since, std::int64_t until) {
        for (std::int64_t t = since; t <= until && t + few <= end; ++t)
            if (drift(t).value < std::max(leastDrift, still))
                return false;
        return true;
    };
    const auto isNear = [&](std::size_t one, std::size_t other) {
        constexpr int reach = 4; // blocks: it is that large, and its edges take turns
        const auto columns = std::size_t(m_luma.columns);
        return std::abs(int(one % columns) - int(other % columns)) <= reach
               && std::abs(int(one / columns) - int(other / columns)) <= reach;
    };
    auto next = last--;
    for (; next != moved.end(); ++next) {
        if (!isNear(next->most.place, last->most.place))
            continue;
        if (double(next->start - last->start) >= 2.5 * beat->refresh + 1 && !goesOn(last->start, next->start))
            break;
        last = next;
    }
    const std::int64_t frame = std::lround(double(last->start) + beat->refresh);
    if (frame <= past.to || frame + beat->pause >= end)
        return {};
    return Stop{frame, 1, last->most.place};
}

/// The drift's last frames, squared twice less what noise comes to, are a line: what comes to rest within the few
/// frames before `t` has gone on for less and less of them, so that their means differ by the square of what is left.
/// Where the line gets to nothing, the few frames are over. `usual`: the drift before the press.
std::optional<ScreenMover::Stop> ScreenMover::runsOut(const Frames& past, std::int64_t end, float usual) const
{
    constexpr double noise = 5; // of the drift where nothing moves
    const float calm = std::max(7.f, usual / 5);
    const double betweenRefreshes = 1; // it rests half a refresh before it would have moved on: 1 to 3 frames
    std::int64_t slows = 0, rests = 0; // first frames of it
    std::size_t place = 0;
    for (std::int64_t t = past.to - few; t + few <= end; ++t) {
        const Most d = drift(t);
        if (d.value >= usual / 2) {
            place = d.place;
            slows = t + 1;
        }
        if (d.value >= calm)
            rests = t + 1;
        if (slows == 0 || rests - slows > few)
            return {}; // it fades, or something else goes on
        if (t - rests < longestRefresh)
            continue;
        double n = 0, meanT = 0, meanWay = 0, both = 0, square = 0;
        const auto way = [&](std::int64_t at) {
            return std::sqrt(std::sqrt(std::max(std::pow(double(drift(at).value), 2) - noise * noise, 0.0)));
        };
        const std::int64_t from = std::max(slows - 2, past.to - few);
        for (std::int64_t at = from; at < rests; ++at, ++n) {
            meanT += double(at);
            meanWay += way(at);
        }
        if (n < 3)
            return {};
        meanT /= n;
        meanWay /= n;
        for (std::int64_t at = from; at < rests; ++at) {
            both += (double(at) - meanT) * (way(at) - meanWay);
            square += std::pow(double(at) - meanT, 2);
        }
        if (both >= 0)
            return {};
        const std::int64_t frame = std::lround(meanT - meanWay * square / both - double(few) + betweenRefreshes);
        if (frame <= past.to)
            return {};
        return Stop{frame, 1, place};
    }
    return {};
}

} // namespace reading
