#include "core/timing/slope_bounds.h"

#include <algorithm>
#include <cassert>

namespace timing {
namespace {

/// Positive when c lies left of the line from a to b.
template <class Point> double turn(const Point& a, const Point& b, const Point& c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/// Smallest of slope(p, q) * sign over a hull left of q. Along a hull that slope falls, then rises.
template <class Point> double extremeSlope(const std::vector<Point>& hull, const Point& q, double sign)
{
    const auto slope = [&](std::size_t i) { return sign * (q.y - hull[i].y) / (q.x - hull[i].x); };
    std::size_t first = 0, last = hull.size() - 1;
    while (first < last) {
        const std::size_t middle = first + (last - first) / 2;
        if (slope(middle + 1) < slope(middle))
            first = middle + 1;
        else
            last = middle;
    }
    return sign * slope(first);
}

/// Appends to a hull that only turns one way: `sign` 1 keeps the upper hull, -1 the lower.
template <class Point> void extend(std::vector<Point>& hull, const Point& p, double sign)
{
    while (hull.size() >= 2 && sign * turn(hull[hull.size() - 2], hull.back(), p) >= 0)
        hull.pop_back();
    hull.push_back(p);
}

} // namespace

bool SlopeBounds::add(double x, double low, double high)
{
    assert(low <= high && (m_lows.empty() || x > m_lows.back().x));
    double lowest = m_lowest, highest = m_highest;
    if (!m_lows.empty()) {
        lowest = std::max(lowest, extremeSlope(m_highs, Point{x, low}, -1));
        highest = std::min(highest, extremeSlope(m_lows, Point{x, high}, 1));
    }
    if (lowest > highest)
        return false;
    m_lowest = lowest;
    m_highest = highest;
    extend(m_lows, Point{x, low}, 1);
    extend(m_highs, Point{x, high}, -1);
    return true;
}

} // namespace timing
