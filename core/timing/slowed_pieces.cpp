#include "core/timing/slowed_pieces.h"

#include <algorithm>
#include <cstdlib>

namespace timing {
namespace {

constexpr double halfMillisecond = 0.0005; ///< segments are written in whole ones
constexpr std::int64_t sameBoundary = 2;   ///< frames

/// Of every frame; one without a stamp goes with the frame before it.
std::vector<int> divisorsOf(const Stamps& stamps, const std::vector<SlowedSegment>& segments)
{
    std::vector<int> divisors;
    divisors.reserve(stamps.size());
    std::optional<double> first;
    for (const std::optional<Rational>& stamp : stamps) {
        if (!stamp) {
            divisors.push_back(divisors.empty() ? 1 : divisors.back());
            continue;
        }
        if (!first)
            first = stamp->toDouble();
        const double time = stamp->toDouble() - *first + halfMillisecond;
        const auto inside = std::ranges::find_if(
            segments, [&](const SlowedSegment& each) { return time >= each.start && time < each.end; });
        divisors.push_back(inside == segments.end() ? 1 : inside->divisor);
    }
    return divisors;
}

} // namespace

std::vector<StampPiece> cutBySegments(const Stamps& stamps, const StampPattern& whole, std::vector<StampPiece> pieces,
                                      const std::vector<SlowedSegment>& segments)
{
    if (segments.empty() || stamps.empty())
        return pieces;
    if (pieces.empty())
        pieces.push_back({{0}, {std::ssize(stamps) - 1}, whole});
    const std::vector<int> divisors = divisorsOf(stamps, segments);
    struct Cut {
        std::int64_t frame;
        int divisor;
    };
    std::vector<Cut> cuts{{0, divisors.front()}};
    for (std::int64_t k = 1; k < std::ssize(divisors); ++k) {
        const int divisor = divisors[k];
        if (divisor == divisors[k - 1])
            continue;
        const auto near = std::ranges::find_if(pieces, [&](const StampPiece& piece) {
            return piece.first.value > 0 && std::abs(piece.first.value - k) <= sameBoundary;
        });
        cuts.push_back({near == pieces.end() ? k : near->first.value, divisor});
    }
    std::vector<StampPiece> cut;
    for (const StampPiece& piece : pieces)
        for (std::size_t i = 0; i < cuts.size(); ++i) {
            const std::int64_t next = i + 1 < cuts.size() ? cuts[i + 1].frame : std::ssize(stamps);
            const std::int64_t first = std::max(piece.first.value, cuts[i].frame),
                               last = std::min(piece.last.value, next - 1);
            if (first <= last)
                cut.push_back({{first}, {last}, piece.pattern, cuts[i].divisor});
        }
    return cut.size() > 1 ? cut : std::vector<StampPiece>{};
}

} // namespace timing
