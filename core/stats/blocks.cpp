#include "core/stats/blocks.h"
#include "core/stats/summary.h"

#include <cassert>
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

std::vector<std::vector<double>> leftByBlock(std::span<const std::vector<double>> values)
{
    const std::size_t blocks = values.front().size();
    std::vector<double> blockMeans(blocks, 0.0);
    for (const std::vector<double>& own : values) {
        assert(own.size() == blocks);
        for (std::size_t j = 0; j < blocks; ++j)
            blockMeans[j] += own[j] / static_cast<double>(values.size());
    }
    const double all = mean(blockMeans);
    std::vector<std::vector<double>> left(values.begin(), values.end());
    for (std::vector<double>& own : left) {
        const double ownMean = mean(own);
        for (std::size_t j = 0; j < blocks; ++j)
            own[j] += all - ownMean - blockMeans[j];
    }
    return left;
}

std::vector<double> scatterWithoutBlocks(std::span<const std::vector<double>> values)
{
    assert(values.size() >= 3 && values.front().size() >= 2);
    const auto k = static_cast<double>(values.size());
    std::vector<double> squares; // q_c
    for (const std::vector<double>& own : leftByBlock(values)) {
        double& square = squares.emplace_back();
        for (const double left : own)
            square += left * left / static_cast<double>(own.size() - 1);
    }
    const double sum = k * mean(squares);
    for (double& square : squares)
        square = k / (k - 2) * (square - sum / (k * (k - 1)));
    return squares;
}

} // namespace stats
