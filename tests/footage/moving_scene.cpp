#include "tests/footage/moving_scene.h"
#include <algorithm>
#include <cmath>
#include <numbers>

namespace footage {
namespace {

/// Smooth shades with a value of its own at every whole place, -1..1.
double shade(std::uint64_t seed, double x, double y)
{
    const auto corner = [&](double cx, double cy) {
        std::uint64_t h = seed * 0x9e3779b97f4a7c15u
                          + static_cast<std::uint64_t>(static_cast<std::int64_t>(cx)) * 0xbf58476d1ce4e5b9u
                          + static_cast<std::uint64_t>(static_cast<std::int64_t>(cy)) * 0x94d049bb133111ebu;
        h = (h ^ (h >> 29)) * 0xbf58476d1ce4e5b9u;
        return static_cast<double>((h ^ (h >> 32)) & 0xffff) / 32767.5 - 1;
    };
    const double left = std::floor(x), top = std::floor(y);
    const auto soft = [](double t) { return t * t * (3 - 2 * t); };
    const double u = soft(x - left), v = soft(y - top);
    const double upper = corner(left, top) * (1 - u) + corner(left + 1, top) * u;
    const double lower = corner(left, top + 1) * (1 - u) + corner(left + 1, top + 1) * u;
    return upper * (1 - v) + lower * v;
}

std::uint16_t code(double share) { return static_cast<std::uint16_t>(std::clamp(share, 0.0, 1.0) * 65535 + 0.5); }

/// To and fro between 0 and 1, evenly.
double toAndFro(double way)
{
    const double place = way / 2 - std::floor(way / 2);
    return place < 0.5 ? 2 * place : 2 - 2 * place;
}

} // namespace

void drawSway(const SceneSpec& scene, std::uint64_t seed, const RowExposure& exposure, int y, Frame& frame)
{
    const double down = static_cast<double>(y) / frame.height;
    double time = exposure.middle();
    if (scene.swayRefresh > 0) {
        const double refresh = 1 / scene.swayRefresh;
        time = (std::floor((time - scene.swayScan * down * refresh) / refresh + 0.37) - 0.37) * refresh;
    }
    const double moved = time * scene.swaySpeed;
    const auto inMiddle = [&](double place) { return std::abs(place - 0.5) <= scene.swayShare / 2; };
    for (int x = 0; x < frame.width; ++x) {
        const double offset = inMiddle(down) && inMiddle(static_cast<double>(x) / frame.width) ? moved : 0;
        const double across = static_cast<double>(x) / frame.width + offset,
                     along = down * frame.height / frame.width + 0.3 * offset;
        const double coarse = shade(seed, 9 * across, 9 * along), fine = shade(seed + 1, 31 * across, 31 * along);
        frame.row(0, y)[x] = code(0.45 + 0.22 * coarse + 0.14 * fine);
        frame.row(1, y)[x] = code(0.5 + 0.05 * coarse);
        frame.row(2, y)[x] = code(0.5 - 0.04 * fine);
    }
}

void drawHand(const SceneSpec& scene, const RowExposure& exposure, int y, Frame& frame)
{
    const double way = exposure.middle() * scene.handSpeed;
    const double middleX = (0.1 + 0.8 * toAndFro(way + 0.2)) * frame.width,
                 middleY = (0.72 + 0.12 * std::sin(5 * way)) * frame.height;
    const double halfWidth = 0.09 * frame.width, halfHeight = 0.16 * frame.height;
    const double off = (y + 0.5 - middleY) / halfHeight;
    if (std::abs(off) >= 1)
        return;
    const double half = halfWidth * std::sqrt(1 - off * off);
    for (int x = std::max(0, static_cast<int>(middleX - half) - 1);
         x < std::min(frame.width, static_cast<int>(middleX + half) + 2); ++x) {
        const double inside = std::clamp(half - std::abs(x + 0.5 - middleX) + 0.5, 0.0, 1.0);
        const double finger = 0.55 + 0.12 * std::sin((x - middleX) * 2 * std::numbers::pi / (0.045 * frame.width));
        const auto blend = [&](int plane, double share) {
            std::uint16_t& there = frame.row(plane, y)[x];
            there = code(there / 65535.0 * (1 - inside) + share * inside);
        };
        blend(0, finger);
        blend(1, 0.44);
        blend(2, 0.57);
    }
}

void dimRow(const SceneSpec& scene, const RowExposure& exposure, int y, Frame& frame)
{
    constexpr int samples = 16;
    double light = 0;
    for (int i = 0; i < samples; ++i) {
        const double time = exposure.start + (i + 0.5) / samples * exposure.length, turns = time * scene.rippleRate;
        const double wave =
            scene.rippleSquare ? (turns - std::floor(turns) < 0.5 ? 1 : -1) : std::sin(2 * std::numbers::pi * turns);
        light += std::max(0.0, (1 + scene.lightDrift * time) * (1 + scene.ripple * wave)) / samples;
    }
    const double gain = std::pow(light, 1 / 2.2); // display codes, near enough for light that changes
    for (int x = 0; x < frame.width; ++x) {
        frame.row(0, y)[x] = code(frame.row(0, y)[x] / 65535.0 * gain);
        for (int plane = 1; plane < 3; ++plane)
            frame.row(plane, y)[x] = code(0.5 + (frame.row(plane, y)[x] / 65535.0 - 0.5) * gain);
    }
}

} // namespace footage
