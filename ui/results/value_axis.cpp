#include "ui/results/value_axis.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>

namespace ui {

ValueAxis valueAxis(double least, double most, int ticks)
{
    const double span = most > least ? most - least : std::max(1.0, std::abs(least) / 10);
    const double rough = span / ticks;
    const double power = std::pow(10, std::floor(std::log10(rough)));
    double step = 10 * power;
    for (const double factor : {1.0, 2.0, 5.0})
        if (factor * power >= rough) {
            step = factor * power;
            break;
        }
    ValueAxis axis{std::floor(least / step) * step, std::ceil(most / step) * step, step};
    if (axis.to <= axis.from) {
        axis.from -= step;
        axis.to += step;
    }
    return axis;
}

std::vector<double> ValueAxis::ticks() const
{
    std::vector<double> places;
    const auto count = static_cast<int>(std::lround((to - from) / step));
    for (int i = 0; i <= count; ++i)
        places.push_back(from + i * step);
    return places;
}

QString ValueAxis::label(double tick) const
{
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
    return QString::fromStdString(stats::formatFixed(tick, decimals));
}

} // namespace ui
