#include "core/report/tables.h"
#include "core/report/budget_table.h"
#include "core/analysis/phrases.h"
#include "core/report/csv.h"
#include "core/analysis/figures.h"
#include "core/report/sentences.h"

#include <map>

namespace report {
namespace {

using stats::Comparison, stats::Expanded;

template <class T> const T* pointerTo(const std::optional<T>& value) { return value ? &*value : nullptr; }

template <class Named> std::string nameCell(const Named* named) { return named ? csv::text(named->name) : ""; }

std::string runsCell(const analysis::ConfigurationResult& result)
{
    return result.mean.runs > 0 ? csv::whole(result.mean.runs) : ""; // not known
}

/// A configuration of this session or an earlier one; pointers are null where there is none.
struct ConfigurationRow {
    const analysis::Results& results;
    const analysis::ConfigurationResult& result;
    const stats::MeanOnBasis* mean = result.mean.shown();
    const Expanded* meanInterval = mean ? pointerTo(mean->interval) : nullptr;
    const Expanded* difference = result.comparison ? pointerTo(result.comparison->interval) : nullptr;
};

struct ResultRow : ConfigurationRow {
    const session::Document& document;
    const Comparison* drawn = difference ? &*result.comparison : nullptr; ///< with an interval
    const Expanded* same = drawn ? pointerTo(drawn->equivalence) : nullptr;
    bool interim = result.planned && (result.comparison ? result.comparison->interim : result.n < *result.planned);
};

std::string rejectReasons(const analysis::ConfigurationResult& result)
{
    std::string reasons;
    for (const auto& [reason, count] : result.rejects)
        analysis::join(reasons, session::label(reason) + (' ' + std::to_string(count)), "; ");
    return reasons;
}

std::string frameCountWords(const session::Document& document, const analysis::ConfigurationResult& result)
{
    std::string counts;
    for (const analysis::FrameCounts& each : result.frameCounts) {
        const session::Clock* clock = find(document, each.clock);
        analysis::join(counts,
                       (clock ? clock->name : "no clock") + ": " + std::to_string(each.least) + " to "
                           + std::to_string(each.most) + " in " + analysis::counted(each.trials, "trial"),
                       "; ");
    }
    return counts;
}

constexpr csv::Column<ResultRow> resultColumns[] = {
    {"configuration", [](auto& r) { return csv::text(r.result.name); }},
    {"group", [](auto& r) { return csv::text(find(r.document, r.result.configuration)->group); }},
    {"baseline", [](auto& r) { return csv::yes(r.result.baseline); }},
    {"trials", [](auto& r) { return csv::whole(r.result.trials); }},
    {"trials in the mean", [](auto& r) { return csv::whole(r.result.n); }},
    {"rejected", [](auto& r) { return csv::whole(r.result.rejected); }},
    {"reject reasons", [](auto& r) { return csv::text(rejectReasons(r.result)); }},
    {"no reaction", [](auto& r) { return csv::whole(r.result.noReaction); }},
    {"not read", [](auto& r) { return csv::whole(r.result.notRead); }},
    {"clock not settled", [](auto& r) { return csv::whole(r.result.clockNotSettled); }},
    {"no delay", [](auto& r) { return csv::whole(r.result.noDelay); }},
    {"open", [](auto& r) { return csv::whole(r.result.open); }},
    {"camera frames without settled clock", [](auto& r) { return csv::text(frameCountWords(r.document, r.result)); }},
    {"mean (ms)", [](auto& r) { return csv::number(r.mean, &stats::MeanOnBasis::estimateMs); }},
    {"mean low (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::low); }},
    {"mean high (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::high); }},
    {"mean half-width (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::halfWidthMs); }},
    {"mean level", [](auto& r) { return csv::number(r.meanInterval, &Expanded::level); }},
    {"mean standard uncertainty (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::uMs); }},
    {"mean degrees of freedom", [](auto& r) { return csv::number(r.meanInterval, &Expanded::dof); }},
    {"mean basis", [](auto& r) { return csv::text(r.mean ? basisName(r.mean->basis) : ""); }},
    {"runs", [](auto& r) { return runsCell(r.result); }},
    {"captures", [](auto& r) { return csv::whole(r.result.mean.captures); }},
    {"trials without a run", [](auto& r) { return csv::whole(r.result.mean.withoutRun); }},
    {"these runs only", [](auto& r) { return csv::yes(r.result.mean.theseRunsOnly); }},
    {"SD of run means (ms)", [](auto& r) { return csv::number(r.result.mean.runScatter, &stats::RunScatter::sdMs); }},
    {"SD of run means by their trials alone (ms)",
     [](auto& r) { return csv::number(r.result.mean.runScatter, &stats::RunScatter::trialsMs); }},
    {"SD (ms)", [](auto& r) { return csv::number(r.result.summary.sd); }},
    {"median (ms)", [](auto& r) { return csv::number(r.result.summary.median); }},
    {"median low (ms)", [](auto& r) { return csv::number(r.result.median, &stats::MedianInterval::low); }},
    {"median high (ms)", [](auto& r) { return csv::number(r.result.median, &stats::MedianInterval::high); }},
    {"lower quartile (ms)", [](auto& r) { return csv::number(r.result.summary.lowerQuartile); }},
    {"upper quartile (ms)", [](auto& r) { return csv::number(r.result.summary.upperQuartile); }},
    {"min (ms)", [](auto& r) { return csv::number(r.result.summary.min); }},
    {"max (ms)", [](auto& r) { return csv::number(r.result.summary.max); }},
    {"mean with rejected trials (ms)", [](auto& r) { return csv::number(r.result.meanWithRejectsMs); }},
    {"difference (ms)", [](auto& r) { return csv::number(r.result.comparison, &Comparison::differenceMs); }},
    {"difference low (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::low); }},
    {"difference high (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::high); }},
    {"difference half-width (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::halfWidthMs); }},
    {"difference level", [](auto& r) { return csv::number(r.difference, &Expanded::level); }},
    {"difference standard uncertainty (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::uMs); }},
    {"difference degrees of freedom", [](auto& r) { return csv::number(r.difference, &Expanded::dof); }},
    {"coverage factor of the difference", [](auto& r) { return csv::number(r.difference, &Expanded::factor); }},
    {"comparisons held together",
     [](auto& r) { return r.result.comparison ? csv::whole(r.result.comparison->comparisons) : ""; }},
    {"rho", [](auto& r) { return csv::number(r.drawn, &Comparison::rho); }},
    {"blocks taken out", [](auto& r) { return csv::yes(r.drawn && r.drawn->blocksOut); }},
    {"trials with a partner of the same press", [](auto& r) { return csv::whole(r.drawn ? r.drawn->partners : 0); }},
    {"analysed by pairs", [](auto& r) { return csv::yes(r.drawn && r.drawn->pairs); }},
    {"low for same within the margin (ms)", [](auto& r) { return csv::number(r.same, &Expanded::low); }},
    {"high for same within the margin (ms)", [](auto& r) { return csv::number(r.same, &Expanded::high); }},
    {"difference of these runs only",
     [](auto& r) { return csv::yes(r.drawn && ofTheseRunsOnly(r.results, r.result)); }},
    {"smallest resolvable difference (ms)",
     [](auto& r) { return csv::number(r.result.comparison, &Comparison::smallestResolvableMs); }},
    {"interim", [](auto& r) { return csv::yes(r.interim); }},
    {"verdict", [](auto& r) { return csv::text(verdictWords(r.results, r.result)); }},
    {"MAD (ms)", [](auto& r) { return csv::number(r.result.checks.madMs); }},
    {"trials apart", [](auto& r) { return csv::whole(std::ssize(r.result.checks.apart)); }},
    {"trend over trials (ms a trial)",
     [](auto& r) { return csv::number(r.result.checks.overTrials, &stats::Trend::slope); }},
    {"trend over trials p", [](auto& r) { return csv::number(r.result.checks.overTrials, &stats::Trend::p); }},
    {"mean (refresh intervals)", [](auto& r) { return csv::number(r.result.checks.refreshIntervals); }},
    {"mean (game frames)", [](auto& r) { return csv::number(r.result.checks.gameFrames); }},
    {"shift by ranks (ms)", [](auto& r) { return csv::number(r.result.checks.ranks, &stats::RankCheck::shift); }},
    {"shift by ranks low (ms)", [](auto& r) { return csv::number(r.result.checks.ranks, &stats::RankCheck::low); }},
    {"shift by ranks high (ms)", [](auto& r) { return csv::number(r.result.checks.ranks, &stats::RankCheck::high); }},
    {"ranks p", [](auto& r) { return csv::number(r.result.checks.ranks, &stats::RankCheck::p); }},
};

struct EarlierRow : ConfigurationRow {
    const session::EarlierSession& from;
    const analysis::EarlierResults& earlier;
    bool bridge = result.configuration == earlier.there;
};

constexpr csv::Column<EarlierRow> earlierColumns[] = {
    {"session", [](auto& r) { return csv::text(r.earlier.title); }},
    {"file", [](auto& r) { return csv::text(r.from.path); }},
    {"SHA-256 of the file", [](auto& r) { return csv::text(r.from.sha256); }},
    {"file read", [](auto& r) { return csv::text(r.from.time); }},
    {"configuration", [](auto& r) { return csv::text(r.result.name); }},
    {"measured here as", [](auto& r) { return r.bridge ? nameCell(find(r.results, r.earlier.here)) : ""; }},
    {"trials", [](auto& r) { return csv::whole(r.result.trials); }},
    {"trials in the mean", [](auto& r) { return csv::whole(r.result.n); }},
    {"rejected", [](auto& r) { return csv::whole(r.result.rejected); }},
    {"runs", [](auto& r) { return runsCell(r.result); }},
    {"mean (ms)", [](auto& r) { return csv::number(r.mean, &stats::MeanOnBasis::estimateMs); }},
    {"mean low (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::low); }},
    {"mean high (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::high); }},
    {"mean half-width (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::halfWidthMs); }},
    {"mean level", [](auto& r) { return csv::number(r.meanInterval, &Expanded::level); }},
    {"mean standard uncertainty (ms)", [](auto& r) { return csv::number(r.meanInterval, &Expanded::uMs); }},
    {"mean degrees of freedom", [](auto& r) { return csv::number(r.meanInterval, &Expanded::dof); }},
    {"median (ms)", [](auto& r) { return csv::number(r.result.summary.median); }},
    {"minus", [](auto& r) { return r.result.comparison ? nameCell(find(r.results, r.results.baseline)) : ""; }},
    {"by way of", [](auto& r) { return r.result.comparison ? nameCell(find(r.results, r.earlier.here)) : ""; }},
    {"difference (ms)", [](auto& r) { return csv::number(r.result.comparison, &Comparison::differenceMs); }},
    {"difference low (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::low); }},
    {"difference high (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::high); }},
    {"difference half-width (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::halfWidthMs); }},
    {"difference level", [](auto& r) { return csv::number(r.difference, &Expanded::level); }},
    {"difference standard uncertainty (ms)", [](auto& r) { return csv::number(r.difference, &Expanded::uMs); }},
    {"difference degrees of freedom", [](auto& r) { return csv::number(r.difference, &Expanded::dof); }},
    {"verdict", [](auto& r) { return r.bridge ? "Measured in both" : csv::text(verdictWords(r.results, r.result)); }},
};

struct TrialRow {
    const session::Document& document;
    const analysis::TrialOutcome& outcome;
    std::optional<double> share;
    const session::Trial& trial = *find(document, outcome.trial);
    const session::Capture& capture = *find(document, outcome.capture);
    const session::Reading* reading = countingReading(trial); ///< null: none
};

template <class Value> std::string frameCell(const std::optional<Value>& field)
{
    return field ? csv::whole(field->value) : "";
}

std::string delayCell(const TrialRow& row, timing::Milliseconds timing::TrialDelay::*part)
{
    return row.outcome.delay ? csv::number(((*row.outcome.delay).*part).count()) : "";
}

std::string addedCell(const TrialRow& row, timing::Milliseconds added)
{
    return row.outcome.delay ? csv::number(added.count()) : "";
}

constexpr csv::Column<TrialRow> trialColumns[] = {
    {"trial", [](auto& r) { return csv::whole(r.trial.id.value); }},
    {"configuration", [](auto& r) { return nameCell(find(r.document, r.outcome.configuration)); }},
    {"run", [](auto& r) { return nameCell(find(r.document, r.outcome.run)); }},
    {"capture", [](auto& r) { return csv::text(r.capture.name); }},
    {"press frame", [](auto& r) { return frameCell(r.outcome.press); }},
    {"response frame", [](auto& r) { return frameCell(r.outcome.response); }},
    {"counted (camera frames)", [](auto& r) { return frameCell(r.outcome.counted); }},
    {"missing (camera frames)", [](auto& r) { return frameCell(r.outcome.missing); }},
    {"delay (ms)", [](auto& r) { return delayCell(r, &timing::TrialDelay::delay); }},
    {"earliest (ms)", [](auto& r) { return delayCell(r, &timing::TrialDelay::earliest); }},
    {"latest (ms)", [](auto& r) { return delayCell(r, &timing::TrialDelay::latest); }},
    {"added for rows (ms)", [](auto& r) { return addedCell(r, r.outcome.corrections.rows.add); }},
    {"added for scan-out (ms)", [](auto& r) { return addedCell(r, r.outcome.corrections.scanOut.add); }},
    {"added for the lamp's lead (ms)", [](auto& r) { return addedCell(r, r.outcome.corrections.lampLead.add); }},
    {"half-width of what was added (ms)", [](auto& r) { return addedCell(r, r.outcome.corrections.all().halfWidth); }},
    {"share of the mean", [](auto& r) { return csv::number(r.share); }},
    {"state", [](auto& r) { return csv::text(label(r.outcome.state)); }},
    {"why it doesn't count", [](auto& r) { return csv::text(r.outcome.sentence); }},
    {"reject reason", [](auto& r) { return r.trial.reject ? csv::text(session::label(r.trial.reject->reason)) : ""; }},
    {"reject note", [](auto& r) { return r.trial.reject ? csv::text(r.trial.reject->note) : ""; }},
    {"open", [](auto& r) { return csv::yes(r.outcome.open); }},
    {"doubtful", [](auto& r) { return csv::yes(r.outcome.doubtful); }},
    {"reader", [](auto& r) { return r.reading ? csv::text(r.reading->reader) : ""; }},
    {"readings", [](auto& r) { return csv::whole(std::ssize(r.trial.readings)); }},
    {"note", [](auto& r) { return csv::text(r.trial.note); }},
    {"SHA-256 of the capture", [](auto& r) { return csv::text(r.capture.sha256); }},
};

} // namespace

std::string resultsCsv(const session::Document& document, const analysis::Results& results)
{
    std::vector<ResultRow> rows;
    for (const analysis::ConfigurationResult& result : results.configurations)
        rows.push_back({{results, result}, document});
    return csv::table(resultColumns, rows);
}

std::string earlierCsv(const session::Document& document, const analysis::Results& results)
{
    std::vector<EarlierRow> rows;
    for (const analysis::EarlierResults& earlier : results.earlier)
        for (const analysis::ConfigurationResult& result : earlier.configurations)
            rows.push_back({{results, result}, *find(document, earlier.session), earlier});
    return csv::table(earlierColumns, rows);
}

std::string trialsCsv(const session::Document& document, const analysis::Results& results)
{
    std::vector<TrialRow> rows;
    std::map<session::ConfigurationId, std::size_t> seen;
    for (const analysis::TrialOutcome& outcome : results.trials) {
        const analysis::ConfigurationResult* configuration = find(results, outcome.configuration);
        std::optional<double> share;
        if (configuration && outcome.state == analysis::TrialState::Counts)
            share = configuration->mean.weights[seen[outcome.configuration]++];
        rows.push_back({document, outcome, share});
    }
    return csv::table(trialColumns, rows);
}

} // namespace report
