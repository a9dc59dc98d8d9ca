#include "core/report/chart_model.h"
#include "core/report/correction_words.h"
#include "core/report/earlier_session.h"
#include "core/report/in_short.h"
#include "core/analysis/figures.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace report {
namespace {

constexpr int mostSteps = 7; ///< between ticks; more crowd a chart that is read on a phone
const std::string plusMinusAndSpace = "\u00b1 ";

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
        result.mean.runs == 0 ? " of unknown runs" : " in " + analysis::counted(result.mean.runs, "run");
    return line.insert(std::min(line.find(','), line.size()), runs);
}

std::string countsInShort(const analysis::ConfigurationResult& result)
{
    const std::string n = std::to_string(result.n);
    return result.n == result.trials ? n : n + " of " + std::to_string(result.trials);
}

/// Words of a row, whatever the form.
ChartRow namedRow(const analysis::ConfigurationResult& result, FewRuns few)
{
    ChartRow row;
    row.configuration = result.configuration;
    row.name = result.name;
    row.detail = few == FewRuns::Some && result.n >= 2 && result.mean.theseRunsOnly ? countsWithRuns(result)
                                                                                    : countsLine(result);
    row.counts = countsInShort(result);
    row.baseline = result.baseline;
    return row;
}

ChartRow meanRow(const analysis::ConfigurationResult& result, FewRuns few)
{
    ChartRow row = namedRow(result, few);
    row.dotsMs = result.delaysMs;
    const stats::MeanOnBasis* mean = result.mean.shown();
    if (!mean) {
        row.state = noMeanWords(result);
        return row;
    }
    const analysis::Figure figure = *analysis::meanFigure(result);
    row.valueMs = mean->estimateMs;
    row.value = figure.value;
    if (mean->interval) {
        row.beside = plusMinusAndSpace + figure.halfWidth;
        row.lowMs = mean->interval->low();
        row.highMs = mean->interval->high();
    }
    return row;
}

ChartRow boxRow(const analysis::ConfigurationResult& result, FewRuns few)
{
    ChartRow row = namedRow(result, few);
    row.dotsMs = result.delaysMs;
    const stats::Summary& summary = result.summary;
    if (!summary.median) {
        row.state = noMeanWords(result);
        return row;
    }
    row.valueMs = summary.median;
    row.box = ChartBox{*summary.min, *summary.lowerQuartile, *summary.median, *summary.upperQuartile, *summary.max};
    const int decimals = analysis::meanFigure(result) ? analysis::meanFigure(result)->decimals : 1;
    row.value = stats::formatFixed(*summary.median, decimals);
    if (result.n >= 2)
        row.beside = stats::formatFixed(*summary.lowerQuartile, decimals) + " to "
                     + stats::formatFixed(*summary.upperQuartile, decimals);
    return row;
}

/// Less than verdictWords() says, for the figure stands above it.
std::string shortVerdict(const stats::Comparison& comparison, const analysis::Figure& figure)
{
    const std::string range = ", " + figure.low + " to " + figure.high;
    switch (comparison.verdict) {
    case stats::Verdict::Longer: return "longer" + range;
    case stats::Verdict::Shorter: return "shorter" + range;
    case stats::Verdict::LongerWithinMargin: return "longer, less than the margin";
    case stats::Verdict::ShorterWithinMargin: return "shorter, less than the margin";
    case stats::Verdict::SameWithinMargin: return "same within the margin";
    case stats::Verdict::NotResolved: return "not resolved";
    case stats::Verdict::TooFewTrials: return "too few trials";
    case stats::Verdict::NoBaseline: return "baseline has no mean";
    }
    return {};
}

