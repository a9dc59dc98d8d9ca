#pragma once
#include <string>
#include <vector>

/// How things are put in words wherever they stand. Inside core/report only.
namespace report {

/// A name on one line: line feeds and tabs become spaces.
std::string oneLine(const std::string& text);
/// "a", "a and b", "a, b and c".
std::string listed(const std::vector<std::string>& words);
/// "these runs only", "this one run only", "these 3 runs only"; 0 runs: not known how many.
std::string runsOnly(int runs);
/// Decimals for two significant digits of `uncertainty` >= 0; where nothing is uncertain, more than anything filmed supports.
int decimalsBy(double uncertainty);
/// "2 milliseconds", "1 millisecond", for a number typed in.
std::string milliseconds(double typed);

} // namespace report
