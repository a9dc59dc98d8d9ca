#pragma once
#include "core/report/results.h"

namespace report {

/// RFC 4180, UTF-8, a header row with units, full precision; empty fields where there is no value.
std::string resultsCsv(const Results& results);
std::string trialsCsv(const session::Document& document, const Results& results);
/// For a terminal, rounded, columns aligned.
std::string resultsText(const Results& results);

} // namespace report
