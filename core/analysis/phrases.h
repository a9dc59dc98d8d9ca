#pragma once
#include "core/session/text.h"
#include "core/timing/rate_evidence.h"
#include <string>
#include <vector>

/// How things are put in words wherever they stand.
namespace analysis {

/// A name on one line: line feeds and tabs become spaces.
std::string oneLine(const std::string& text);
/// "a", "a and b", "a, b and c".
std::string listed(const std::vector<std::string>& words, const std::string& last = " and ");
/// Adds `more` behind what is there already, apart `by`; nothing where it is empty.
void join(std::string& words, const std::string& more, const std::string& by = ", ");
/// What `by` sets apart in a text: at least one.
std::vector<std::string> parts(const std::string& text, const std::string& by);
/// "these runs only", "this one run only", "these 3 runs only"; 0 runs: not known how many.
std::string runsOnly(int runs);
/// Decimals for two significant digits of `uncertainty` >= 0; where nothing is uncertain, more than anything filmed
/// supports.
int decimalsBy(double uncertainty);
/// "2 milliseconds", "1 millisecond", for a number typed in.
std::string milliseconds(double typed);

/// A number that somebody typed in, as short as it is: "2", "1.5", "959.04".
std::string plain(double value);
/// "95 %", "99.9 %".
std::string percent(double share);
using session::counted;
/// Capture rate with the decimals its uncertainty supports, at most 3: "959.94".
std::string rateText(const timing::RateEvidence&);

} // namespace analysis
