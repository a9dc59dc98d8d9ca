#include "core/report/chart_model.h"
#include "core/report/correction_words.h"
#include "core/analysis/figures.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace report {
namespace {

constexpr int mostSteps = 7; ///< ticks beside 0; more crowd a chart that is read on a phone

std::string titleOf(const session::Settings& settings)
{
    if (!settings.publish.title.empty())
        return analysis::oneLine(settings.publish.title);
    return settings.title.empty() ? "Button-to-pixel delay" : analysis::oneLine(settings.title);
}

std::string subtitleOf(const session::Settings& settings)
{
    if (!settings.publish.subtitle.empty())
        return analysis::oneLine(settings.publish.subtitle);
    const std::string press =
        settings.event.lamp == session::LampEvent::Lights ? "From the lamp lighting" : "From the lamp going out";
    const std::string reaction =
        settings.event.reaction.empty() ? "" : " (" + analysis::oneLine(settings.event.reaction) + ")";
    return press + " to the reaction" + reaction + ", in ms";
}

/// Of the rows that have an interval, those whose trials are of too few runs to speak for others.
enum class FewRuns { None, Some, All };
FewRuns fewRuns(const analysis::Results& results)
{
    int few = 0, shown = 0;
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (result.n >= 2) {
            ++shown;
            few += result.mean.theseRunsOnly;
        }
    return few == 0 ? FewRuns::None : few == shown ? FewRuns::All : FewRuns::Some;
}

std::string theseRunsOnly(FewRuns few)
{
    switch (few) {
    case FewRuns::None: return {};
    case FewRuns::Some: return "Fewer than 4 runs: these runs only, another run may differ by more.";
    case FewRuns::All: return "These runs only: with fewer than 4 runs, another run may differ by more.";
    }
    return {};
}

/// "12 trials in 3 runs, 1 rejected", where rows differ in it.
std::string countsWithRuns(const analysis::ConfigurationResult& result)
{
    std::string line = countsLine(result);
    const std::string runs =
        result.mean.runs == 0 ? " of unknown runs" : " in " + analysis::counted(result.mean.runs, "run", "runs");
    return line.insert(std::min(line.find(','), line.size()), runs);
}

ChartRow rowOf(const analysis::ConfigurationResult& result, FewRuns few)
{
    ChartRow row;
    row.configuration = result.configuration;
    row.name = result.name;
    row.detail = few == FewRuns::Some && result.n >= 2 && result.mean.theseRunsOnly ? countsWithRuns(result)
                                                                                    : countsLine(result);
    row.baseline = result.baseline;
    row.dotsMs = result.delaysMs;
    const stats::MeanOnBasis* mean = result.mean.shown();
    if (!mean) {
        row.state = noMeanWords(result);
        return row;
    }
    const analysis::Figure figure = *analysis::meanFigure(result);
    row.meanMs = mean->estimateMs;
    row.value = figure.value;
    row.plusMinus = figure.halfWidth;
    if (mean->interval) {
        row.lowMs = mean->interval->low();
        row.highMs = mean->interval->high();
    }
    return row;
}

void addRow(std::vector<ChartGroup>& groups, const std::string& name, ChartRow row)
{
    auto group = std::ranges::find(groups, name, &ChartGroup::name);
    if (group == groups.end())
        group = groups.insert(groups.end(), {name, {}});
    group->rows.push_back(std::move(row));
}

/// Smallest of 1, 2 and 5 times a power of ten that reaches `most` in few enough steps.
double niceStep(double most)
{
    const double power = std::pow(10.0, std::floor(std::log10(most / mostSteps)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (most <= factor * power * mostSteps)
            return factor * power;
    return 10 * power;
}

void setAxis(ChartModel& model)
{
    double most = 0;
    bool anyMean = false;
    for (const ChartGroup& group : model.groups)
        for (const ChartRow& row : group.rows) {
            anyMean = anyMean || row.meanMs;
            most = std::max({most, row.meanMs.value_or(0), row.highMs.value_or(0)});
            for (const double dot : row.dotsMs)
                most = std::max(most, dot);
        }
    if (!anyMean)
        return;
    if (most < 1e-6) // press and response in one camera frame, always
        most = 1;
    const double step = niceStep(most);
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
    const int steps = static_cast<int>(std::ceil(most / step - 1e-9)); // rounding mustn't cost a whole step
    for (int i = 0; i <= steps; ++i)
        model.ticks.push_back({i * step, stats::formatFixed(i * step, decimals)});
    model.axisMaxMs = model.ticks.back().ms;
}

/// Capture rates of the clocks that the delays were read with, highest first.
std::string captureRates(const session::Document& document, const analysis::Results& results)
{
    std::set<session::ClockId> clocks;
    for (const analysis::TrialOutcome& outcome : results.trials)
        if (outcome.state == analysis::TrialState::Counts)
            clocks.insert(outcome.clock);
    std::vector<timing::RateEvidence> rates;
    for (const session::ClockId id : clocks)
        rates.push_back(settledEvidence(*find(document, id))->rate);
    std::ranges::stable_sort(rates, std::greater<>(), &timing::RateEvidence::rate);
    std::vector<std::string> texts;
    for (const timing::RateEvidence& rate : rates)
        if (texts.empty() || texts.back() != analysis::rateText(rate))
            texts.push_back(analysis::rateText(rate));
    return texts.empty() ? std::string() : analysis::listed(texts) + " camera frames a second";
}

std::string keyLine(const ChartModel& model, const analysis::Results& results, bool anyInterval)
{
    std::string line = "Each dot is one trial.";
    if (anyInterval)
        line += " Bracket: " + analysis::percent(results.level) + " interval of the mean.";
    if (model.baselineMs)
        line += " Dotted line: baseline.";
    return line;
}

void addFooter(ChartModel& model, const session::Document& document, const analysis::Results& results)
{
    const auto anyRow = [&](auto holds) {
        return std::ranges::any_of(model.groups,
                                   [&](const ChartGroup& group) { return std::ranges::any_of(group.rows, holds); });
    };
    const auto addLine = [&](std::string line) {
        if (!line.empty())
            model.footer.push_back(std::move(line));
    };
    const bool anyInterval = anyRow([](const ChartRow& row) { return row.lowMs.has_value(); });
    if (anyRow([](const ChartRow& row) { return row.meanMs.has_value(); })) {
        model.valueHeading = anyInterval ? "mean ± " + analysis::percent(results.level) : "mean";
        addLine(keyLine(model, results, anyInterval));
        addLine(captureRates(document, results)
                + (results.marginMs ? ", margin " + analysis::plain(*results.marginMs) + " ms." : "."));
    }
    addLine(correctionFooter(document, results));
    if (results.interim)
        addLine("Interim: not every row has its "
                + analysis::counted(*results.plannedTrials, "planned trial", "planned trials") + " yet.");
    addLine(theseRunsOnly(fewRuns(results)));
    addLine(analysis::oneLine(document.settings.publish.footnote));
}

} // namespace

ChartModel chartModel(const session::Document& document, const analysis::Results& results)
{
    ChartModel model;
    model.title = titleOf(document.settings);
    model.subtitle = subtitleOf(document.settings);
    for (const analysis::ConfigurationResult& result : results.configurations)
        addRow(model.groups, analysis::oneLine(find(document, result.configuration)->group),
               rowOf(result, fewRuns(results)));
    setAxis(model);
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    if (baseline && baseline->mean.shown())
        model.baselineMs = baseline->mean.shown()->estimateMs;
    addFooter(model, document, results);
    return model;
}

} // namespace report
