#include "core/report/tables.h"
#include "core/report/budget_table.h"
#include "core/analysis/phrases.h"
#include "core/report/csv.h"
#include "core/analysis/figures.h"
#include "core/report/sentences.h"

#include <map>

namespace report {
namespace {

using OptionalNumber = std::optional<double>;

void expanded(Csv& csv, const std::optional<stats::Expanded>& interval)
{
    if (!interval) {
        for (int field = 0; field < 6; ++field)
            csv.empty();
        return;
    }
    csv.number(interval->low()).number(interval->high()).number(interval->halfWidthMs);
    csv.number(interval->level).number(interval->uMs).number(interval->dof);
}

void resultsHeader(Csv& csv)
{
    for (const char* name : {"configuration",
                             "group",
                             "baseline",
                             "trials",
                             "trials in the mean",
                             "rejected",
                             "reject reasons",
                             "no reaction",
                             "not read",
                             "clock not settled",
                             "no delay",
                             "open",
                             "camera frames without settled clock",
                             "mean (ms)",
                             "mean low (ms)",
                             "mean high (ms)",
                             "mean half-width (ms)",
                             "mean level",
                             "mean standard uncertainty (ms)",
                             "mean degrees of freedom",
                             "mean basis",
                             "runs",
                             "captures",
                             "trials without a run",
                             "these runs only",
                             "SD of run means (ms)",
                             "SD of run means by their trials alone (ms)",
                             "SD (ms)",
                             "median (ms)",
                             "median low (ms)",
                             "median high (ms)",
                             "lower quartile (ms)",
                             "upper quartile (ms)",
                             "min (ms)",
                             "max (ms)",
                             "mean with rejected trials (ms)",
                             "difference (ms)",
                             "difference low (ms)",
                             "difference high (ms)",
                             "difference half-width (ms)",
                             "difference level",
                             "difference standard uncertainty (ms)",
                             "difference degrees of freedom",
                             "coverage factor of the difference",
                             "comparisons held together",
                             "rho",
                             "blocks taken out",
                             "trials with a partner of the same press",
                             "analysed by pairs",
                             "low for same within the margin (ms)",
                             "high for same within the margin (ms)",
                             "difference of these runs only",
                             "smallest resolvable difference (ms)",
                             "interim",
                             "verdict",
                             "MAD (ms)",
                             "trials apart",
                             "trend over trials (ms a trial)",
                             "trend over trials p",
                             "mean (refresh intervals)",
                             "mean (game frames)",
                             "shift by ranks (ms)",
                             "shift by ranks low (ms)",
                             "shift by ranks high (ms)",
                             "ranks p"})
        csv.text(name);
    csv.endRow();
}

std::string rejectReasons(const analysis::ConfigurationResult& result)
{
    std::string reasons;
    for (const auto& [reason, count] : result.rejects)
        reasons += (reasons.empty() ? "" : "; ") + std::string(session::label(reason)) + ' ' + std::to_string(count);
    return reasons;
}

std::string frameCountWords(const session::Document& document, const analysis::ConfigurationResult& result)
{
    std::string counts;
    for (const analysis::FrameCounts& each : result.frameCounts) {
        const session::Clock* clock = find(document, each.clock);
        counts += (counts.empty() ? "" : "; ") + (clock ? clock->name : std::string("no clock")) + ": "
                  + std::to_string(each.least) + " to " + std::to_string(each.most) + " in "
                  + analysis::counted(each.trials, "trial", "trials");
    }
    return counts;
}

void resultRow(Csv& csv, const session::Document& document, const analysis::Results& results,
               const analysis::ConfigurationResult& result)
{
    csv.text(result.name).text(find(document, result.configuration)->group).yes(result.baseline);
    csv.whole(result.trials)
        .whole(result.n)
        .whole(result.rejected)
        .text(rejectReasons(result))
        .whole(result.noReaction);
    csv.whole(result.notRead)
        .whole(result.clockNotSettled)
        .whole(result.noDelay)
        .whole(result.open)
        .text(frameCountWords(document, result));

    const stats::MeanOnBasis* mean = result.mean.shown();
    csv.number(mean ? OptionalNumber(mean->estimateMs) : OptionalNumber());
    expanded(csv, mean ? mean->interval : std::nullopt);
    csv.text(mean ? basisName(mean->basis) : "");
    if (result.mean.runs > 0)
        csv.whole(result.mean.runs);
    else
        csv.empty(); // not known
    csv.whole(result.mean.captures).whole(result.mean.withoutRun).yes(result.mean.theseRunsOnly);
    const std::optional<stats::RunScatter>& runs = result.mean.runScatter;
    csv.number(runs ? OptionalNumber(runs->sdMs) : OptionalNumber());
    csv.number(runs ? OptionalNumber(runs->trialsMs) : OptionalNumber());

    const stats::Summary& summary = result.summary;
    csv.number(summary.sd).number(summary.median);
    csv.number(result.median ? OptionalNumber(result.median->low) : OptionalNumber());
    csv.number(result.median ? OptionalNumber(result.median->high) : OptionalNumber());
    csv.number(summary.lowerQuartile).number(summary.upperQuartile).number(summary.min).number(summary.max);
    csv.number(result.meanWithRejectsMs);

    const bool compared = result.comparison.has_value();
    csv.number(compared ? result.comparison->differenceMs : OptionalNumber());
    expanded(csv, compared ? result.comparison->interval : std::nullopt);
    const bool interval = compared && result.comparison->interval;
    csv.number(interval ? OptionalNumber(result.comparison->interval->factor) : OptionalNumber());
    if (compared)
        csv.whole(result.comparison->comparisons);
    else
        csv.empty();
    csv.number(interval ? OptionalNumber(result.comparison->rho) : OptionalNumber());
    csv.yes(interval && result.comparison->blocksOut);
    csv.whole(interval ? result.comparison->partners : 0).yes(interval && result.comparison->pairs);
    csv.number(interval ? OptionalNumber(result.comparison->equivalence->low()) : OptionalNumber());
    csv.number(interval ? OptionalNumber(result.comparison->equivalence->high()) : OptionalNumber());
    csv.yes(interval && ofTheseRunsOnly(results, result));
    csv.number(compared ? result.comparison->smallestResolvableMs : OptionalNumber());
    csv.yes(result.planned && (compared ? result.comparison->interim : result.n < *result.planned));
    csv.text(verdictWords(results, result));

    const analysis::Checks& checks = result.checks;
    const auto of = [](const auto& check, auto member) {
        return check ? OptionalNumber((*check).*member) : OptionalNumber();
    };
    csv.number(checks.madMs).whole(std::ssize(checks.apart));
    csv.number(of(checks.overTrials, &stats::Trend::slope)).number(of(checks.overTrials, &stats::Trend::p));
    csv.number(checks.refreshIntervals).number(checks.gameFrames);
    csv.number(of(checks.ranks, &stats::RankCheck::shift));
    csv.number(checks.ranks ? checks.ranks->low : OptionalNumber())
        .number(checks.ranks ? checks.ranks->high : OptionalNumber());
    csv.number(of(checks.ranks, &stats::RankCheck::p));
    csv.endRow();
}

std::string settledReader(const session::Trial& trial)
{
    const session::Reading* reading = countingReading(trial);
    return reading ? reading->reader : std::string();
}

template <class Value> void optionalWhole(Csv& csv, const std::optional<Value>& field)
{
    if (field)
        csv.whole(field->value);
    else
        csv.empty();
}

void trialDelay(Csv& csv, const timing::TrialDelay& delay, const analysis::Corrections& corrections)
{
    csv.number(delay.delay.count()).number(delay.earliest.count()).number(delay.latest.count());
    csv.number(corrections.rows.add.count())
        .number(corrections.scanOut.add.count())
        .number(corrections.lampLead.add.count());
    csv.number(corrections.all().halfWidth.count());
}

void trialRow(Csv& csv, const session::Document& document, const analysis::TrialOutcome& outcome,
              std::optional<double> share)
{
    const session::Trial& trial = *find(document, outcome.trial);
    const session::Capture& capture = *find(document, outcome.capture);
    const session::Configuration* configuration = find(document, outcome.configuration);
    const session::Run* run = find(document, outcome.run);
    csv.whole(trial.id.value)
        .text(configuration ? configuration->name : "")
        .text(run ? run->name : "")
        .text(capture.name);
    optionalWhole(csv, outcome.press);
    optionalWhole(csv, outcome.response);
    optionalWhole(csv, outcome.counted);
    optionalWhole(csv, outcome.missing);
    if (outcome.delay)
        trialDelay(csv, *outcome.delay, outcome.corrections);
    else
        for (int field = 0; field < 7; ++field)
            csv.empty();
    csv.number(share).text(label(outcome.state)).text(outcome.sentence);
    csv.text(trial.reject ? session::label(trial.reject->reason) : "").text(trial.reject ? trial.reject->note : "");
    csv.yes(outcome.open).yes(outcome.doubtful).text(settledReader(trial)).whole(std::ssize(trial.readings));
    csv.text(trial.note).text(capture.sha256).endRow();
}

} // namespace

std::string resultsCsv(const session::Document& document, const analysis::Results& results)
{
    Csv csv;
    resultsHeader(csv);
    for (const analysis::ConfigurationResult& result : results.configurations)
        resultRow(csv, document, results, result);
    return csv.str();
}

std::string earlierCsv(const session::Document& document, const analysis::Results& results)
{
    Csv csv;
    for (const char* name : {"session",
                             "file",
                             "SHA-256 of the file",
                             "file read",
                             "configuration",
                             "measured here as",
                             "trials",
                             "trials in the mean",
                             "rejected",
                             "runs",
                             "mean (ms)",
                             "mean low (ms)",
                             "mean high (ms)",
                             "mean half-width (ms)",
                             "mean level",
                             "mean standard uncertainty (ms)",
                             "mean degrees of freedom",
                             "median (ms)",
                             "minus",
                             "by way of",
                             "difference (ms)",
                             "difference low (ms)",
                             "difference high (ms)",
                             "difference half-width (ms)",
                             "difference level",
                             "difference standard uncertainty (ms)",
                             "difference degrees of freedom",
                             "verdict"})
        csv.text(name);
    csv.endRow();
    const auto nameOf = [&](const analysis::ConfigurationResult* result) { return result ? result->name : ""; };
    for (const analysis::EarlierResults& earlier : results.earlier) {
        const session::EarlierSession& from = *find(document, earlier.session);
        for (const analysis::ConfigurationResult& result : earlier.configurations) {
            const bool bridge = result.configuration == earlier.there;
            csv.text(earlier.title).text(from.path).text(from.sha256).text(from.time).text(result.name);
            csv.text(bridge ? nameOf(find(results, earlier.here)) : "");
            csv.whole(result.trials).whole(result.n).whole(result.rejected);
            if (result.mean.runs > 0)
                csv.whole(result.mean.runs);
            else
                csv.empty(); // not known
            const stats::MeanOnBasis* mean = result.mean.shown();
            csv.number(mean ? OptionalNumber(mean->estimateMs) : OptionalNumber());
            expanded(csv, mean ? mean->interval : std::nullopt);
            csv.number(result.summary.median);
            const stats::Comparison* comparison = result.comparison ? &*result.comparison : nullptr;
            csv.text(comparison ? nameOf(find(results, results.baseline)) : "");
            csv.text(comparison ? nameOf(find(results, earlier.here)) : "");
            csv.number(comparison ? comparison->differenceMs : std::nullopt);
            expanded(csv, comparison ? comparison->interval : std::nullopt);
            csv.text(bridge ? "Measured in both" : verdictWords(results, result));
            csv.endRow();
        }
    }
    return csv.str();
}

std::string trialsCsv(const session::Document& document, const analysis::Results& results)
{
    Csv csv;
    for (const char* name : {"trial",
                             "configuration",
                             "run",
                             "capture",
                             "press frame",
                             "response frame",
                             "counted (camera frames)",
                             "missing (camera frames)",
                             "delay (ms)",
                             "earliest (ms)",
                             "latest (ms)",
                             "added for rows (ms)",
                             "added for scan-out (ms)",
                             "added for the lamp's lead (ms)",
                             "half-width of what was added (ms)",
                             "share of the mean",
                             "state",
                             "why it doesn't count",
                             "reject reason",
                             "reject note",
                             "open",
                             "doubtful",
                             "reader",
                             "readings",
                             "note",
                             "SHA-256 of the capture"})
        csv.text(name);
    csv.endRow();
    std::map<session::ConfigurationId, std::size_t> counted;
    for (const analysis::TrialOutcome& outcome : results.trials) {
        const analysis::ConfigurationResult* configuration = find(results, outcome.configuration);
        std::optional<double> share;
        if (configuration && outcome.state == analysis::TrialState::Counts)
            share = configuration->mean.weights[counted[outcome.configuration]++];
        trialRow(csv, document, outcome, share);
    }
    return csv.str();
}

} // namespace report
