#pragma once
#include <cstddef>
#include <limits>
#include <vector>

namespace timing {

/// All slopes b of lines y = a + b x that pass through every vertical bar [low, high] at x added so far, growing bar by
/// bar. The slopes form one interval, for each pair of bars i before j gives (low_j - high_i)/(x_j - x_i) <= b <=
/// (high_j - low_i)/(x_j - x_i) and nothing else bounds b. Only convex hulls are kept: n bars cost O(n log n).
class SlopeBounds {
public:
    explicit SlopeBounds(double lowest = -std::numeric_limits<double>::infinity(),
                         double highest = std::numeric_limits<double>::infinity())
        : m_lowest(lowest), m_highest(highest)
    {}

    /// Adds a bar to the right of all others, low <= high. False, and nothing changes, when no line passes through it
    /// too.
    bool add(double x, double low, double high);

    double lowest() const { return m_lowest; }
    double highest() const { return m_highest; }

private:
    struct Point {
        double x, y;
    };

    double m_lowest, m_highest;
    std::vector<Point> m_lows;  ///< upper hull of the bars' low ends
    std::vector<Point> m_highs; ///< lower hull of the bars' high ends
};

} // namespace timing
