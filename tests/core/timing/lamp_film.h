#pragma once
// A lamp before a camera, as a region's trace would show it, with known truth.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

struct LampFilm {
    double captureRate = 240;   ///< true
    double rateDrift = 0;       ///< relative change of the rate from first to last frame
    double lampFrequency = 9.7; ///< true
    double lampPhase = 0;       ///< 0..1 of a flash at the first frame
    double duty = 0.5;
    double exposure = 0.8;       ///< share of a frame, in (0, 1]
    double dark = 20, lit = 180; ///< levels
    double noise = 1.5;          ///< standard deviation, levels
    int frames = 1000;           ///< stored
    std::vector<int> lost;       ///< grid places not stored, ascending
    int repeat = 1;              ///< pictures of `repeat` grid places are all that of the first
    bool blend = false;          ///< every 2nd stored picture is the mean of its neighbours
    std::uint64_t seed = 1;
};

/// Levels one a stored frame.
inline std::vector<double> filmed(const LampFilm& film)
{
    std::mt19937_64 random(film.seed);
    std::normal_distribution<double> normal(0, film.noise > 0 ? film.noise : 1);
    // Time lit since the start, so that an exposure is a difference of two.
    const auto litUntil = [&](double t) {
        const double flashes = t * film.lampFrequency + film.lampPhase;
        const double whole = std::floor(flashes), rest = flashes - whole;
        return (whole * film.duty + std::min(rest, film.duty)) / film.lampFrequency;
    };
    std::vector<double> grid;
    const int places = film.frames + static_cast<int>(film.lost.size()) + 2;
    for (int k = 0; k < places; ++k) {
        const int shown = k / film.repeat * film.repeat;
        // The interval grows or shrinks evenly: t(k) = (k - drift/2 k^2/n) / rate keeps the mean near the rate.
        const auto time = [&](double place) {
            return (place - film.rateDrift / 2 * place * (place / places - 1)) / film.captureRate;
        };
        const double from = time(shown), to = time(shown + film.exposure);
        const double part = (litUntil(to) - litUntil(from)) / (to - from);
        grid.push_back(film.dark + (film.lit - film.dark) * part);
    }
    if (film.blend)
        for (int k = 1; k + 1 < places; k += 2)
            grid[k] = (grid[k - 1] + grid[k + 1]) / 2;
    std::vector<double> levels;
    std::size_t nextLost = 0;
    double last = 0;
    for (int k = 0; k < places && static_cast<int>(levels.size()) < film.frames; ++k) {
        if (nextLost < film.lost.size() && film.lost[nextLost] == k) {
            ++nextLost;
            continue;
        }
        const bool again = k % film.repeat != 0;
        const double level = film.noise > 0 ? grid[k] + normal(random) : grid[k];
        last = again ? last + (film.noise > 0 ? 0.02 * normal(random) : 0) : level;
        levels.push_back(last);
    }
    return levels;
}
