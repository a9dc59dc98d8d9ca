#pragma once
#include <cstddef>
#include <random>
#include <utility>
#include <vector>

/// Chance from a seed, alike on every machine: the library's own distributions and shuffles differ from one to the
/// next. Inside core/analysis only.
namespace analysis {

/// Evenly among 0 .. count - 1; count >= 1.
inline std::size_t below(std::mt19937_64& random, std::size_t count)
{
    const std::uint64_t whole = std::mt19937_64::max() - std::mt19937_64::max() % count;
    std::uint64_t drawn = random();
    while (drawn >= whole) // the last, incomplete round would favour small numbers
        drawn = random();
    return static_cast<std::size_t>(drawn % count);
}

template <class T> void shuffle(std::vector<T>& items, std::mt19937_64& random)
{
    for (std::size_t i = items.size(); i > 1; --i)
        std::swap(items[i - 1], items[below(random, i)]);
}

} // namespace analysis
