#include "core/reading/screen_mover.h"

#include <algorithm>
#include <cmath>

namespace reading {

ScreenMover::Most ScreenMover::most(std::int64_t t) const
{
    Most found;
    for (int y = 0; y + 1 < m_luma.rows; ++y)
        for (int x = 0; x + 1 < m_luma.columns; ++x) {
            float sum = 0;
            for (const int v : {y, y + 1})
                for (const int u : {x, x + 1}) {
                    const float z = step(t, std::size_t(v * m_luma.columns + u));
                    sum += z * z;
                }
            if (sum > found.value)
                found = {sum, std::size_t(y * m_luma.columns + x)};
        }
    found.value = std::sqrt(found.value);
    return found;
}

/// After the press it comes to places next to those it has been to.
void ScreenMover::follow(std::int64_t from, std::int64_t press, std::int64_t end)
{
    constexpr float shows = 6; // z
    constexpr int around = 2;  // blocks
    m_places.assign(std::size_t(end - m_luma.first), std::vector<bool>(m_luma.places));
    std::vector<bool> been(m_luma.places), near = been;
    for (std::int64_t t = from; t < end; ++t) {
        for (int y = 0; y < m_luma.rows; ++y)
            for (int x = 0; x < m_luma.columns; ++x) {
                const auto i = std::size_t(y * m_luma.columns + x);
                if (std::abs(step(t, i)) <= shows || (t >= press && !near[i]))
                    continue;
                for (int v = std::max(0, y - around); v <= std::min(m_luma.rows - 1, y + around); ++v)
                    for (int u = std::max(0, x - around); u <= std::min(m_luma.columns - 1, x + around); ++u)
                        been[std::size_t(v * m_luma.columns + u)] = true;
            }
        if (t < press && 3 * std::ranges::count(been, true) > std::ssize(been))
            return m_places.clear(); // all of the screen moves, and what is new shows by how much
        m_places[std::size_t(t - m_luma.first)] = near = been;
    }
}

ScreenMover::ScreenMover(const Series& luma, const Frames& quiet, std::int64_t end) : m_luma(luma)
{
    constexpr std::int64_t watched = 160, leastWatched = 40; // frames
    constexpr std::int64_t longestRefresh = 24;              // frames
    constexpr std::int64_t leastRefreshes = 5;
    constexpr float surely = 12;  // RMS z of two by two blocks
    constexpr double least = 1.4; // times that; below it wrong stops outnumbered right ones on the filmed scenes
    const std::int64_t press = quiet.to, from = std::max({luma.first + 1, quiet.from, press - watched});
    if (press - from < leastWatched)
        return;
    // The middle of what a block does from frame to frame: moving things pass it now and then only.
    m_noise.resize(luma.places);
    std::vector<float> steps;
    for (std::size_t i = 0; i < luma.places; ++i) {
        steps.clear();
        for (std::int64_t t = from; t < press; ++t)
            steps.push_back(std::abs(luma.at(t)[i] - luma.at(t - 1)[i]));
        m_noise[i] = std::max(1.4826f * medianOf(steps), leastNoise);
    }
    std::vector<Most> all; // from `from` on
    for (std::int64_t t = from; t < end; ++t)
        all.push_back(most(t));
    std::vector<float> before;
    for (std::int64_t t = from; t < press; ++t)
        before.push_back(all[std::size_t(t - from)].value);
    std::ranges::sort(before);
    const float high = before[before.size() * 9 / 10], low = before[before.size() / 10];
    const float limit = std::max(8.f, 0.35f * high);
    if (high < 14)
        return;
    // Each refresh moves it once, in a frame or a few: where these begin.
    std::vector<std::int64_t> active;
    for (std::int64_t t = from; t < end; ++t)
        if (all[std::size_t(t - from)].value > limit)
            active.push_back(t);
    const std::int64_t known = std::ranges::lower_bound(active, press) - active.begin();
    if (known < leastRefreshes)
        return;
    std::vector<float> gaps;
    for (std::int64_t k = 1; k < known; ++k)
        gaps.push_back(float(active[std::size_t(k)] - active[std::size_t(k - 1)]));
    std::ranges::sort(gaps);
    const float longest = gaps[gaps.size() - 1 - gaps.size() / 12]; // one in a dozen may be too weak to be seen
    std::vector<std::int64_t> starts;
    for (const std::int64_t t : active)
        if (starts.empty() || longest < 3
            || float(t - active[std::size_t(std::ranges::lower_bound(active, t) - active.begin() - 1)]) > longest / 2)
            starts.push_back(t);
    std::vector<float> refreshes;
    for (std::size_t k = 1; k < starts.size() && starts[k] < press; ++k)
        refreshes.push_back(float(starts[k] - starts[k - 1]));
    if (std::ssize(refreshes) < leastRefreshes - 1)
        return;
    double refresh = 0;
    const float usual = medianOf(refreshes);
    int counted = 0;
    for (const float r : refreshes)
        if (std::abs(r - usual) <= std::max(1.f, 0.25f * usual)) {
            refresh += double(r);
            ++counted;
        }
    refresh /= counted;
    const std::int64_t pause = std::int64_t(3 * std::max(double(longest), refresh)) + 3;
    if (refresh > longestRefresh || counted * 3 < std::ssize(refreshes) * 2
        || press - active[std::size_t(known - 1)] > pause)
        return;
    follow(from, press, end);
    if (low > limit)
        return; // it can't be seen when it doesn't
    // What else flickers there isn't as strong as a refresh that moves it.
    struct Refresh {
        std::int64_t start;
        Most most;
    };
    std::vector<Refresh> moved;
    std::vector<float> peaks;
    for (std::size_t k = 0; k < starts.size(); ++k) {
        Refresh r{starts[k], {}};
        const std::int64_t next = k + 1 < starts.size() ? starts[k + 1] : end;
        for (std::int64_t t = r.start; t < std::min(next, r.start + std::lround(refresh) + 1); ++t)
            if (all[std::size_t(t - from)].value > r.most.value)
                r.most = all[std::size_t(t - from)];
        moved.push_back(r);
        if (r.start < press)
            peaks.push_back(r.most.value);
    }
    std::ranges::sort(peaks);
    const float plain = std::max(limit, 0.6f * peaks[peaks.size() / 5]);
    std::erase_if(moved, [&](const Refresh& r) { return r.most.value < plain; });
    auto last = std::ranges::find_if(moved, [&](const Refresh& r) { return r.start >= press; });
    if (last == moved.begin())
        return;
    for (; last != moved.end() && double(last->start - std::prev(last)->start) < 2.5 * refresh + 1;)
        ++last;
    --last;
    const std::int64_t frame = std::lround(double(last->start) + refresh);
    const double strength = double(high / surely);
    if (frame > press && frame + pause < end && strength >= least)
        m_stop = Stop{frame, strength, last->most.place};
}

} // namespace reading
