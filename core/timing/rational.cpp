#include "core/timing/rational.h"

#include <cassert>
#include <numeric>
#include <stdexcept>

namespace timing {
namespace {

__extension__ typedef __int128 Wide; // products of two 64-bit values

Wide magnitude(Wide v) { return v < 0 ? -v : v; }

Wide commonDivisor(Wide a, Wide b)
{
    a = magnitude(a);
    b = magnitude(b);
    while (b != 0) {
        const Wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

Rational reduced(Wide numerator, Wide denominator)
{
    const Wide divisor = commonDivisor(numerator, denominator);
    if (divisor > 1) {
        numerator /= divisor;
        denominator /= divisor;
    }
    constexpr Wide limit = INT64_MAX;
    if (magnitude(numerator) > limit || magnitude(denominator) > limit)
        throw std::overflow_error("a ratio doesn't fit 64 bits");
    return {static_cast<std::int64_t>(numerator), static_cast<std::int64_t>(denominator)};
}

} // namespace

Rational::Rational(std::int64_t numerator, std::int64_t denominator)
{
    assert(denominator != 0 && numerator != INT64_MIN && denominator != INT64_MIN);
    const std::int64_t divisor = std::gcd(numerator, denominator);
    const std::int64_t sign = denominator < 0 ? -1 : 1;
    m_numerator = sign * numerator / divisor;
    m_denominator = sign * denominator / divisor;
}

double Rational::toDouble() const { return static_cast<double>(m_numerator) / static_cast<double>(m_denominator); }

std::string Rational::toString() const
{
    if (m_denominator == 1)
        return std::to_string(m_numerator);
    return std::to_string(m_numerator) + "/" + std::to_string(m_denominator);
}

std::strong_ordering Rational::operator<=>(const Rational& other) const
{
    const Wide left = Wide(m_numerator) * other.m_denominator;
    const Wide right = Wide(other.m_numerator) * m_denominator;
    return left < right   ? std::strong_ordering::less
           : left > right ? std::strong_ordering::greater
                          : std::strong_ordering::equal;
}

Rational operator+(const Rational& a, const Rational& b)
{
    return reduced(Wide(a.numerator()) * b.denominator() + Wide(b.numerator()) * a.denominator(),
                   Wide(a.denominator()) * b.denominator());
}

Rational operator-(const Rational& a, const Rational& b)
{
    return reduced(Wide(a.numerator()) * b.denominator() - Wide(b.numerator()) * a.denominator(),
                   Wide(a.denominator()) * b.denominator());
}

Rational operator*(const Rational& a, const Rational& b)
{
    return reduced(Wide(a.numerator()) * b.numerator(), Wide(a.denominator()) * b.denominator());
}

Rational operator/(const Rational& a, const Rational& b)
{
    assert(b.numerator() != 0);
    const int sign = b.numerator() < 0 ? -1 : 1;
    return reduced(Wide(a.numerator()) * b.denominator() * sign, Wide(a.denominator()) * b.numerator() * sign);
}

} // namespace timing
