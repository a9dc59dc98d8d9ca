#include "core/analysis/typical_trial.h"
#include <cmath>

namespace analysis {

std::optional<session::TrialId> typicalTrial(const Results& results, session::ConfigurationId id)
{
    const ConfigurationResult* configuration = find(results, id);
    if (!configuration || configuration->n == 0)
        return {};
    const double median = *configuration->summary.median;
    const TrialOutcome* nearest = nullptr;
    const auto distance = [&](const TrialOutcome& trial) { return std::abs(trial.delay->delay.count() - median); };
    for (const TrialOutcome& trial : results.trials)
        if (trial.configuration == id && trial.state == TrialState::Counts
            && (!nearest || distance(trial) < distance(*nearest)))
            nearest = &trial;
    return nearest->trial;
}

} // namespace analysis
