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

std::vector<double> scatterWithoutBlocks(std::span<const std::vector<double>> values)
{
    const std::size_t count = values.size(), blocks = values.front().size();
    assert(count >= 3 && blocks >= 2);
    std::vector<double> ownMeans, blockMeans(blocks, 0.0);
    for (const std::vector<double>& own : values) {
        assert(own.size() == blocks);
        ownMeans.push_back(mean(own));
        for (std::size_t j = 0; j < blocks; ++j)
            blockMeans[j] += own[j] / static_cast<double>(count);
    }
    const double all = mean(ownMeans);
    const auto k = static_cast<double>(count);
    std::vector<double> squares(count, 0.0); // q_c
    double sum = 0;
    for (std::size_t c = 0; c < count; ++c) {
        for (std::size_t j = 0; j < blocks; ++j)
            squares[c] += std::pow(values[c][j] - ownMeans[c] - blockMeans[j] + all, 2);
        squares[c] /= static_cast<double>(blocks - 1);
        sum += squares[c];
    }
    for (double& square : squares)
        square = k / (k - 2) * (square - sum / (k * (k - 1)));
    return squares;
}

} // namespace stats
