#pragma once // for sentences of core/timing
#include <array>
#include <cstdio>
#include <string>

namespace timing {

/// Six significant digits at most: "959.94".
inline std::string shortNumber(double value)
{
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%.6g", value);
    return text.data();
}

} // namespace timing
