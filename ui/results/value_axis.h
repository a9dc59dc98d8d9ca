#pragma once
#include <QString>
#include <vector>

namespace ui {

/// An axis with ticks at 1, 2 or 5 times a power of ten that holds everything it is asked to.
struct ValueAxis {
    double from = 0, to = 1, step = 1; ///< from < to, both multiples of step

    std::vector<double> ticks() const;
    QString label(double tick) const; ///< as many decimals as the step needs, minus sign U+2212
    /// Place of `value` between `left` (stands for `from`) and `right`.
    double place(double value, double left, double right) const
    {
        return left + (right - left) * (value - from) / (to - from);
    }
};

/// About `ticks` ticks (>= 2) over `least` to `most`; equal values get one step on either side.
ValueAxis valueAxis(double least, double most, int ticks);

} // namespace ui
