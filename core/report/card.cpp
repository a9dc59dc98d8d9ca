#include "core/report/card.h"
#include "core/analysis/figures.h"
#include "core/report/earlier_session.h"
#include "core/report/sentences.h"

#include <algorithm>

namespace report {
namespace {

void setFigure(Card& card, const analysis::Figure& figure)
{
    card.headline = figure.value;
    card.beside = figure.halfWidth.empty() ? "ms" : "\u00b1 " + figure.halfWidth + " ms";
}

void setVerdict(Card& card, const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    const std::optional<analysis::Figure> figure = analysis::differenceFigure(results, result);
    const auto words = [&](const char* headline) {
        card.headline = headline;
        if (figure)
            card.below = figure->value + " ms"
                         + (figure->low.empty() ? std::string() : ", " + figure->low + " to " + figure->high + " ms");
    };
    switch (result.comparison->verdict) {
    case stats::Verdict::Longer:
    case stats::Verdict::Shorter:
    case stats::Verdict::LongerWithinMargin:
    case stats::Verdict::ShorterWithinMargin: return setFigure(card, *figure);
    case stats::Verdict::SameWithinMargin: return words("same within the margin");
    case stats::Verdict::NotResolved: return words("not resolved");
    case stats::Verdict::TooFewTrials: return words("too few trials");
    case stats::Verdict::NoBaseline: card.headline = "no comparison";
    }
}

std::string nameOn(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    for (const analysis::EarlierResults& earlier : results.earlier)
        if (std::ranges::any_of(earlier.configurations, [&](const auto& each) { return &each == &result; }))
            return earlierName(earlier, result);
    return result.name;
}

} // namespace

std::vector<Card> cards(const analysis::Results& results)
{
    std::vector<Card> made;
    for (const ScriptSentence& script : scriptSentences(results)) {
        const analysis::ConfigurationResult& result = *findAnywhere(results, script.configuration);
        Card card{script.configuration, script.comparison, nameOn(results, result), {}, {}, {},
                  script.sentence,      script.figures};
        if (script.comparison)
            setVerdict(card, results, result);
        else if (const auto figure = analysis::meanFigure(result))
            setFigure(card, *figure);
        else
            card.headline = noMeanWords(result);
        made.push_back(std::move(card));
    }
    return made;
}

} // namespace report
