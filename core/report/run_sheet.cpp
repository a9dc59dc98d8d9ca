#include "core/report/run_sheet.h"
#include "core/report/csv.h"
#include "core/report/figures.h"
#include "core/report/words.h"
#include "core/session/text.h"

#include <algorithm>
#include <cassert>
#include <random>

namespace report {
namespace {

/// Evenly among 0 .. count - 1. The library's own distributions and shuffles differ from one to the next.
std::size_t below(std::mt19937_64& random, std::size_t count)
{
    const std::uint64_t whole = std::mt19937_64::max() - std::mt19937_64::max() % count;
    std::uint64_t drawn = random();
    while (drawn >= whole) // the last, incomplete round would favour small numbers
        drawn = random();
    return static_cast<std::size_t>(drawn % count);
}

std::string padded(std::string text, std::size_t columns)
{
    const std::size_t length = session::charactersIn(text).value_or(text.size());
    return text + std::string(columns > length ? columns - length : 0, ' ');
}

} // namespace

std::string runSheetProblem(const session::Document& document)
{
    constexpr int mostRuns = 10'000; // on a sheet that anyone could film
    const session::Plan& plan = document.settings.plan;
    if (document.configurations.empty())
        return "The session has no configurations yet; name them on the plan page.";
    if (!plan.trialsPerConfiguration || !plan.runsPerConfiguration)
        return "The plan doesn't say how many runs and trials each configuration gets; set both on the plan page.";
    if (*plan.runsPerConfiguration > *plan.trialsPerConfiguration)
        return "The plan has " + counted(*plan.runsPerConfiguration, "run", "runs") + " for " + counted(*plan.trialsPerConfiguration, "trial", "trials")
            + " of each configuration; plan at least one trial a run.";
    if (*plan.runsPerConfiguration > mostRuns / static_cast<int>(document.configurations.size()))
        return "The plan comes to more than " + std::to_string(mostRuns) + " runs; plan fewer runs with more trials each.";
    return {};
}

RunSheet runSheet(const session::Document& document, std::uint64_t seed)
{
    assert(runSheetProblem(document).empty());
    const session::Plan& plan = document.settings.plan;
    const int runs = *plan.runsPerConfiguration, trials = *plan.trialsPerConfiguration;
    std::mt19937_64 random(seed);
    RunSheet sheet{seed, {}};
    for (int block = 0; block < runs; ++block) {
        std::vector<SheetRun> order;
        for (const session::Configuration* configuration : inOrder(document.configurations))
            order.push_back({block + 1, configuration->id, trials / runs + (block < trials % runs ? 1 : 0)});
        for (std::size_t i = order.size(); i > 1; --i)
            std::swap(order[i - 1], order[below(random, i)]);
        sheet.runs.insert(sheet.runs.end(), order.begin(), order.end());
    }
    return sheet;
}

std::string runSheetText(const session::Document& document, const RunSheet& sheet)
{
    std::size_t widest = 13; // "Configuration"
    for (const auto& [id, configuration] : document.configurations)
        widest = std::max(widest, session::charactersIn(configuration->name).value_or(configuration->name.size()));
    std::string text = document.settings.title.empty() ? "Run sheet\n" : "Run sheet: " + oneLine(document.settings.title) + '\n';
    text += counted(std::ssize(sheet.runs), "run", "runs") + " in this order, seed " + std::to_string(sheet.seed)
        + ".\nSet up anew before each run. Between presses wait at random, at least one refresh interval.\n";
    int block = 0, place = 0;
    for (const SheetRun& run : sheet.runs) {
        if (run.block != block) {
            block = run.block;
            text += "\nBlock " + std::to_string(block) + '\n' + padded("", 6) + padded("Configuration", widest) + "  Trials  Capture\n";
        }
        const std::string trials = std::to_string(run.trials);
        text += padded(std::to_string(++place) + '.', 6) + padded(oneLine(find(document, run.configuration)->name), widest) + "  "
            + std::string(trials.size() < 6 ? 6 - trials.size() : 0, ' ') + trials + "  ____________________\n";
    }
    return text;
}

std::string runSheetCsv(const session::Document& document, const RunSheet& sheet)
{
    Csv csv;
    for (const char* name : {"place", "block", "configuration", "group", "trials"})
        csv.text(name);
    csv.endRow();
    int place = 0;
    for (const SheetRun& run : sheet.runs) {
        const session::Configuration& configuration = *find(document, run.configuration);
        csv.whole(++place).whole(run.block).text(configuration.name).text(configuration.group).whole(run.trials);
        csv.endRow();
    }
    return csv.str();
}

} // namespace report
