#include "core/analysis/phrases.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <charconv>

namespace analysis {
namespace {

constexpr int mostRateDecimals = 3;

} // namespace

std::string oneLine(const std::string& text)
{
    std::string line = text;
    for (char& c : line)
        if (c == '\n' || c == '\t')
            c = ' ';
    return line;
}

std::string listed(const std::vector<std::string>& words, const std::string& last)
{
    std::string list;
    for (std::size_t i = 0; i < words.size(); ++i)
        list += (i == 0 ? std::string() : i + 1 == words.size() ? last : ", ") + words[i];
    return list;
}

void join(std::string& words, const std::string& more, const std::string& by)
{
    if (!more.empty())
        words += (words.empty() ? "" : by) + more;
}

std::vector<std::string> parts(const std::string& text, const std::string& by)
{
    std::vector<std::string> all;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find(by, at), text.size());
        all.push_back(text.substr(at, end - at));
        at = end + by.size();
    }
    return all;
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

std::string milliseconds(double typed) { return plain(typed) + (typed == 1 ? " millisecond" : " milliseconds"); }

std::string plain(double value)
{
    char text[64];
    const auto end = std::to_chars(text, text + sizeof text, value == 0 ? 0.0 : value).ptr; // no "-0"
    return {text, end};
}

std::string percent(double share)
{
    char text[64];
    const auto end = std::to_chars(text, text + sizeof text, share * 100, std::chars_format::fixed, 2).ptr;
    std::string digits(text, end);
    digits.erase(digits.find_last_not_of('0') + 1);
    if (digits.back() == '.')
        digits.pop_back();
    return digits + " %";
}

std::string rateText(const timing::RateEvidence& rate)
{
    const double uncertainty = rate.rate * rate.relativeUncertainty;
    return uncertainty > 0 ? stats::formatFixed(rate.rate, std::min(stats::decimalsFor(uncertainty), mostRateDecimals))
                           : plain(rate.rate);
}

} // namespace analysis
