#include "core/analysis/earlier_results.h"
#include "core/analysis/parts_of_results.h"
#include "core/analysis/phrases.h"
#include "core/session/text.h"

#include <algorithm>
#include <set>

namespace analysis {
namespace {

std::vector<stats::BudgetLine> budgetLines(const session::EarlierConfiguration& earlier)
{
    std::vector<stats::BudgetLine> lines;
    for (const session::EarlierLine& line : earlier.lines)
        lines.push_back({static_cast<stats::LineKind>(line.kind), line.label, std::abs(line.weight) * line.u,
                         line.dof.value_or(stats::endlessDof), line.weight, line.u, static_cast<int>(line.source)});
    return lines;
}

ConfigurationResult resultOf(const session::EarlierConfiguration& earlier, double level)
{
    ConfigurationResult result;
    result.configuration = earlier.id;
    result.name = oneLine(earlier.name);
    result.delaysMs = earlier.delaysMs;
    result.n = static_cast<int>(earlier.delaysMs.size());
    result.rejected = static_cast<int>(earlier.rejected);
    result.notRead = static_cast<int>(earlier.notRead);
    result.noReaction = static_cast<int>(earlier.noReaction);
    result.clockNotSettled = static_cast<int>(earlier.clockNotSettled);
    result.noDelay = static_cast<int>(earlier.noDelay);
    result.trials =
        result.n + result.rejected + result.notRead + result.noReaction + result.clockNotSettled + result.noDelay;
    result.summary = stats::summarise(result.delaysMs);
    result.median = stats::medianInterval(result.delaysMs, level);
    result.mean.n = result.n;
    result.mean.runs = static_cast<int>(earlier.runs);
    result.mean.captures = static_cast<int>(earlier.captures);
    result.mean.theseRunsOnly = earlier.runs < 4;
    if (earlier.meanMs) {
        stats::MeanOnBasis mean{
            earlier.overRuns ? stats::Basis::Runs : stats::Basis::Trials, *earlier.meanMs, budgetLines(earlier), {}};
        if (result.n > 1)
            mean.interval = stats::expand(*earlier.meanMs, stats::combine(mean.lines), level);
        result.mean.overTrials = std::move(mean); // the one to show, on whichever basis it is
    }
    return result;
}

stats::SessionMean meanOf(const ConfigurationResult& result)
{
    const stats::MeanOnBasis* mean = result.mean.shown();
    return {mean->estimateMs, mean->lines, static_cast<std::size_t>(result.n)};
}

void compareAcross(EarlierResults& earlier, const Results& results)
{
    const ConfigurationResult* baseline = find(results, results.baseline);
    const ConfigurationResult* here = find(results, earlier.here);
    const auto there = std::ranges::find(earlier.configurations, earlier.there, &ConfigurationResult::configuration);
    if (!baseline || !here || there == earlier.configurations.end() || baseline->n == 0 || here->n == 0
        || there->n == 0)
        return;
    stats::ComparisonPlan plan;
    plan.alpha = std::min(1 - results.level, stats::highestAlpha);
    plan.marginMs = results.marginMs;
    std::optional<stats::SessionPair> ofHere;
    if (here != baseline)
        ofHere = stats::SessionPair{"this session", meanOf(*baseline), meanOf(*here)};
    const auto fewer = [](const ConfigurationResult& of) { return of.planned && of.n < *of.planned; };
    for (ConfigurationResult& result : earlier.configurations)
        if (&result != &*there && result.n > 0) {
            result.comparison = stats::acrossSessions({earlier.title, meanOf(result), meanOf(*there)}, ofHere, plan);
            result.comparison->interim = ofHere && (fewer(*baseline) || fewer(*here));
        }
}

/// Measured otherwise: what the bridge takes out only as far as it adds the same to every delay.
void warnOf(const session::Document& document, Results& results, const session::EarlierSession& earlier)
{
    const std::string who = "Earlier session " + session::inQuotes(earlier.title);
    const std::string onset = onsetWords(document.settings.event);
    if (earlier.onset != onset)
        results.warn(who + " was read by another onset rule: " + earlier.onset + " there, " + onset + " here.",
                     {.earlier = earlier.id});
    const auto differ = [&](const char* what, const std::vector<std::string>& there,
                            const std::vector<std::string>& here) {
        if (!there.empty() && !here.empty()
            && std::set(there.begin(), there.end()) != std::set(here.begin(), here.end()))
            results.warn(who + what + listed(there) + " there, " + listed(here) + " here.", {.earlier = earlier.id});
    };
    differ(" was filmed with another camera: ", earlier.cameras, camerasOf(document, results));
    std::set<std::string> here, there;
    for (const auto& [id, configuration] : document.configurations)
        here.insert(displayOf(*configuration));
    for (const session::EarlierConfiguration& configuration : earlier.configurations)
        there.insert(configuration.display);
    here.erase(std::string());
    there.erase(std::string());
    differ(" has other displays: ", {there.begin(), there.end()}, {here.begin(), here.end()});
    if (!earlier.here && results.baseline)
        results.warn(who + " isn't compared with the baseline: say which set-up was measured in both.",
                     {.earlier = earlier.id});
}

} // namespace

std::string onsetWords(const session::EventDefinition& event)
{
    return event.onset == session::OnsetRule::FirstVisibleChange
               ? "first visible change"
               : "a threshold of " + plain(event.thresholdSd) + " standard deviations";
}

std::vector<std::string> camerasOf(const session::Document& document, const Results& results)
{
    std::set<std::string> cameras;
    for (const TrialOutcome& outcome : thatCount(results.trials))
        if (const session::Clock* clock = find(document, outcome.clock))
            if (const auto model = clock->camera.find("model"); model != clock->camera.end())
                cameras.insert(oneLine(model->second));
    return {cameras.begin(), cameras.end()};
}

std::string displayOf(const session::Configuration& configuration)
{
    const auto display = configuration.texts.find("display");
    return display == configuration.texts.end() ? std::string() : oneLine(display->second);
}

void addEarlier(const session::Document& document, Results& results)
{
    for (const auto& [id, earlier] : document.earlierSessions) {
        EarlierResults& added = results.earlier.emplace_back();
        added.session = id;
        added.title = oneLine(earlier->title);
        added.here = earlier->here;
        added.there = earlier->there;
        for (const session::EarlierConfiguration& configuration : earlier->configurations)
            added.configurations.push_back(resultOf(configuration, results.level));
        compareAcross(added, results);
        warnOf(document, results, *earlier);
    }
}

} // namespace analysis
