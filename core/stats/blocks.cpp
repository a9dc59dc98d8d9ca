#include "core/stats/blocks.h"
#include "core/stats/summary.h"

#include <cmath>

namespace stats {

std::optional<BlockDifferences> blockDifferences(std::span<const RunMean> inOrder, double level)
{
    if (inOrder.size() < 4 || inOrder.size() % 2 != 0)
        return std::nullopt;
    BlockDifferences blocks;
    for (std::size_t i = 0; i < inOrder.size(); i += 2) {
        if (inOrder[i].ofBaseline == inOrder[i + 1].ofBaseline)
            return std::nullopt;
        const double step = inOrder[i + 1].ms - inOrder[i].ms;
        blocks.differencesMs.push_back(inOrder[i].ofBaseline ? step : -step);
    }
    const auto count = static_cast<double>(blocks.differencesMs.size());
    blocks.mean = expand(mean(blocks.differencesMs), {standardDeviation(blocks.differencesMs) / std::sqrt(count), count - 1}, level);
    return blocks;
}

} // namespace stats
