#pragma once
#include "core/analysis/results.h"

namespace analysis {

/// The onset rule and the cameras that counting trials of a session rest on, as an earlier session keeps them.
std::string onsetWords(const session::EventDefinition&);
std::vector<std::string> camerasOf(const session::Document&, const Results&);
std::string displayOf(const session::Configuration&); ///< one line; may be empty

} // namespace analysis
