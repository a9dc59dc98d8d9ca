#include "core/report/words.h"
#include "core/report/figures.h"
#include "core/stats/rounding.h"

#include <algorithm>

namespace report {

std::string oneLine(const std::string& text)
{
    std::string line = text;
    for (char& c : line)
        if (c == '\n' || c == '\t')
            c = ' ';
    return line;
}

std::string listed(const std::vector<std::string>& words)
{
    std::string list;
    for (std::size_t i = 0; i < words.size(); ++i)
        list += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
    return list;
}

std::string runsOnly(int runs)
{
    if (runs == 0)
        return "these runs only";
    return runs == 1 ? "this one run only" : "these " + std::to_string(runs) + " runs only";
}

int decimalsBy(double uncertainty)
{
    constexpr int mostDecimals = 6; // nanoseconds
    return uncertainty > 0 ? std::min(stats::decimalsFor(uncertainty), mostDecimals) : mostDecimals;
}

std::string milliseconds(double typed)
{
    return plain(typed) + (typed == 1 ? " millisecond" : " milliseconds");
}

} // namespace report
