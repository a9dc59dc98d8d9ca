#pragma once
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

namespace footage {

/// Seeded numbers that don't depend on the standard library's distributions, which differ from one to the next.
class Random {
public:
    /// One spec seed serves several purposes; `purpose` keeps their sequences apart.
    Random(std::uint64_t seed, std::uint64_t purpose) : m_engine(mix(seed * 0x9e3779b97f4a7c15u + purpose)) {}

    double uniform() { return static_cast<double>(m_engine() >> 11) * 0x1.0p-53; } ///< [0, 1)
    double uniform(double low, double high) { return low + (high - low) * uniform(); }
    double normal() ///< mean 0, standard deviation 1
    {
        const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
        return radius * std::cos(2.0 * std::numbers::pi * uniform());
    }
    std::uint64_t bits() { return m_engine(); }

private:
    static std::uint64_t mix(std::uint64_t x)
    {
        x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
        x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
        return x ^ (x >> 31);
    }
    std::mt19937_64 m_engine;
};

} // namespace footage
