#pragma once
#include "core/report/results.h"
#include <QByteArray>

namespace report {

/// UTF-8 JSON, full precision; null where there is no value:
/// {"level", "comparisons", "baseline", "marginMs", "plannedTrials", "interim", "warnings": [...],
///  "configurations": [{"id", "name", "group", "n", "rejected", "noReaction", "unread", "open", "clockNotSettled", "noDelay",
///    "meanMs", "medianMs", "sdMs", "minMs", "maxMs", "lowerQuartileMs", "upperQuartileMs", "interval": {...},
///    "budget": [{"label", "uMs", "dof"}], "theseRunsOnly", "meanWithRejectsMs", "meanCameraFrames",
///    "comparison": {"verdict", "differenceMs", "interval": {...}, "equivalence": {...}, "smallestResolvableMs", ...},
///    "trials": [{"id", "state", "why", "countedFrames", "missingFrames", "delayMs", "earliestMs", "latestMs"}]}]}
/// An interval is {"level", "low", "high", "u", "dof", "factor"}, in ms; endless degrees of freedom are null.
QByteArray toJson(const Results& results);

} // namespace report
