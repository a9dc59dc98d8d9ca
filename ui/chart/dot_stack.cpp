#include "ui/chart/dot_stack.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

namespace ui {
namespace {

/// 0, -1, 1, -2, 2, ... steps: the rows nearest the middle first.
double rowOffset(int row, double diameter)
{
    const int steps = (row + 1) / 2;
    return (row % 2 == 1 ? -steps : steps) * diameter;
}

/// Dots of one value make a column about the middle.
void stackColumn(const std::vector<std::size_t>& members, double diameter, std::vector<double>& y)
{
    const double middle = (static_cast<double>(members.size()) - 1) / 2;
    for (std::size_t i = 0; i < members.size(); ++i)
        y[members[i]] = (static_cast<double>(i) - middle) * diameter;
}

/// Each dot takes the row nearest the middle in which it touches none before it.
void stackSpread(const std::vector<std::size_t>& members, const std::vector<double>& x, double diameter,
                 std::vector<double>& y)
{
    std::vector<double> lastInRow; // x of the latest dot of each row; members come in ascending x
    for (const std::size_t member : members) {
        std::size_t row = 0;
        while (row < lastInRow.size() && x[member] - lastInRow[row] < diameter)
            ++row;
        if (row == lastInRow.size())
            lastInRow.push_back(x[member]);
        lastInRow[row] = x[member];
        y[member] = rowOffset(static_cast<int>(row), diameter);
    }
}

} // namespace

std::vector<double> stackDots(const std::vector<double>& x, double diameter, double room)
{
    std::vector<std::size_t> order(x.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });

    std::vector<double> y(x.size(), 0);
    for (std::size_t begin = 0; begin < order.size();) {
        std::size_t end = begin + 1;
        while (end < order.size() && x[order[end]] - x[order[end - 1]] < diameter)
            ++end;
        const std::vector<std::size_t> members(order.begin() + static_cast<std::ptrdiff_t>(begin),
                                               order.begin() + static_cast<std::ptrdiff_t>(end));
        if (x[members.front()] == x[members.back()])
            stackColumn(members, diameter, y);
        else
            stackSpread(members, x, diameter, y);
        begin = end;
    }

    double furthest = 0;
    for (const double offset : y)
        furthest = std::max(furthest, std::abs(offset));
    if (furthest > room)
        for (double& offset : y)
            offset *= room / furthest;
    return y;
}

} // namespace ui