ChartRow differenceRow(const analysis::Results& results, const analysis::ConfigurationResult& result, FewRuns few)
{
    ChartRow row = namedRow(result, few);
    const std::optional<analysis::Figure> figure = analysis::differenceFigure(results, result);
    if (!figure) {
        row.state = verdictWords(results, result);
        return row;
    }
    const stats::Comparison& comparison = *result.comparison;
    row.valueMs = comparison.differenceMs;
    row.value = figure->value;
    row.verdict = shortVerdict(comparison, *figure);
    if (comparison.interval) {
        row.lowMs = comparison.interval->low();
        row.highMs = comparison.interval->high();
    }
    if (comparison.verdict == stats::Verdict::SameWithinMargin)
        if (const auto inner = innerMarks(comparison)) {
            row.sameLowMs = inner->low();
            row.sameHighMs = inner->high();
        }
    return row;
}

/// Heading that a configuration stands under.
std::string groupOf(const session::PublishSettings& publish, const session::Configuration& configuration)
{
    if (publish.groupBy.empty())
        return analysis::oneLine(configuration.group);
    if (publish.groupBy == "none")
        return {};
    const auto text = configuration.texts.find(publish.groupBy);
    if (text != configuration.texts.end())
        return analysis::oneLine(text->second);
    for (const session::TextField& field : session::configurationFields())
        if (publish.groupBy == field.key)
            return std::string(field.label) + ": not said";
    return {};
}

void addRow(std::vector<ChartGroup>& groups, const std::string& name, ChartRow row)
{
    auto group = std::ranges::find(groups, name, &ChartGroup::name);
    if (group == groups.end())
        group = groups.insert(groups.end(), {name, {}});
    group->rows.push_back(std::move(row));
}

/// Shortest first, groups by their shortest; rows without a value last.
void sortByValue(std::vector<ChartGroup>& groups)
{
    const auto valueOf = [](const ChartRow& row) { return row.valueMs.value_or(std::numeric_limits<double>::max()); };
    for (ChartGroup& group : groups)
        std::ranges::stable_sort(group.rows, {}, valueOf);
    std::ranges::stable_sort(groups, {}, [&](const ChartGroup& group) { return valueOf(group.rows.front()); });
}

