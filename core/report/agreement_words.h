#pragma once
#include "core/analysis/reading_agreement.h"
#include <string>
#include <vector>

namespace report {

/// Three rows for each pair of readers (count, press, response), in camera frames, second less first; RFC 4180, full
/// precision.
std::string agreementCsv(const analysis::ReadingAgreement&);

/// The same in sentences: how many were read again, each pair of readers, reading against the scatter of trials, what
/// to settle.
std::vector<std::string> agreementSentences(const session::Document&, const analysis::Results&);

} // namespace report
