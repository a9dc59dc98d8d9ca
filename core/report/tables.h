#pragma once
#include "core/analysis/results.h"
#include <string>

/// Tables of a session. CSV is for machines: RFC 4180 (comma, CRLF, doubled quotes), UTF-8 without byte order mark, one
/// header row with units, point as decimal sign, full precision; what isn't known is empty. `analysis::Results` are
/// those of `Document`.
namespace report {

/// A row for each configuration: counts, mean with interval and budget, summary, comparison.
std::string resultsCsv(const session::Document&, const analysis::Results&);

/// A row for each trial: configuration, run, capture, marks, counted camera frames, delay and its range, state, reject
/// reason, reader.
std::string trialsCsv(const session::Document&, const analysis::Results&);

/// A row for each configuration of each earlier session: where it is from, counts, mean with interval, and the
/// difference to this session's baseline by way of the bridge.
std::string earlierCsv(const session::Document&, const analysis::Results&);

/// analysis::Results for a terminal: aligned columns, figures rounded by their uncertainty, warnings below. UTF-8, line
/// feeds.
std::string resultsText(const session::Document&, const analysis::Results&);

} // namespace report
