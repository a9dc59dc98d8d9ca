#include "core/stats/rounding.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdio>

namespace stats {
namespace {

constexpr int mostDecimals = 17; // a double holds no more

std::string fixed(double value, int decimals)
{
    if (decimals < 0) {
        const double unit = std::pow(10.0, -decimals);
        value = std::round(value / unit) * unit;
    }
    char text[400]; // the longest double has 309 digits before the point
    const int length = std::snprintf(text, sizeof text, "%.*f", std::max(decimals, 0), value);
    return {text, static_cast<std::size_t>(length)};
}

} // namespace

int decimalsFor(double uncertainty)
{
    assert(std::isfinite(uncertainty) && uncertainty > 0);
    // Printing does the rounding to two digits, so that 0.0996 becomes 1.0e-01 and its exponent is the right one.
    char text[32];
    std::snprintf(text, sizeof text, "%.1e", uncertainty);
    const int exponent = std::atoi(std::find(text, text + sizeof text, 'e') + 1);
    return std::min(1 - exponent, mostDecimals);
}

std::string formatFixed(double value, int decimals)
{
    assert(std::isfinite(value) && decimals <= mostDecimals);
    std::string text = fixed(std::abs(value), decimals);
    const bool zero = text.find_first_not_of("0.") == std::string::npos;
    return value < 0 && !zero ? "\u2212" + text : text;
}

std::string formatSigned(double value, int decimals)
{
    const std::string text = formatFixed(value, decimals);
    const bool zero = text.find_first_not_of("0.") == std::string::npos;
    return value > 0 && !zero ? "+" + text : text;
}

Rounded roundTo(double value, double uncertainty)
{
    const int decimals = decimalsFor(uncertainty);
    return {formatFixed(value, decimals), formatFixed(uncertainty, decimals), decimals};
}

} // namespace stats
