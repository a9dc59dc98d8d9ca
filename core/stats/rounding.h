#pragma once
#include <string>

namespace stats {

/// A figure for people: digits as the uncertainty supports them, minus sign U+2212, decimal point, no grouping.
struct Rounded {
    std::string value;       ///< "92.4"
    std::string uncertainty; ///< "1.2": two significant digits
    int decimals = 0;        ///< of both; negative means rounded to tens, hundreds, ...
};

/// Rounds both to two significant digits of `uncertainty` (after rounding it: 0.0996 is 0.10). Preconditions: finite,
/// `uncertainty` > 0. Values that belong together (ends of an interval) are rounded by the same uncertainty.
Rounded roundTo(double value, double uncertainty);

/// Decimals that two significant digits of `uncertainty` need; negative for tens and more.
int decimalsFor(double uncertainty);

/// "−3.20" for (-3.2, 2); a value that rounds to zero has no sign. `decimals` < 0 rounds to tens, hundreds, ...
std::string formatFixed(double value, int decimals);
/// As formatFixed with "+" before positive values.
std::string formatSigned(double value, int decimals);

} // namespace stats
