#include "core/analysis/run_sheet.h"
#include "core/analysis/shuffled.h"
#include "core/analysis/phrases.h"
#include "core/session/limits.h"

#include <algorithm>
#include <cassert>
#include <random>

namespace analysis {

std::string runSheetProblem(const session::Document& document)
{
    const session::Plan& plan = document.settings.plan;
    if (document.configurations.empty())
        return "The session has no configurations yet; name them on the plan page.";
    if (!plan.trialsPerConfiguration || !plan.runsPerConfiguration)
        return "The plan doesn't say how many runs and trials each configuration gets; set both on the plan page.";
    std::int64_t total = 0;
    for (const auto& [id, configuration] : document.configurations) {
        const int runs = *plannedRuns(plan, id), trials = *plannedTrials(plan, id);
        if (runs > trials)
            return "The plan has " + counted(runs, "run") + " for " + counted(trials, "trial") + " of "
                   + (id == plan.baseline && (plan.baselineRuns || plan.baselineTrials) ? "the baseline"
                                                                                        : "each configuration")
                   + "; plan at least one trial a run.";
        total += runs;
    }
    if (total > static_cast<std::int64_t>(session::limits::sheetLines)) // more than anyone could film
        return "The plan comes to more than " + std::to_string(session::limits::sheetLines)
               + " runs; plan fewer runs with more trials each.";
    return {};
}

session::RunSheet drawRunSheet(const session::Document& document, std::int64_t seed)
{
    assert(runSheetProblem(document).empty());
    const session::Plan& plan = document.settings.plan;
    const int blocks = *plan.runsPerConfiguration;
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    session::RunSheet sheet;
    sheet.seed = seed;
    for (int block = 0; block < blocks; ++block) {
        std::vector<session::SheetLine> order;
        for (const session::Configuration* configuration : inOrder(document.configurations)) {
            const std::int64_t runs = *plannedRuns(plan, configuration->id),
                               trials = *plannedTrials(plan, configuration->id);
            for (std::int64_t run = runs * block / blocks; run < runs * (block + 1) / blocks; ++run)
                order.push_back({block + 1,
                                 configuration->id,
                                 static_cast<int>(trials / runs + (run < trials % runs ? 1 : 0)),
                                 {},
                                 false});
        }
        shuffle(order, random);
        sheet.lines.insert(sheet.lines.end(), order.begin(), order.end());
    }
    return sheet;
}

std::vector<std::string> capturesOf(const session::Document& document, const session::SheetLine& line)
{
    std::vector<std::string> names;
    if (line.run)
        for (const session::Capture* capture : inOrder(document.captures))
            if (capture->run == line.run)
                names.push_back(oneLine(capture->name));
    return names;
}

} // namespace analysis
