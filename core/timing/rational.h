#pragma once
#include <compare>
#include <cstdint>
#include <string>

namespace timing {

/// Exact ratio in lowest terms, denominator positive. Stamps are seconds, rates are per second.
class Rational {
public:
    constexpr Rational() = default;
    /// Precondition: `denominator` is not 0 and neither value is INT64_MIN.
    Rational(std::int64_t numerator, std::int64_t denominator = 1);

    std::int64_t numerator() const { return m_numerator; }
    std::int64_t denominator() const { return m_denominator; }
    double toDouble() const;
    /// "240000/1001", or "30" when the denominator is 1.
    std::string toString() const;

    bool operator==(const Rational&) const = default;
    std::strong_ordering operator<=>(const Rational& other) const;

private:
    std::int64_t m_numerator = 0;
    std::int64_t m_denominator = 1;
};

/// Exact; throws std::overflow_error when the result doesn't fit 64 bits.
Rational operator+(const Rational& a, const Rational& b);
Rational operator-(const Rational& a, const Rational& b);
Rational operator*(const Rational& a, const Rational& b);
/// Precondition: `b` is not 0.
Rational operator/(const Rational& a, const Rational& b);

/// Frames a second. Which rate it is (capture or playback) is in the name of the variable, always.
using FrameRate = Rational;

} // namespace timing
