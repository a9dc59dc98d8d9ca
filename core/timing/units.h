#pragma once
#include <chrono>
#include <compare>
#include <cstdint>

namespace timing {

/// A distance between two places in a capture, in camera frames. May be negative.
struct FrameCount {
    std::int64_t value = 0;
    auto operator<=>(const FrameCount&) const = default;
};

/// A place in a capture: presentation order, from 0.
struct FrameNumber {
    std::int64_t value = 0;
    auto operator<=>(const FrameNumber&) const = default;
};

constexpr FrameCount operator-(FrameNumber a, FrameNumber b) { return {a.value - b.value}; }
constexpr FrameNumber operator+(FrameNumber a, FrameCount d) { return {a.value + d.value}; }
constexpr FrameNumber operator-(FrameNumber a, FrameCount d) { return {a.value - d.value}; }
constexpr FrameCount operator+(FrameCount a, FrameCount b) { return {a.value + b.value}; }
constexpr FrameCount operator-(FrameCount a, FrameCount b) { return {a.value - b.value}; }
constexpr FrameCount operator-(FrameCount a) { return {-a.value}; }

using Seconds = std::chrono::duration<double>;
using Milliseconds = std::chrono::duration<double, std::milli>;

} // namespace timing
