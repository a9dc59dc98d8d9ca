#include "core/analysis/parts_of_results.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/session/place.h"
#include "core/stats/distributions.h"
#include "core/stats/rounding.h"

#include <map>
#include <set>

namespace analysis {
namespace {

/// Where a sentence begins with it.
std::string nameOf(const session::Document& document, const TrialOutcome& outcome)
{
    std::string name = session::trialName(document, outcome.trial);
    name.front() = 'T';
    return name;
}

void warnOfPlan(Results& results)
{
    if (results.configurations.size() < 2)
        return;
    if (!results.baseline)
        results.warn("No baseline is chosen, so nothing is compared.", {.plan = true});
    else if (!results.marginMs)
        results.warn("No margin is set, so no configuration can be called the same as the baseline.", {.plan = true});
}

void warnOfClocks(const session::Document& document, Results& results)
{
    std::map<session::ClockId, int> unsettled;
    std::set<session::ClockId> used;
    for (const TrialOutcome& outcome : results.trials) {
        const session::ClockId clock = outcome.clock;
        if (outcome.state == TrialState::ClockNotSettled)
            ++unsettled[clock];
        if (outcome.state == TrialState::Counts)
            used.insert(clock);
    }
    for (const auto& [id, trials] : unsettled) {
        const std::string stay =
            counted(trials, "trial has", "trials have") + " counts of camera frames and no ms, and are in no mean.";
        const session::Clock* clock = find(document, id);
        results.warn(clock ? "Clock " + session::inQuotes(clock->name) + " isn't settled: " + stay
                           : "Some captures have no clock: " + stay,
                     {.clock = id});
    }
    for (const session::ClockId id : used) {
        const session::Clock& clock = *find(document, id);
        const session::ClockEvidence& settled = *settledEvidence(clock);
        for (const session::ClockEvidence& other : clock.evidence) {
            const std::string dispute = timing::dispute(settled.rate, other.rate);
            if (!dispute.empty())
                results.warn("Clock " + session::inQuotes(clock.name)
                                 + " is settled although its evidence is in dispute: " + session::asSentence(dispute),
                             {.clock = id});
        }
    }
}

void warnOfCaptures(const session::Document& document, Results& results)
{
    std::set<session::CaptureId> used;
    for (const TrialOutcome& outcome : thatCount(results.trials))
        used.insert(outcome.capture);
    for (const session::Capture* capture : inOrder(document.captures))
        if (used.contains(capture->id))
            for (const std::string& note : capture->notes)
                results.warn("Capture " + session::inQuotes(capture->name) + ": " + note, {.capture = capture->id});
}

void warnOfTrials(const session::Document& document, Results& results)
{
    // Of several the first is where to begin.
    std::vector<session::TrialId> open, untagged, doubtful;
    for (const TrialOutcome& outcome : results.trials) {
        if (outcome.open && outcome.state != TrialState::Rejected)
            open.push_back(outcome.trial);
        if (outcome.doubtful && outcome.state == TrialState::Counts)
            doubtful.push_back(outcome.trial);
        if (!outcome.configuration && outcome.state != TrialState::Rejected)
            untagged.push_back(outcome.trial);
    }
    if (!open.empty())
        results.warn(counted(std::ssize(open), "trial is", "trials are")
                         + " open: the readings differ and none is chosen, so the first counts.",
                     {.trial = open.front()});
    if (!untagged.empty())
        results.warn(counted(std::ssize(untagged), "trial is", "trials are")
                         + " tagged to no configuration and enter no mean.",
                     {.trial = untagged.front()});
    if (!doubtful.empty())
        results.warn(counted(std::ssize(doubtful), "trial counts", "trials count")
                         + " although the reader wasn't sure of a mark.",
                     {.trial = doubtful.front()});
    for (const TrialOutcome& outcome : results.trials)
        if (outcome.state == TrialState::NoDelay)
            results.warn(nameOf(document, outcome) + " gives no delay: " + outcome.sentence, {.trial = outcome.trial});

    const std::optional<double> limit = document.settings.event.limitMs;
    if (!limit)
        return;
    for (const TrialOutcome& outcome : thatCount(results.trials))
        if (outcome.delay->earliest.count() > *limit)
            results.warn(nameOf(document, outcome) + " took " + delayFigure(*outcome.delay).delay
                             + " ms, longer than the limit of " + plain(*limit)
                             + " ms for a reaction; it counts until it is marked “no reaction”.",
                         {.trial = outcome.trial});
}

/// A height chosen for all that one configuration can't be brought to makes comparisons with it mislead.
void warnOfScanOut(const session::Document& document, Results& results)
{
    const session::EventDefinition& event = document.settings.event;
    if (!event.commonHeight)
        return;
    for (const ConfigurationResult& result : results.configurations) {
        const session::Configuration& configuration = *find(document, result.configuration);
        if (result.n == 0)
            continue;
        if (!configuration.reactionHeight || !configuration.refreshHz)
            results.warn(session::inQuotes(result.name) + " isn't brought to the common height: its "
                             + (configuration.refreshHz        ? "reaction height"
                                : configuration.reactionHeight ? "measured refresh"
                                                               : "reaction height and measured refresh")
                             + " isn't known. Comparisons with it mix heights.",
                         {.plan = true});
        else if (configuration.texts.contains("vrrRange") && event.scanOutTolerance <= session::usualScanOutTolerance)
            results.warn(session::inQuotes(result.name)
                             + " has a variable refresh: its display may draw quicker than its refresh says, so that "
                             + plain(100 * event.scanOutTolerance)
                             + " % is too small a tolerance of the scan-out correction unless the refresh given is "
                               "the display's highest.",
                         {.plan = true});
    }
}

/// Rejects that fall on one configuration may take its slow trials out, or leave them in where others lose theirs.
void warnOfRejects(Results& results)
{
    constexpr double chance = 0.05; // of a false alarm, all configurations together
    const auto read = [](const ConfigurationResult& result) { return result.trials - result.notRead; };
    int all = 0, rejected = 0;
    for (const ConfigurationResult& result : results.configurations) {
        all += read(result);
        rejected += result.rejected;
    }
    for (const ConfigurationResult& result : results.configurations) {
        const int here = read(result), others = all - here;
        if (here == 0 || others == 0)
            continue;
        const int othersRejected = rejected - result.rejected;
        const double p = stats::fisherTwoSidedP(result.rejected, here, othersRejected, others);
        if (p < chance / static_cast<double>(results.configurations.size()))
            results.warn("Rejects differ between configurations: " + std::to_string(result.rejected) + " of "
                         + std::to_string(here) + " trials of " + session::inQuotes(result.name) + ", "
                         + std::to_string(othersRejected) + " of " + std::to_string(others)
                         + " of the others. If rejected trials tend to be slow or quick ones, the means mislead.");
    }
}

/// A capture that lacks its run changes what the figures of its configuration stand on.
void warnOfRuns(const session::Document& document, Results& results)
{
    std::map<std::pair<session::ConfigurationId, session::CaptureId>, int> without;
    for (const TrialOutcome& outcome : thatCount(results.trials))
        if (!outcome.run)
            ++without[{outcome.configuration, outcome.capture}];
    for (const auto& [place, trials] : without) {
        const ConfigurationResult* result = find(results, place.first);
        if (!result || result->mean.runs == 0) // no run is known: the words on runs say so
            continue;
        results.warn("Capture " + session::inQuotes(find(document, place.second)->name) + " has no run: its "
                         + counted(trials, "trial") + " of " + session::inQuotes(result->name)
                         + (trials == 1 ? " counts" : " count")
                         + (result->mean.theseRunsOnly ? " but can't tell how runs differ"
                                                       : " as a run of its own, with all others that have none")
                         + ". Tag it with its run.",
                     {.capture = place.second});
    }
}

void warnOfSamples(Results& results)
{
    for (const ConfigurationResult& result : results.configurations) {
        if (result.n > 0 && result.n < trialsForVerdict)
            results.warn(session::inQuotes(result.name) + " has " + counted(result.n, "trial") + " that "
                         + (result.n == 1 ? "counts" : "count") + ": fewer than " + std::to_string(trialsForVerdict)
                         + " give no verdict, and fewer than 4 runs say nothing of set-ups not tried.");
        if (result.checks.groups) {
            const stats::TwoGroups& groups = *result.checks.groups;
            const int decimals = meanFigure(result)->decimals;
            results.warn(
                "The trials of " + session::inQuotes(result.name) + " fall into two groups, "
                + std::to_string(groups.low) + " around " + stats::formatFixed(groups.lowMean, decimals) + " ms and "
                + std::to_string(groups.high) + " around " + stats::formatFixed(groups.highMean, decimals)
                + " ms: the mean lies between them, and its interval may miss the truth more often than it says.");
        }
    }
}

} // namespace

void addWarnings(const session::Document& document, Results& results, int withoutRegions)
{
    warnOfPlan(results);
    warnOfClocks(document, results);
    warnOfTrials(document, results);
    warnOfRuns(document, results);
    warnOfSamples(results);
    warnOfRejects(results);
    warnOfScanOut(document, results);
    warnOfCaptures(document, results);
    if (withoutRegions > 0)
        results.warn(counted(withoutRegions, "trial counts", "trials count")
                     + " without a lamp or screen region, so rolling shutter is neither corrected nor in the "
                       "uncertainty there.");
}

} // namespace analysis
