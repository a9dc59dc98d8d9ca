#pragma once
#include "core/analysis/results.h"
#include <QByteArray>

namespace report {

/// analysis::Results for other programs: UTF-8 JSON, times in ms, full precision, keys in alphabetical order, null
/// where there is no value.
///
/// { "program", "title", "level", "comparisons", "pair" (two configurations by themselves, the second as baseline),
/// "baseline" (name), "marginMs", "plannedTrials", "interim", "untagged", "warnings": [text],
///   "clocks": [{ "name", "state": "settled" | "proposed" | "in dispute" | "unknown", "captureRate",
///   "relativeUncertainty", "origin",
///     "readout": null (unknown) or { "allRowsAtOnce", "lineTimeMs", "uncertaintyMs", "direction", "note" } }],
///   "corrections": { "lampLeadMs", "lampLeadWidthMs", "onsetWidthMs", "commonHeight", "scanOutTolerance", "sentences":
///   [text] }, "configurations": [{ "name", "group", "baseline", "trials", "n", "rejected", "rejects": {reason: count},
///   "noReaction",
///     "notRead", "clockNotSettled", "noDelay", "open", "frameCounts": [{ "clock", "trials", "least", "most" }],
///     "delaysMs": [], "meanMs", "interval": INTERVAL, "basis": "trials" | "runs" (the one shown), "overTrials" |
///     "overRuns": null or { "meanMs", "interval" }, "budget": [BUDGET LINE], "runs", "captures", "withoutRun"
///     (trials), "theseRunsOnly", "runScatter": null or { "units", "sdMs" (of run means), "withinMs" (of a trial in its
///     run), "trialsMs" (SD of run means by it alone) }, "sdMs", "medianMs", "lowerQuartileMs", "upperQuartileMs",
///     "minMs", "maxMs", "meanWithRejectsMs", "comparison": { "verdict", "words", "interim", "differenceMs",
///     "interval": INTERVAL, "equivalence": INTERVAL,
///       "comparisons" (k), "rho", "blocksOut", "ownScatter" (with blocks out: by the two sides' alone), "partners"
///       (trials that share a press with one of the baseline), "pairs" (analysed by them), "blocksLeftIn" (why),
///       "smallestResolvableMs", "budget", "toResolve": { "trials", "runs" }, "toShowSame": { "trials", "runs" } } }],
///   "earlier": [{ "title", "file", "sha256", "read", "firstRead" (times), "rates", "onset", "corrections", "cameras",
///   "bridge": null or { "here", "there" } (configurations), "configurations": [as above, fewer fields; "comparison" is
///   with this session's baseline, null without a bridge] }], "readings": { "readAgain", "readAgainBlind",
///   "reactionDiffers", "readingSdMs", "trialSdMs", "toSettle": [{ "trial", "why" }],
///     "pairs": [{ "first", "second" (readers), "trials", "blind", "count": AGREEMENT, "press": AGREEMENT, "response":
///     AGREEMENT }] },
///   "trials": [{ "trial", "configuration", "run", "capture", "pressFrame", "responseFrame", "countedFrames",
///   "missingFrames",
///     "delayMs", "earliestMs", "latestMs", "corrections": { "rows" | "scanOut" | "lampLead" | "onset": { "addMs",
///     "halfWidthMs" } }, "state", "sentence", "rejectReason", "reader", "open", "doubtful" }] }
/// INTERVAL: { "lowMs", "highMs", "halfWidthMs", "uMs", "dof" (null: endless), "level", "factor" }
/// BUDGET LINE: { "kind", "label", "u" (of the cause, in "unit"), "unit", "weight", "weightUnit", "uMs" (|weight| u),
/// "dof" (null: endless), "share" } AGREEMENT, camera frames, second less first: { "equal", "withinOne", "bias",
/// "biasLow", "biasHigh", "sd", "limitLow", "limitHigh",
///   "readingSd", "repeatability" }
QByteArray resultsJson(const session::Document&, const analysis::Results&, const std::string& programVersion);

} // namespace report
