#include "core/stats/blocks.h"
#include "core/stats/summary.h"

#include <cmath>
#include <utility>

namespace stats {

std::optional<BlockDifferences> meanOfBlocks(std::vector<double> differencesMs, double level)
{
    if (differencesMs.size() < 2)
        return std::nullopt;
    BlockDifferences blocks;
    blocks.differencesMs = std::move(differencesMs);
    const auto count = static_cast<double>(blocks.differencesMs.size());
    blocks.mean = expand(mean(blocks.differencesMs),
                         {standardDeviation(blocks.differencesMs) / std::sqrt(count), count - 1}, level);
    return blocks;
}

std::optional<BlockDifferences> blockDifferences(std::span<const RunMean> inOrder, double level)
{
    if (inOrder.size() < 4 || inOrder.size() % 2 != 0)
        return std::nullopt;
    std::vector<double> differences;
    for (std::size_t i = 0; i < inOrder.size(); i += 2) {
        if (inOrder[i].ofBaseline == inOrder[i + 1].ofBaseline)
            return std::nullopt;
        const double step = inOrder[i + 1].ms - inOrder[i].ms;
        differences.push_back(inOrder[i].ofBaseline ? step : -step);
    }
    return meanOfBlocks(std::move(differences), level);
}

} // namespace stats
