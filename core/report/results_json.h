#pragma once
#include "core/report/results.h"
#include <QByteArray>

namespace report {

/// Results for other programs: UTF-8 JSON, times in ms, full precision, keys in alphabetical order, null where there is no value.
///
/// { "program", "title", "level", "comparisons", "baseline" (name), "marginMs", "plannedTrials", "interim", "untagged", "warnings": [text],
///   "clocks": [{ "name", "state": "settled" | "proposed" | "in dispute" | "unknown", "captureRate", "relativeUncertainty", "origin" }],
///   "configurations": [{ "name", "group", "baseline", "trials", "n", "rejected", "rejects": {reason: count}, "noReaction",
///     "notRead", "clockNotSettled", "noDelay", "open", "frameCounts": [{ "clock", "trials", "least", "most" }], "delaysMs": [],
///     "meanMs", "interval": INTERVAL, "basis": "trials" | "runs", "budget": [{ "kind", "label", "uMs", "dof" }], "runs", "captures",
///     "theseRunsOnly", "sdMs", "medianMs", "lowerQuartileMs", "upperQuartileMs", "minMs", "maxMs", "meanWithRejectsMs",
///     "comparison": { "verdict", "words", "interim", "differenceMs", "interval": INTERVAL, "equivalence": INTERVAL,
///       "smallestResolvableMs", "budget", "toResolve": { "trials", "runs" }, "toShowSame": { "trials", "runs" } } }],
///   "readings": { "readAgain", "readAgainBlind", "reactionDiffers", "readingSdMs", "trialSdMs", "toSettle": [{ "trial", "why" }],
///     "pairs": [{ "first", "second" (readers), "trials", "blind", "count": AGREEMENT, "press": AGREEMENT, "response": AGREEMENT }] },
///   "trials": [{ "trial", "configuration", "run", "capture", "pressFrame", "responseFrame", "countedFrames", "missingFrames",
///     "delayMs", "earliestMs", "latestMs", "state", "sentence", "rejectReason", "reader", "open", "doubtful" }] }
/// INTERVAL: { "lowMs", "highMs", "halfWidthMs", "uMs", "dof" (null: endless), "level", "factor" }
/// AGREEMENT, camera frames, second less first: { "equal", "withinOne", "bias", "biasLow", "biasHigh", "sd", "limitLow", "limitHigh",
///   "readingSd", "repeatability" }
QByteArray resultsJson(const session::Document&, const Results&, const std::string& programVersion);

} // namespace report
