#pragma once
#include "core/analysis/results.h"
#include <string>
#include <vector>

namespace report {

/// A sentence of the analyst's own, with its placeholders filled in.
struct OwnSentence {
    std::string sentence; ///< "The bridge adds +7.2 ms."
    std::string figures; ///< what each placeholder of a configuration rests on: "Wireless bridge: +5.7 to +8.7 ms, ..."
    std::string problem; ///< why it can't be filled in, one sentence; then `sentence` is as it was written
};

/// Of PublishSettings::sentences, one a line, empty lines left out. "{mean of Wireless bridge}" stands for a figure of
/// a configuration, "{margin}" for one of the session; "{{" is a brace.
std::vector<OwnSentence> ownSentences(const session::Document&, const analysis::Results&);

/// What may stand before "of" a configuration's name: "mean", "give or take", "low", "high", "median", "least", "most",
/// "trials", "rejected", "difference", "difference low", "difference high", "verdict".
std::vector<std::string> configurationFigures();
/// What stands by itself: "margin", "level", "baseline".
std::vector<std::string> sessionFigures();

} // namespace report
