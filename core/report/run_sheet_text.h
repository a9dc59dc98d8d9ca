#pragma once
#include "core/analysis/run_sheet.h"
#include <string>

namespace report {

/// To print and tick off: one line a run, with what was filmed for it or room for the capture's name. UTF-8, at most
/// 100 columns but for long names.
std::string runSheetText(const session::Document&, const session::RunSheet&);
/// A row for each run: place, block, configuration, group, trials, run, captures, ticked; RFC 4180.
std::string runSheetCsv(const session::Document&, const session::RunSheet&);
/// The same as a page to print, HTML of a table with borders.
std::string runSheetHtml(const session::Document&, const session::RunSheet&);

} // namespace report
