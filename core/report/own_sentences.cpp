#include "core/report/own_sentences.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/report/sentences.h"
#include "core/session/text.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <functional>

namespace report {
namespace {

using analysis::ConfigurationResult, analysis::Figure, analysis::Results;

/// Empty where the trials give none.
using FigureOf = std::function<std::string(const Results&, const ConfigurationResult&)>;

FigureOf ofMean(std::string Figure::*part)
{
    return [part](const Results&, const ConfigurationResult& result) {
        const auto figure = analysis::meanFigure(result);
        return figure ? (*figure).*part : std::string();
    };
}

FigureOf ofDifference(std::string Figure::*part)
{
    return [part](const Results& results, const ConfigurationResult& result) {
        const auto figure = analysis::differenceFigure(results, result);
        return figure ? (*figure).*part : std::string();
    };
}

FigureOf ofSummary(std::optional<double> stats::Summary::*part)
{
    return [part](const Results&, const ConfigurationResult& result) {
        const auto figure = analysis::meanFigure(result);
        const auto& value = result.summary.*part;
        return figure && value ? stats::formatFixed(*value, figure->decimals) : std::string();
    };
}

FigureOf ofCount(int ConfigurationResult::*part)
{
    return [part](const Results&, const ConfigurationResult& result) { return std::to_string(result.*part); };
}

const std::vector<std::pair<std::string, FigureOf>>& figuresOfConfigurations()
{
    static const std::vector<std::pair<std::string, FigureOf>> figures{
        {"mean", ofMean(&Figure::value)},
        {"give or take", ofMean(&Figure::halfWidth)},
        {"low", ofMean(&Figure::low)},
        {"high", ofMean(&Figure::high)},
        {"median", ofSummary(&stats::Summary::median)},
        {"least", ofSummary(&stats::Summary::min)},
        {"most", ofSummary(&stats::Summary::max)},
        {"trials", ofCount(&ConfigurationResult::n)},
        {"rejected", ofCount(&ConfigurationResult::rejected)},
        {"difference", ofDifference(&Figure::value)},
        {"difference low", ofDifference(&Figure::low)},
        {"difference high", ofDifference(&Figure::high)},
        {"verdict",
         [](const Results& results, const ConfigurationResult& result) { return verdictWords(results, result); }},
    };
    return figures;
}

const std::vector<std::pair<std::string, std::function<std::string(const Results&)>>>& figuresOfSession()
{
    static const std::vector<std::pair<std::string, std::function<std::string(const Results&)>>> figures{
        {"margin",
         [](const Results& results) { return results.marginMs ? analysis::plain(*results.marginMs) : std::string(); }},
        {"level", [](const Results& results) { return analysis::percent(results.level); }},
        {"baseline",
         [](const Results& results) {
             const ConfigurationResult* baseline = find(results, results.baseline);
             return baseline ? baseline->name : std::string();
         }},
    };
    return figures;
}

std::vector<std::string> namesOf(const auto& figures)
{
    std::vector<std::string> names;
    for (const auto& [name, make] : figures)
        names.push_back(name);
    return names;
}

struct Unfilled {
    std::string problem;
};

std::string trimmed(const std::string& text)
{
    const auto first = text.find_first_not_of(' '), last = text.find_last_not_of(' ');
    return first == std::string::npos ? std::string() : text.substr(first, last - first + 1);
}

/// What the comparison or mean of a placeholder rests on, for who reads the sentence out.
std::string restsOn(const Results& results, const ConfigurationResult& result, const std::string& figure)
{
    const bool difference = figure.starts_with("difference") || figure == "verdict";
    for (const ScriptSentence& script : scriptSentences(results))
        if (script.configuration == result.configuration && script.comparison == difference)
            return result.name + ": " + (difference ? verdictWords(results, result) + ", " : "") + script.figures;
    return result.name + ": " + verdictWords(results, result);
}

class Filling {
public:
    Filling(const Results& results) : m_results(results) {}

    OwnSentence filled(const std::string& line)
    {
        OwnSentence made;
        try {
            for (std::size_t at = 0; at < line.size(); ++at) {
                if (line[at] != '{') {
                    made.sentence += line[at];
                } else if (line.compare(at, 2, "{{") == 0) {
                    made.sentence += line[at++];
                } else {
                    const std::size_t end = line.find('}', at);
                    if (end == std::string::npos)
                        throw Unfilled{"A placeholder ends with }; write {{ for a brace."};
                    made.sentence += figure(trimmed(line.substr(at + 1, end - at - 1)), made.figures);
                    at = end;
                }
            }
        } catch (const Unfilled& unfilled) {
            return {line, {}, unfilled.problem};
        }
        return made;
    }

private:
    std::string figure(const std::string& words, std::string& figures) const
    {
        const std::size_t of = words.find(" of ");
        if (of == std::string::npos) {
            for (const auto& [name, make] : figuresOfSession())
                if (name == words)
                    return known(make(m_results), words);
            throw Unfilled{"There is no figure " + session::inQuotes(words) + "; {} holds "
                           + analysis::listed(sessionFigures(), " or ")
                           + ", or as in {mean of NAME} a figure of a configuration."};
        }
        const std::string which = trimmed(words.substr(0, of)), name = trimmed(words.substr(of + 4));
        const auto result = std::ranges::find(m_results.configurations, name, &ConfigurationResult::name);
        if (result == m_results.configurations.end())
            throw Unfilled{"There is no configuration " + session::inQuotes(name)
                           + "; write its name as it stands in the plan."};
        for (const auto& [key, make] : figuresOfConfigurations())
            if (key == which) {
                const std::string rests = restsOn(m_results, *result, which);
                if (figures.find(rests) == std::string::npos)
                    analysis::join(figures, rests, "; ");
                return known(make(m_results, *result), words);
            }
        throw Unfilled{"There is no figure " + session::inQuotes(which) + " of a configuration; it may be "
                       + analysis::listed(configurationFigures(), " or ") + '.'};
    }

    static std::string known(const std::string& figure, const std::string& words)
    {
        if (figure.empty())
            throw Unfilled{"There is no " + words + " yet."};
        return figure;
    }

    const Results& m_results;
};

} // namespace

std::vector<OwnSentence> ownSentences(const session::Document& document, const analysis::Results& results)
{
    std::vector<OwnSentence> sentences;
    Filling filling(results);
    for (const std::string& line : analysis::parts(document.settings.publish.sentences, "\n"))
        if (!trimmed(line).empty())
            sentences.push_back(filling.filled(trimmed(line)));
    return sentences;
}

std::vector<std::string> configurationFigures() { return namesOf(figuresOfConfigurations()); }

std::vector<std::string> sessionFigures() { return namesOf(figuresOfSession()); }

} // namespace report