/// Smallest of 1, 2 and 5 times a power of ten that reaches over `range` in few enough steps.
double niceStep(double range)
{
    const double power = std::pow(10.0, std::floor(std::log10(range / mostSteps)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (range <= factor * power * mostSteps)
            return factor * power;
    return 10 * power;
}

/// Least and most of all that is drawn; empty where no row has a value.
std::optional<std::pair<double, double>> drawnRange(const ChartModel& model)
{
    std::optional<std::pair<double, double>> range;
    const auto reach = [&](double ms) {
        range = range ? std::pair(std::min(range->first, ms), std::max(range->second, ms)) : std::pair(ms, ms);
    };
    for (const ChartGroup& group : model.groups)
        for (const ChartRow& row : group.rows) {
            if (row.valueMs)
                reach(*row.valueMs);
            if (row.highMs)
                reach(*row.highMs);
            if (row.lowMs && model.form == session::ChartForm::Differences)
                reach(*row.lowMs);
            if (row.valueMs)
                std::ranges::for_each(row.dotsMs, reach);
        }
    return range;
}

void setAxis(ChartModel& model)
{
    const auto range = drawnRange(model);
    if (!range)
        return;
    auto [least, most] = *range;
    const bool signedAxis = model.form == session::ChartForm::Differences;
    if (signedAxis) {
        const double margin = 1.15 * model.marginMs.value_or(0); // the band's edges stand inside
        least = std::min({least, 0.0, -margin});
        most = std::max({most, 0.0, margin});
    } else if (model.form == session::ChartForm::Bars || least < 0.5 * most) {
        least = 0; // where it saves little, no axis that has to be looked at twice
    }
    if (most - least < 1e-6) // press and response in one camera frame, always
        most = least + 1;
    const double step = niceStep(most - least);
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
    // Rounding mustn't cost a whole step.
    const auto first = static_cast<int>(std::floor(least / step + 1e-9));
    const auto last = static_cast<int>(std::ceil(most / step - 1e-9));
    for (int i = first; i <= last; ++i)
        model.ticks.push_back(
            {i * step, signedAxis ? stats::formatSigned(i * step, decimals) : stats::formatFixed(i * step, decimals)});
    model.axisMinMs = model.ticks.front().ms;
    model.axisMaxMs = model.ticks.back().ms;
}

ChartRow rowIn(session::ChartForm form, const analysis::Results& results, const analysis::ConfigurationResult& result,
               FewRuns few)
{
    return form == session::ChartForm::Bars    ? meanRow(result, few)
           : form == session::ChartForm::Boxes ? boxRow(result, few)
                                               : differenceRow(results, result, few);
}

std::string keyLine(const ChartModel& model, const analysis::Results& results, bool anyInterval, bool anySame)
{
    std::string line;
    switch (model.form) {
    case session::ChartForm::Bars:
        line = "Each dot is one trial.";
        if (anyInterval)
            line += " Bracket: " + analysis::percent(results.level) + " interval of the mean.";
        break;
    case session::ChartForm::Boxes:
        line = "Each dot is one trial. Box: middle half of them, with their median; line: least to most.";
        if (model.axisMinMs > 0)
            line += " The axis doesn't begin at 0.";
        break;
    case session::ChartForm::Differences: {
        const bool across = std::ranges::any_of(model.groups, [](const ChartGroup& group) {
            return std::ranges::any_of(group.rows, [](const ChartRow& row) { return row.earlier && row.lowMs; });
        });
        if (anyInterval)
            line = results.comparisons > 1
                       ? "Bracket: interval of the difference; all " + std::to_string(results.comparisons)
                             + " hold together at " + analysis::percent(results.level) + "."
                       : "Bracket: " + analysis::percent(results.level) + " interval of the difference.";
        if (across)
            line += " Earlier rows: each by itself at " + analysis::percent(results.level) + ".";
        if (anySame)
            line += " Marks inside it: what “same within the margin” goes by.";
        break;
    }
    }
    if (model.baselineMs)
        line += " Dotted line: baseline.";
    return line;
}

std::string captureNote(const session::Document& document, const analysis::Results& results)
{
    return captureRates(document, results)
           + (results.marginMs ? ", margin " + analysis::plain(*results.marginMs) + " ms." : ".");
}

void addEarlierNotes(ChartModel& model, const session::Document& document, const analysis::Results& results)
{
    for (const analysis::EarlierResults& earlier : results.earlier)
        model.notes.push_back(
            "Earlier session " + earlierMethod(*find(document, earlier.session))
            + (model.form == session::ChartForm::Differences ? " " + bridgeSentence(results, earlier) : ""));
}

void addFooter(ChartModel& model, const session::Document& document, const analysis::Results& results)
{
    const auto anyRow = [&](auto holds) {
        return std::ranges::any_of(model.groups,
                                   [&](const ChartGroup& group) { return std::ranges::any_of(group.rows, holds); });
    };
    const auto add = [](std::vector<std::string>& lines, std::string line) {
        if (!line.empty())
            lines.push_back(std::move(line));
    };
    const bool anyInterval = anyRow([](const ChartRow& row) { return row.lowMs.has_value(); });
    const bool anyValue = anyRow([](const ChartRow& row) { return row.valueMs.has_value(); });
    if (anyValue) {
        const char* const headings[] = {"mean", "median", "difference, ms"};
        model.shortHeading = headings[static_cast<int>(model.form)];
        model.valueHeading = model.shortHeading;
        if (model.form == session::ChartForm::Boxes)
            model.valueHeading += ", middle half";
        else if (model.form == session::ChartForm::Bars && anyInterval)
            model.valueHeading += ' ' + plusMinusAndSpace + analysis::percent(results.level);
        const bool anySame = anyRow([](const ChartRow& row) { return row.sameLowMs.has_value(); });
        add(model.footer, keyLine(model, results, anyInterval, anySame));
    }
    if (results.interim)
        add(model.footer,
            "Interim: not every row has its " + analysis::counted(*results.plannedTrials, "planned trial") + " yet.");
    add(model.footer, theseRunsOnly(fewRuns(results)));
    if (anyValue)
        add(model.notes, captureNote(document, results));
    add(model.notes, correctionFooter(document, results));
    addEarlierNotes(model, document, results);
    add(model.notes, analysis::oneLine(document.settings.publish.footnote));
}

std::string differenceSubtitle(const analysis::Results& results)
{
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    if (!baseline)
        return "Difference of mean delay, in ms; no baseline is chosen";
    const std::optional<analysis::Figure> mean = analysis::meanFigure(*baseline);
    return "Difference of mean delay to " + baseline->name + (mean ? " (" + mean->value + " ms)" : "") + ", in ms";
}

/// Earlier sessions, each a group of its own behind this session's.
void addEarlierRows(ChartModel& model, const session::PublishSettings& publish, const analysis::Results& results)
{
    for (const analysis::EarlierResults& earlier : results.earlier) {
        ChartGroup group{"Earlier: " + earlier.title, {}};
        for (const analysis::ConfigurationResult& result : earlier.configurations) {
            if (model.form == session::ChartForm::Differences && result.configuration == earlier.there)
                continue; // its difference is this session's own
            ChartRow row = rowIn(model.form, results, result, FewRuns::Some);
            row.earlier = true;
            group.rows.push_back(std::move(row));
        }
        if (group.rows.empty())
            continue;
        std::vector<ChartGroup> one{std::move(group)};
        if (publish.order == session::ChartOrder::Value)
            sortByValue(one);
        model.groups.push_back(std::move(one.front()));
    }
}

} // namespace

std::string captureRates(const session::Document& document, const analysis::Results& results)
{
    std::set<session::ClockId> clocks;
    for (const analysis::TrialOutcome& outcome : thatCount(results.trials))
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

ChartModel chartModel(const session::Document& document, const analysis::Results& results, session::ChartForm form)
{
    const session::PublishSettings& publish = document.settings.publish;
    ChartModel model;
    model.form = form;
    model.title = titleOf(document.settings);
    model.subtitle = form == session::ChartForm::Differences && (publish.form != form || publish.subtitle.empty())
                         ? differenceSubtitle(results)
                         : subtitleOf(document.settings);
    const FewRuns few = fewRuns(results);
    for (const analysis::ConfigurationResult& result : results.configurations) {
        if (form == session::ChartForm::Differences && result.baseline)
            continue;
        addRow(model.groups, groupOf(publish, *find(document, result.configuration)),
               rowIn(form, results, result, few));
    }
    if (publish.order == session::ChartOrder::Value)
        sortByValue(model.groups);
    addEarlierRows(model, publish, results);
    if (form == session::ChartForm::Differences)
        model.marginMs = results.marginMs;
    setAxis(model);
    if (form != session::ChartForm::Differences)
        if (const analysis::ConfigurationResult* baseline = find(results, results.baseline)) {
            if (form == session::ChartForm::Boxes)
                model.baselineMs = baseline->summary.median;
            else if (baseline->mean.shown())
                model.baselineMs = baseline->mean.shown()->estimateMs;
        }
    addFooter(model, document, results);
    return model;
}

ChartModel chartModel(const session::Document& document, const analysis::Results& results)
{
    return chartModel(document, results, document.settings.publish.form);
}

std::vector<GroupChoice> groupChoices(const session::Document& document)
{
    std::vector<GroupChoice> choices{{"", "as in the plan"}, {"none", "none"}};
    for (const session::TextField& field : session::configurationFields())
        if (std::ranges::any_of(document.configurations, [&](const auto& entry) {
                const auto text = entry.second->texts.find(field.key);
                return text != entry.second->texts.end() && !text->second.empty();
            }))
            choices.push_back({field.key, field.label});
    return choices;
}

} // namespace report
