#pragma once
#include "core/analysis/results.h"
#include <QByteArray>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace report {

/// What the page holds beside what the session says.
struct ReportParts {
    std::string programVersion;
    std::vector<QByteArray> charts; ///< SVG documents, from the top
    /// PNG of a crop by its SHA-256; empty where it isn't there. May throw core::Error. Empty: no crops are shown.
    std::function<std::optional<std::vector<std::uint8_t>>(const std::string& sha256)> crop;
};

/// One page of HTML 5 (XML syntax) that holds all of it: charts, what was found in sentences with their figures, a
/// table of configurations, every configuration's trials in order with their crops, rejects with reasons, and the
/// method note with clocks and checksums. Refers to nothing outside, runs no script, prints on paper. Equal sessions
/// give equal bytes. Throws as `crop` does.
QByteArray htmlReport(const session::Document&, const analysis::Results&, const ReportParts& parts);

} // namespace report
