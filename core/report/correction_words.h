#pragma once
#include "core/analysis/results.h"
#include <string>
#include <vector>

namespace report {

/// What was added to delays and what of it is uncertain, a sentence each: rolling shutter of each clock that counts,
/// scan-out, lamp, onset rule. Says so where nothing was.
std::vector<std::string> correctionSentences(const session::Document&, const analysis::Results&);

/// Of one trial: "rows +0.11 ± 0.02, lamp −0.25 ms"; empty where nothing is added and nothing is uncertain.
std::string correctionWords(const analysis::Corrections&);

/// What was added to the delays of one configuration that count, on average, in the same words; empty where nothing
/// was.
std::string meanCorrection(const analysis::Results&, session::ConfigurationId);

/// For the chart: "Corrected for rolling shutter. Delays as for a reaction at height 0.5 of the display (0 top, 1
/// bottom)."; empty where nothing was added.
std::string correctionFooter(const session::Document&, const analysis::Results&);

} // namespace report
