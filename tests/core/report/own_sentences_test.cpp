#include "core/report/own_sentences.h"
#include "core/analysis/figures.h"
#include "core/report/sentences.h"
#include "core/session/edits.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>

using namespace report;

namespace {

std::vector<OwnSentence> filled(session::Document document, const std::string& text)
{
    document.settings.publish.sentences = text;
    return ownSentences(document, analysis::compute(document));
}

OwnSentence one(const std::string& text)
{
    const auto all = filled(small::session().document, text);
    REQUIRE(all.size() == 1);
    return all.front();
}

} // namespace

TEST_CASE("a placeholder stands for the figure as it stands wherever else it is shown", "[report]")
{
    const small::Session made = small::session();
    const analysis::Results results = analysis::compute(made.document);
    const analysis::ConfigurationResult& radio = *find(results, made.radio);
    const auto mean = *analysis::meanFigure(radio), difference = *analysis::differenceFigure(results, radio);
    const OwnSentence sentence = one("Radio: {mean of Radio pedal} \u00b1 {give or take of Radio pedal} ms, "
                                     "{ difference of Radio pedal } to {baseline}; margin {margin}.");
    CHECK(sentence.problem.empty());
    CHECK(sentence.sentence
          == "Radio: " + mean.value + " \u00b1 " + mean.halfWidth + " ms, " + difference.value
                 + " to Wired pedal; margin 2.");
    CHECK(sentence.figures.find("Radio pedal: 5 trials") == 0);
    CHECK(sentence.figures.find("Radio pedal: " + verdictWords(results, radio) + ", " + difference.value)
          != std::string::npos);
}

TEST_CASE("every placeholder that is offered can be filled in", "[report]")
{
    for (const std::string& figure : configurationFigures()) {
        CAPTURE(figure);
        CHECK(one("{" + figure + " of Radio pedal}").problem.empty());
    }
    for (const std::string& figure : sessionFigures()) {
        CAPTURE(figure);
        CHECK(one("{" + figure + "}").problem.empty());
    }
}

TEST_CASE("the figure follows the data", "[report]")
{
    small::Session made = small::session();
    const std::string before = filled(made.document, "{most of Radio pedal}").front().sentence;
    for (const auto& [id, entry] : made.document.trials)
        if (entry->configuration == made.radio) {
            session::Trial trial = *entry;
            trial.readings.front().response->frame.value += 40;
            small::put(made.document, trial);
            break;
        }
    CHECK(filled(made.document, "{most of Radio pedal}").front().sentence != before);
}

TEST_CASE("a placeholder that stands for nothing is told in one sentence, and isn't in the script", "[report]")
{
    const auto [written, problem] = GENERATE(table<std::string, std::string>({
        {"{mean of Nobody}", "There is no configuration “Nobody”; write its name as it stands in the plan."},
        {"{speed of Radio pedal}", "There is no figure “speed” of a configuration; it may be mean, "},
        {"{speed}", "There is no figure “speed”; {} holds margin, level or baseline"},
        {"{mean of Radio pedal", "A placeholder ends with }; write {{ for a brace."},
        {"{}", "There is no figure “”"},
        {"{difference of Wired pedal}", "There is no difference of Wired pedal yet."},
    }));
    CAPTURE(written);
    const OwnSentence sentence = one(written);
    INFO(sentence.problem);
    CHECK(sentence.problem.find(problem) == 0);
    CHECK(sentence.sentence == written);
    session::Document document = small::session().document;
    document.settings.publish.sentences = "Stands. {{so}\n" + written + "\n\n  \nStands, too.";
    const std::string script = scriptText(document, analysis::compute(document));
    CHECK(script.ends_with("Stands. {so}\nStands, too.\n"));
}
