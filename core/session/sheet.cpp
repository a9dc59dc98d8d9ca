#include "core/session/sheet.h"
#include "core/session/settings.h"

namespace session {

std::optional<std::size_t> firstOpenLine(const RunSheet& sheet, std::size_t from)
{
    for (std::size_t i = from; i < sheet.lines.size(); ++i)
        if (!sheet.lines[i].run && !sheet.lines[i].ticked)
            return i;
    return std::nullopt;
}

std::optional<int> plannedTrials(const Plan& plan, ConfigurationId id)
{
    return id && id == plan.baseline && plan.baselineTrials ? plan.baselineTrials : plan.trialsPerConfiguration;
}

std::optional<int> plannedRuns(const Plan& plan, ConfigurationId id)
{
    return id && id == plan.baseline && plan.baselineRuns ? plan.baselineRuns : plan.runsPerConfiguration;
}

} // namespace session
