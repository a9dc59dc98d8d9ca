#pragma once // for sentences of core/timing
#include <array>
#include <cstdio>
#include <string>

namespace timing {

/// Six significant digits at most, "959.94", unless another format for one number is asked for.
inline std::string shortNumber(double value, const char* format = "%.6g")
{
    std::array<char, 48> text{};
    std::snprintf(text.data(), text.size(), format, value);
    return text.data();
}

} // namespace timing
