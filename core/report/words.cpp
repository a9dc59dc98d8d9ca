#include "core/report/words.h"
#include "core/report/figures.h"

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

std::string milliseconds(double typed)
{
    return plain(typed) + (typed == 1 ? " millisecond" : " milliseconds");
}

} // namespace report
