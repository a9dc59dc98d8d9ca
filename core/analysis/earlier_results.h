#pragma once
#include "core/analysis/results.h"

namespace analysis {

/// Puts the earlier sessions of the document beside `results`, which hold everything else already, and warns of what
/// makes them hard to compare with it. Inside core/analysis only.
void addEarlier(const session::Document&, Results& results);

/// The onset rule and the cameras that counting trials of a session rest on, as an earlier session keeps them.
std::string onsetWords(const session::EventDefinition&);
std::vector<std::string> camerasOf(const session::Document&, const Results&);
std::string displayOf(const session::Configuration&); ///< one line; may be empty

} // namespace analysis
