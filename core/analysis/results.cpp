#include "core/analysis/results.h"
#include "core/analysis/complete_blocks.h"
#include "core/analysis/observations.h"
#include "core/analysis/parts_of_results.h"
#include "core/analysis/phrases.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>

namespace analysis {
namespace {

void addFrameCount(ConfigurationResult& result, session::ClockId clock, std::int64_t frames)
{
    const auto found = std::ranges::find(result.frameCounts, clock, &FrameCounts::clock);
    if (found == result.frameCounts.end()) {
        result.frameCounts.push_back({clock, 1, frames, frames});
        return;
    }
    ++found->trials;
    found->least = std::min(found->least, frames);
    found->most = std::max(found->most, frames);
}

struct Rejected {
    std::map<session::RejectReason, int> reasons;
    std::vector<double> delaysMs;
};

void addOutcome(ConfigurationResult& result, Rejected& rejected, const session::Document& document,
                const TrialOutcome& outcome)
{
    ++result.trials;
    if (outcome.state != TrialState::Rejected)
        result.open += outcome.open;
    switch (outcome.state) {
    case TrialState::Rejected:
        ++result.rejected;
        ++rejected.reasons[find(document, outcome.trial)->reject->reason];
        if (outcome.delay)
            rejected.delaysMs.push_back(outcome.delay->delay.count());
        break;
    case TrialState::NotRead: ++result.notRead; break;
    case TrialState::NoReaction: ++result.noReaction; break;
    case TrialState::ClockNotSettled:
        ++result.clockNotSettled;
        if (outcome.counted)
            addFrameCount(result, outcome.clock, (*outcome.counted + *outcome.missing).value);
        break;
    case TrialState::NoDelay: ++result.noDelay; break;
    case TrialState::Counts:
        ++result.n;
        result.doubtful += outcome.doubtful;
        result.delaysMs.push_back(outcome.delay->delay.count());
        break;
    case TrialState::Untagged: assert(false); break; // has a configuration
    }
}

void finish(ConfigurationResult& result, const Rejected& rejected, const Observations& observations, double level)
{
    result.rejects.assign(rejected.reasons.begin(), rejected.reasons.end());
    std::ranges::stable_sort(result.rejects, std::greater<>(), &std::pair<session::RejectReason, int>::second);
    result.summary = stats::summarise(result.delaysMs);
    result.median = stats::medianInterval(result.delaysMs, level);
    result.mean = stats::meanBudget(observations.of(result.configuration), observations.sources(), level);
    result.rejectedWithDelay = static_cast<int>(rejected.delaysMs.size());
    if (!rejected.delaysMs.empty()) {
        std::vector<double> all = result.delaysMs;
        all.insert(all.end(), rejected.delaysMs.begin(), rejected.delaysMs.end());
        result.meanWithRejectsMs = stats::mean(all);
    }
}

void compareAll(Results& results, const session::Document& document, const Observations& observations)
{
    const ConfigurationResult* baseline = find(results, results.baseline);
    if (!baseline)
        return;
    results.comparisons = static_cast<int>(results.configurations.size()) - 1;

    // All of the session's configurations tell what moves a block, also where two are compared by themselves.
    std::vector<std::span<const stats::Observation>> all;
    std::map<session::ConfigurationId, std::size_t> places;
    for (const session::Configuration* configuration : inOrder(document.configurations)) {
        places[configuration->id] = all.size();
        all.push_back(observations.of(configuration->id));
    }
    const std::vector<std::optional<stats::BlockVariance>> variances = stats::variancesWithoutBlocks(all);
    for (ConfigurationResult& result : results.configurations)
        if (const auto& variance = variances[places.at(result.configuration)])
            result.checks.leftByBlockMs = variance->leftMs;
    const auto sideOf = [&](session::ConfigurationId id) {
        return stats::Side{observations.of(id), variances[places.at(id)]};
    };

    stats::ComparisonPlan plan;
    if (results.pair) {
        plan.configuration = results.configurations.front().name;
        plan.baseline = baseline->name;
    }
    plan.alpha = std::min(1 - results.level, stats::highestAlpha);
    plan.comparisons = std::max(results.comparisons, 1);
    plan.marginMs = results.marginMs;
    plan.plannedTrials = results.plannedTrials;
    plan.plannedBaselineTrials = baseline->planned;
    std::vector<stats::Side> sides;
    for (const ConfigurationResult& result : results.configurations)
        if (!result.baseline)
            sides.push_back(sideOf(result.configuration));
    std::vector<stats::Comparison> comparisons =
        stats::compare(sides, sideOf(results.baseline), observations.sources(), plan);
    auto next = comparisons.begin();
    for (ConfigurationResult& result : results.configurations)
        if (!result.baseline)
            result.comparison = std::move(*next++);
}

/// Of `configurations`, in this order; `results` says which of them is the baseline and what was planned.
void fill(Results& results, const session::Document& document,
          const std::vector<const session::Configuration*>& configurations)
{
    std::map<session::ConfigurationId, std::size_t> places;
    for (const session::Configuration* configuration : configurations) {
        places[configuration->id] = results.configurations.size();
        ConfigurationResult& result = results.configurations.emplace_back();
        result.configuration = configuration->id;
        result.name = oneLine(configuration->name);
        result.baseline = configuration->id == results.baseline;
        if (results.plannedTrials)
            result.planned = plannedTrials(document.settings.plan, configuration->id);
    }

    std::vector<Rejected> rejected(results.configurations.size());
    Observations observations(document);
    results.trials.reserve(document.trials.size());
    const auto byCapture = session::trialsByCapture(document);
    for (const session::Capture* capture : inOrder(document.captures)) {
        results.unreadPresses += static_cast<int>(unreadPresses(document, capture->id).size());
        results.notLookedThrough += isUnlooked(document, capture->id);
        const auto trials = byCapture.find(capture->id);
        if (trials == byCapture.end())
            continue;
        CaptureClock clock = captureClock(document, *capture, pressFrame(*trials->second.front()));
        const session::Piece* held = pieceAt(*capture, pressFrame(*trials->second.front()));
        std::size_t first = results.trials.size();
        for (const session::Trial* trial : trials->second) {
            if (const session::Piece* piece = pieceAt(*capture, pressFrame(*trial)); piece != held) {
                observations.add(*capture, clock, std::span(results.trials).subspan(first));
                first = results.trials.size();
                clock = captureClock(document, *capture, pressFrame(*trial));
                held = piece;
            }
            const TrialOutcome& outcome =
                results.trials.emplace_back(outcomeInCapture(document, *trial, *capture, clock));
            const auto place = places.find(outcome.configuration);
            if (place != places.end())
                addOutcome(results.configurations[place->second], rejected[place->second], document, outcome);
            else if (!outcome.configuration && outcome.state != TrialState::Rejected)
                ++results.untagged;
        }
        observations.add(*capture, clock, std::span(results.trials).subspan(first));
    }

    const CompleteBlocks blocks = completeBlocks(document, results.trials, results.baseline);
    observations.setBlocks(blocks);
    for (std::size_t i = 0; i < results.configurations.size(); ++i) {
        if (const auto why = blocks.why.find(results.configurations[i].configuration); why != blocks.why.end())
            results.configurations[i].blocksLeftIn = why->second;
        finish(results.configurations[i], rejected[i], observations, results.level);
        results.interim =
            results.interim
            || (results.configurations[i].planned && results.configurations[i].n < *results.configurations[i].planned);
    }
    compareAll(results, document, observations);
    addChecks(document, results);
    addWarnings(document, results, observations.withoutRegions());
}

Results planned(const session::Plan& plan)
{
    Results results;
    results.level = plan.level;
    results.marginMs = plan.marginMs;
    results.plannedTrials = plan.trialsPerConfiguration;
    return results;
}

} // namespace

void Results::warn(std::string sentence, Mend mend)
{
    warnings.push_back(std::move(sentence));
    mends.push_back(mend);
}

Results compute(const session::Document& document)
{
    const session::ConfigurationId baseline = document.settings.plan.baseline;
    Results results = planned(document.settings.plan);
    results.baseline = find(document, baseline) ? baseline : session::ConfigurationId{};
    fill(results, document, inOrder(document.configurations));
    addEarlier(document, results);
    return results;
}

Results pairOf(const session::Document& document, session::ConfigurationId first, session::ConfigurationId second)
{
    assert(find(document, first) && find(document, second) && first != second);
    Results results = planned(document.settings.plan);
    results.pair = true;
    results.baseline = second;
    fill(results, document, {find(document, first), find(document, second)});
    return results;
}

const ConfigurationResult* find(const Results& results, session::ConfigurationId id)
{
    const auto found = std::ranges::find(results.configurations, id, &ConfigurationResult::configuration);
    return found == results.configurations.end() ? nullptr : &*found;
}

const ConfigurationResult* findAnywhere(const Results& results, session::ConfigurationId id)
{
    if (const ConfigurationResult* here = find(results, id))
        return here;
    for (const EarlierResults& earlier : results.earlier)
        for (const ConfigurationResult& result : earlier.configurations)
            if (result.configuration == id)
                return &result;
    return nullptr;
}

std::optional<session::TrialId> typicalTrial(const Results& results, session::ConfigurationId id)
{
    const ConfigurationResult* configuration = find(results, id);
    if (!configuration || configuration->n == 0)
        return {};
    const double median = *configuration->summary.median;
    const TrialOutcome* nearest = nullptr;
    const auto distance = [&](const TrialOutcome& trial) { return std::abs(trial.delay->delay.count() - median); };
    for (const TrialOutcome& trial : thatCount(results.trials))
        if (trial.configuration == id && (!nearest || distance(trial) < distance(*nearest)))
            nearest = &trial;
    return nearest->trial;
}

const TrialOutcome* find(const Results& results, session::TrialId id)
{
    const auto found = std::ranges::find(results.trials, id, &TrialOutcome::trial);
    return found == results.trials.end() ? nullptr : &*found;
}

} // namespace analysis
