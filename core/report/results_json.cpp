#include "core/report/results_json.h"
#include "core/report/budget_table.h"
#include "core/report/correction_words.h"
#include "core/analysis/reading_agreement.h"
#include "core/report/sentences.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <cassert>
#include <cmath>

namespace report {
namespace {

QString text(const std::string& value) { return QString::fromStdString(value); }

/// made(*of), or null where there is nothing.
template <class Holder, class Make> QJsonValue ifThere(const Holder& of, Make made)
{
    return of ? QJsonValue(made(*of)) : QJsonValue();
}

template <class Things, class Make> QJsonArray listOf(const Things& things, Make made)
{
    QJsonArray array;
    for (const auto& each : things)
        array.append(QJsonValue(made(each)));
    return array;
}

QJsonValue number(double value) { return std::isfinite(value) ? QJsonValue(value) : QJsonValue(); }
QJsonValue number(const std::optional<double>& value) { return value ? number(*value) : QJsonValue(); }
QJsonArray numbers(const std::vector<double>& values)
{
    return listOf(values, [](double each) { return each; });
}
QJsonArray texts(const std::vector<std::string>& values)
{
    return listOf(values, [](const std::string& each) { return text(each); });
}

QJsonValue whole(std::int64_t value) { return static_cast<qint64>(value); }
template <class Value> QJsonValue place(const std::optional<Value>& value)
{
    return value ? whole(value->value) : QJsonValue();
}

template <class Named> QJsonValue nameOf(const Named* named)
{
    return named ? QJsonValue(text(named->name)) : QJsonValue();
}

QJsonValue interval(const std::optional<stats::Expanded>& expanded)
{
    if (!expanded)
        return {};
    return QJsonObject{{"lowMs", number(expanded->low())},
                       {"highMs", number(expanded->high())},
                       {"halfWidthMs", number(expanded->halfWidthMs)},
                       {"uMs", number(expanded->uMs)},
                       {"dof", number(expanded->dof)},
                       {"level", expanded->level},
                       {"factor", number(expanded->factor)}};
}

QJsonArray budget(const std::vector<stats::BudgetLine>& lines, const std::optional<stats::Expanded>& interval)
{
    return listOf(budgetTable(lines, interval.value_or(stats::Expanded{})).rows, [&](const BudgetRow& row) {
        return QJsonObject{{"kind", row.kind},
                           {"label", text(row.cause)},
                           {"u", number(row.u)},
                           {"unit", row.unit},
                           {"weight", number(row.weight)},
                           {"weightUnit", row.weightUnit},
                           {"uMs", number(row.uMs)},
                           {"dof", number(row.dof)},
                           {"share", interval ? number(row.share) : QJsonValue()}};
    });
}

QJsonObject runScatter(const stats::RunScatter& found)
{
    return {{"units", found.units},
            {"sdMs", number(found.sdMs)},
            {"withinMs", number(found.withinMs)},
            {"trialsMs", number(found.trialsMs)}};
}

QString verdictName(stats::Verdict verdict)
{
    switch (verdict) {
    case stats::Verdict::NoBaseline: return QStringLiteral("no baseline");
    case stats::Verdict::TooFewTrials: return QStringLiteral("too few trials");
    case stats::Verdict::Longer: return QStringLiteral("longer");
    case stats::Verdict::Shorter: return QStringLiteral("shorter");
    case stats::Verdict::LongerWithinMargin: return QStringLiteral("longer within the margin");
    case stats::Verdict::ShorterWithinMargin: return QStringLiteral("shorter within the margin");
    case stats::Verdict::SameWithinMargin: return QStringLiteral("same within the margin");
    case stats::Verdict::NotResolved: return QStringLiteral("not resolved");
    }
    assert(false);
    return {};
}

QJsonObject needed(const stats::Needed& effort) { return {{"trials", effort.trials}, {"runs", effort.runs}}; }

QJsonValue comparison(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    if (!result.comparison)
        return {};
    const stats::Comparison& compared = *result.comparison;
    const stats::Effort effort = compared.effort.value_or(stats::Effort{});
    return QJsonObject{{"verdict", verdictName(compared.verdict)},
                       {"words", text(verdictWords(results, result))},
                       {"interim", compared.interim},
                       {"differenceMs", number(compared.differenceMs)},
                       {"interval", interval(compared.interval)},
                       {"equivalence", interval(compared.equivalence)},
                       {"comparisons", compared.comparisons},
                       {"rho", compared.interval ? number(compared.rho) : QJsonValue()},
                       {"blocksOut", compared.blocksOut},
                       {"ownScatter", compared.ownScatter},
                       {"partners", compared.partners},
                       {"pairs", compared.pairs},
                       {"blocksLeftIn", text(result.blocksLeftIn)},
                       {"budget", budget(compared.lines, compared.interval)},
                       {"smallestResolvableMs", number(compared.smallestResolvableMs)},
                       {"toResolve", ifThere(effort.toResolve, needed)},
                       {"toShowSame", ifThere(effort.toShowSame, needed)}};
}

QJsonArray frameCountsArray(const session::Document& document, const analysis::ConfigurationResult& result)
{
    return listOf(result.frameCounts, [&](const analysis::FrameCounts& counts) {
        return QJsonObject{{"clock", nameOf(find(document, counts.clock))},
                           {"trials", counts.trials},
                           {"least", whole(counts.least)},
                           {"most", whole(counts.most)}};
    });
}

QJsonObject trend(const stats::Trend& found)
{
    return {{"s", found.s}, {"variance", found.variance}, {"z", found.z},
            {"p", found.p}, {"exact", found.exact},       {"slopeMs", found.slope}};
}

QJsonObject ranks(const stats::RankCheck& check)
{
    return {{"u", check.u},
            {"p", check.p},
            {"exact", check.exact},
            {"shiftMs", check.shift},
            {"lowMs", number(check.low)},
            {"highMs", number(check.high)},
            {"level", check.level}};
}

QJsonObject checks(const analysis::Checks& found)
{
    const QJsonArray apart = listOf(found.apart, [](const analysis::Apart& each) {
        return QJsonObject{{"trial", whole(each.trial.value)}, {"delayMs", each.delayMs}, {"far", each.far}};
    });
    const QJsonValue groups = ifThere(found.groups, [](const stats::TwoGroups& each) {
        return QJsonObject{
            {"lowMeanMs", each.lowMean}, {"highMeanMs", each.highMean}, {"low", each.low}, {"high", each.high}};
    });
    const QJsonValue bunching = ifThere(found.bunching, [](const stats::Bunching& each) {
        return QJsonObject{{"phaseMs", each.phase}, {"concentration", each.concentration}, {"p", each.p}};
    });
    return {{"madMs", number(found.madMs)},
            {"apart", apart},
            {"trendOverTrials", ifThere(found.overTrials, trend)},
            {"trendOverRuns", ifThere(found.overRuns, trend)},
            {"twoGroups", groups},
            {"bunching", bunching},
            {"refreshIntervals", number(found.refreshIntervals)},
            {"gameFrames", number(found.gameFrames)},
            {"ranks", ifThere(found.ranks, ranks)},
            {"blockDifferencesMs", found.blocks ? numbers(found.blocks->differencesMs) : QJsonArray()},
            {"blocks", found.blocks ? interval(found.blocks->mean) : QJsonValue()}};
}

QJsonObject onBasis(const stats::MeanOnBasis& mean)
{
    return {{"meanMs", number(mean.estimateMs)}, {"interval", interval(mean.interval)}};
}

QJsonObject configuration(const session::Document& document, const analysis::Results& results,
                          const analysis::ConfigurationResult& result)
{
    QJsonObject rejects;
    for (const auto& [reason, count] : result.rejects)
        rejects.insert(QLatin1String(session::label(reason)), count);
    const stats::MeanOnBasis* mean = result.mean.shown();
    const stats::Summary& summary = result.summary;
    return {{"name", text(result.name)},
            {"group", text(find(document, result.configuration)->group)},
            {"baseline", result.baseline},
            {"trials", result.trials},
            {"n", result.n},
            {"rejected", result.rejected},
            {"rejects", rejects},
            {"noReaction", result.noReaction},
            {"notRead", result.notRead},
            {"clockNotSettled", result.clockNotSettled},
            {"noDelay", result.noDelay},
            {"open", result.open},
            {"frameCounts", frameCountsArray(document, result)},
            {"delaysMs", numbers(result.delaysMs)},
            {"meanMs", mean ? number(mean->estimateMs) : QJsonValue()},
            {"interval", mean ? interval(mean->interval) : QJsonValue()},
            {"basis", mean ? QJsonValue(QLatin1String(basisName(mean->basis))) : QJsonValue()},
            {"overTrials", ifThere(result.mean.overTrials, onBasis)},
            {"overRuns", ifThere(result.mean.overRuns, onBasis)},
            {"budget", mean ? budget(mean->lines, mean->interval) : QJsonArray()},
            {"runs", result.mean.runs > 0 ? QJsonValue(result.mean.runs) : QJsonValue()},
            {"captures", result.mean.captures},
            {"withoutRun", result.mean.withoutRun},
            {"theseRunsOnly", result.mean.theseRunsOnly},
            {"runScatter", ifThere(result.mean.runScatter, runScatter)},
            {"sdMs", number(summary.sd)},
            {"medianMs", number(summary.median)},
            {"medianLowMs", result.median ? number(result.median->low) : QJsonValue()},
            {"medianHighMs", result.median ? number(result.median->high) : QJsonValue()},
            {"lowerQuartileMs", number(summary.lowerQuartile)},
            {"upperQuartileMs", number(summary.upperQuartile)},
            {"minMs", number(summary.min)},
            {"maxMs", number(summary.max)},
            {"meanWithRejectsMs", number(result.meanWithRejectsMs)},
            {"checks", checks(result.checks)},
            {"comparison", comparison(results, result)}};
}

QJsonObject correction(const timing::Correction& each)
{
    return {{"addMs", number(each.add.count())}, {"halfWidthMs", number(each.halfWidth.count())}};
}

QJsonObject corrections(const analysis::Corrections& all)
{
    return {{"rows", correction(all.rows)},
            {"scanOut", correction(all.scanOut)},
            {"lampLead", correction(all.lampLead)},
            {"onset", correction(all.onset)}};
}

QJsonValue readout(const session::Readout& each)
{
    switch (each.kind) {
    case session::ReadoutKind::Unknown: return {};
    case session::ReadoutKind::AllAtOnce: return QJsonObject{{"allRowsAtOnce", true}};
    case session::ReadoutKind::LineTime: break;
    }
    const char* const directions[] = {"unknown", "first row first", "last row first"};
    return QJsonObject{{"allRowsAtOnce", false},
                       {"lineTimeMs", number(1000 * each.lineTimeSeconds)},
                       {"uncertaintyMs", number(1000 * each.uncertaintySeconds)},
                       {"direction", directions[static_cast<std::size_t>(each.direction)]},
                       {"note", text(each.note)}};
}

/// What the session says of shifts that all delays share.
QJsonObject sharedCorrections(const session::Document& document, const analysis::Results& results)
{
    const session::EventDefinition& event = document.settings.event;
    return {{"lampLeadMs", event.lampLeadMs},
            {"lampLeadWidthMs", event.lampLeadWidthMs},
            {"onsetWidthMs", event.onsetWidthMs},
            {"commonHeight", number(event.commonHeight)},
            {"scanOutTolerance", event.scanOutTolerance},
            {"sentences", texts(correctionSentences(document, results))}};
}

QJsonObject trial(const session::Document& document, const analysis::TrialOutcome& outcome)
{
    const session::Trial& trial = *find(document, outcome.trial);
    const session::Reading* reading = findReading(trial, outcome.reading);
    const auto ms = [&](timing::Milliseconds timing::TrialDelay::*member) {
        return outcome.delay ? number(((*outcome.delay).*member).count()) : QJsonValue();
    };
    return {
        {"trial", whole(trial.id.value)},
        {"configuration", nameOf(find(document, outcome.configuration))},
        {"run", nameOf(find(document, outcome.run))},
        {"capture", nameOf(find(document, outcome.capture))},
        {"pressFrame", place(outcome.press)},
        {"responseFrame", place(outcome.response)},
        {"countedFrames", place(outcome.counted)},
        {"missingFrames", place(outcome.missing)},
        {"delayMs", ms(&timing::TrialDelay::delay)},
        {"earliestMs", ms(&timing::TrialDelay::earliest)},
        {"latestMs", ms(&timing::TrialDelay::latest)},
        {"corrections", outcome.delay ? QJsonValue(corrections(outcome.corrections)) : QJsonValue()},
        {"state", QLatin1String(label(outcome.state))},
        {"sentence", text(outcome.sentence)},
        {"rejectReason", trial.reject ? QJsonValue(QLatin1String(session::label(trial.reject->reason))) : QJsonValue()},
        {"reader", reading ? QJsonValue(text(reading->reader)) : QJsonValue()},
        {"open", outcome.open},
        {"doubtful", outcome.doubtful}};
}

QString stateName(session::ClockState state)
{
    switch (state) {
    case session::ClockState::Unknown: return QStringLiteral("unknown");
    case session::ClockState::Proposed: return QStringLiteral("proposed");
    case session::ClockState::InDispute: return QStringLiteral("in dispute");
    case session::ClockState::Settled: return QStringLiteral("settled");
    }
    assert(false);
    return {};
}

/// Rates of clocks that aren't settled are left out, so that nobody makes ms of them.
QJsonObject clock(const session::Clock& each)
{
    const session::ClockEvidence* settled = settledEvidence(each);
    return {{"name", text(each.name)},
            {"state", stateName(stateOf(each))},
            {"captureRate", settled ? number(settled->rate.rate) : QJsonValue()},
            {"relativeUncertainty", settled ? number(settled->rate.relativeUncertainty) : QJsonValue()},
            {"readout", readout(each.readout)},
            {"origin", settled ? QJsonValue(QLatin1String(timing::label(settled->rate.origin))) : QJsonValue()}};
}

QJsonObject agreement(const stats::Agreement& found)
{
    const auto& spread = found.spread;
    const auto of = [&](auto member) { return spread ? QJsonValue((*spread).*member) : QJsonValue(); };
    using Spread = stats::Agreement::Spread;
    return {{"equal", found.equal},
            {"withinOne", found.withinOne},
            {"bias", found.bias},
            {"biasLow", of(&Spread::biasLow)},
            {"biasHigh", of(&Spread::biasHigh)},
            {"sd", of(&Spread::sd)},
            {"limitLow", of(&Spread::limitLow)},
            {"limitHigh", of(&Spread::limitHigh)},
            {"readingSd", found.readingSd},
            {"repeatability", stats::repeatability(found)}};
}

QJsonObject readings(const session::Document& document, const analysis::Results& results)
{
    const analysis::ReadingAgreement found = analysis::readingAgreement(document, results);
    const QJsonArray pairs = listOf(found.pairs, [](const analysis::ReaderPair& pair) {
        return QJsonObject{{"first", text(pair.first)},
                           {"second", text(pair.second)},
                           {"trials", pair.count.n},
                           {"blind", pair.blind},
                           {"count", agreement(pair.count)},
                           {"press", agreement(pair.press)},
                           {"response", agreement(pair.response)}};
    });
    const QJsonArray toSettle = listOf(found.toSettle, [](const analysis::ToSettle& each) {
        return QJsonObject{{"trial", whole(each.trial.value)}, {"why", text(each.why)}};
    });
    return {{"readAgain", found.readAgain},
            {"readAgainBlind", found.readAgainBlind},
            {"reactionDiffers", found.reactionDiffers},
            {"readingSdMs", found.inMs > 0 ? QJsonValue(found.readingSdMs) : QJsonValue()},
            {"trialSdMs", number(found.trialSdMs)},
            {"pairs", pairs},
            {"toSettle", toSettle}};
}

QJsonObject earlierSession(const session::Document& document, const analysis::Results& results,
                           const analysis::EarlierResults& earlier)
{
    const session::EarlierSession& from = *find(document, earlier.session);
    const QJsonArray configurations = listOf(earlier.configurations, [&](const analysis::ConfigurationResult& result) {
        const stats::MeanOnBasis* mean = result.mean.shown();
        return QJsonObject{{"name", text(result.name)},
                           {"trials", result.trials},
                           {"n", result.n},
                           {"rejected", result.rejected},
                           {"runs", result.mean.runs > 0 ? QJsonValue(result.mean.runs) : QJsonValue()},
                           {"delaysMs", numbers(result.delaysMs)},
                           {"meanMs", mean ? number(mean->estimateMs) : QJsonValue()},
                           {"interval", mean ? interval(mean->interval) : QJsonValue()},
                           {"basis", mean ? QJsonValue(QLatin1String(basisName(mean->basis))) : QJsonValue()},
                           {"budget", mean ? budget(mean->lines, mean->interval) : QJsonArray()},
                           {"comparison", comparison(results, result)}};
    });
    const analysis::ConfigurationResult *here = find(results, earlier.here),
                                        *there = findAnywhere(results, earlier.there);
    const bool bridged = here && there;
    return {
        {"title", text(earlier.title)},
        {"file", text(from.path)},
        {"sha256", text(from.sha256)},
        {"read", text(from.time)},
        {"firstRead", text(from.firstRead)},
        {"rates", text(from.rates)},
        {"onset", text(from.onset)},
        {"corrections", text(from.corrections)},
        {"cameras", texts(from.cameras)},
        {"bridge", bridged ? QJsonValue(QJsonObject{{"here", nameOf(here)}, {"there", nameOf(there)}}) : QJsonValue()},
        {"configurations", configurations}};
}

} // namespace

QByteArray resultsJson(const session::Document& document, const analysis::Results& results,
                       const std::string& programVersion)
{
    const auto clocks = listOf(document.clocks, [](const auto& item) { return clock(*item.second); });
    const auto configurations =
        listOf(results.configurations, [&](const auto& result) { return configuration(document, results, result); });
    const auto earlier =
        listOf(results.earlier, [&](const auto& each) { return earlierSession(document, results, each); });
    const auto trials = listOf(results.trials, [&](const auto& outcome) { return trial(document, outcome); });
    const QJsonObject all{{"program", text("Tallyframe " + programVersion)},
                          {"title", text(document.settings.title)},
                          {"level", results.level},
                          {"comparisons", results.comparisons},
                          {"pair", results.pair},
                          {"corrections", sharedCorrections(document, results)},
                          {"baseline", nameOf(find(document, results.baseline))},
                          {"marginMs", number(results.marginMs)},
                          {"plannedTrials", results.plannedTrials ? QJsonValue(*results.plannedTrials) : QJsonValue()},
                          {"interim", results.interim},
                          {"untagged", results.untagged},
                          {"warnings", texts(results.warnings)},
                          {"clocks", clocks},
                          {"configurations", configurations},
                          {"earlier", earlier},
                          {"readings", readings(document, results)},
                          {"trials", trials}};
    return QJsonDocument(all).toJson(QJsonDocument::Indented);
}

} // namespace report
