#include "core/analysis/complete_blocks.h"
#include "core/analysis/phrases.h"

#include <algorithm>
#include <set>

namespace analysis {
namespace {

constexpr std::size_t fewestComplete = 3; // two show nothing of a block apart from their own scatter
constexpr std::size_t fewestBlocks = 4;

struct OnSheet {
    std::map<session::RunId, int> runs;
    std::set<int> blocks;
    std::string why; ///< it can't stand in blocks at all
};

std::string numbered(const std::set<int>& blocks)
{
    std::vector<std::string> words;
    for (const int block : blocks)
        words.push_back(std::to_string(block));
    return (words.size() == 1 ? "block " : "blocks ") + listed(words);
}

std::set<int> without(const std::set<int>& these, const std::set<int>& those)
{
    std::set<int> rest;
    std::ranges::set_difference(these, those, std::inserter(rest, rest.end()));
    return rest;
}

std::map<session::ConfigurationId, OnSheet> countingRuns(const session::Document& document,
                                                         const session::RunSheet& sheet,
                                                         const std::vector<TrialOutcome>& outcomes)
{
    std::map<session::RunId, const session::SheetLine*> lines;
    for (const session::SheetLine& line : sheet.lines)
        if (line.run)
            lines[line.run] = &line;
    std::map<session::ConfigurationId, OnSheet> all;
    for (const TrialOutcome& outcome : thatCount(outcomes)) {
        OnSheet& own = all[outcome.configuration];
        if (!outcome.run) {
            own.why = "some of its trials have no run";
            continue;
        }
        const auto line = lines.find(outcome.run);
        if (line == lines.end() || line->second->configuration != outcome.configuration) {
            own.why = "its run “" + oneLine(find(document, outcome.run)->name) + "” is on no line of its own";
            continue;
        }
        own.runs[outcome.run] = line->second->block;
        own.blocks.insert(line->second->block);
    }
    return all;
}

} // namespace

CompleteBlocks completeBlocks(const session::Document& document, const std::vector<TrialOutcome>& outcomes,
                              session::ConfigurationId baseline)
{
    CompleteBlocks found;
    if (!document.settings.runSheet)
        return found;
    std::map<session::ConfigurationId, OnSheet> all = countingRuns(document, *document.settings.runSheet, outcomes);
    const auto first = all.find(baseline);
    if (first == all.end())
        return found;
    const std::set<int> blocks = first->second.blocks;
    const std::string baselineWhy = first->second.why;
    for (auto& [id, own] : all) {
        std::string why = own.why;
        if (why.empty() && !baselineWhy.empty())
            why = "the baseline isn't in blocks: " + baselineWhy;
        else if (const auto missing = without(blocks, own.blocks); why.empty() && !missing.empty())
            why = "it has no trial that counts in " + numbered(missing);
        else if (const auto more = without(own.blocks, blocks); why.empty() && !more.empty())
            why = "the baseline has no trial that counts in " + numbered(more);
        if (why.empty())
            found.blocks[id] = std::move(own.runs);
        else
            found.why[id] = std::move(why);
    }
    if (blocks.size() >= fewestBlocks && found.blocks.size() >= fewestComplete)
        return found;
    const std::string few = blocks.size() < fewestBlocks
                                ? "it takes at least 4 blocks, and there are " + std::to_string(blocks.size())
                                : std::string("it takes at least 3 configurations with every block complete");
    for (const auto& [id, runs] : found.blocks)
        found.why[id] = few;
    found.blocks.clear();
    return found;
}

} // namespace analysis
