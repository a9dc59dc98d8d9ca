#include "core/report/chart_model.h"
#include "core/report/method_note.h"
#include "core/report/sentences.h"
#include "core/report/session_check.h"
#include "core/report/tables.h"
#include "small_session.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cctype>

using namespace analysis;
using namespace report;

namespace {

/// Everything that a session says in words, one after the other, in lower case.
std::string everyWord(const session::Document& document)
{
    const Results results = compute(document);
    std::string text = resultsText(document, results) + scriptText(document, results) + resultsCsv(document, results)
                       + trialsCsv(document, results) + methodNote(document, results, "1.2.3");
    const auto add = [&](const std::vector<std::string>& sentences) {
        for (const std::string& sentence : sentences)
            text += sentence + '\n';
    };
    for (const ConfigurationResult& result : results.configurations) {
        add(verdictExplanation(results, result));
        add(countsExplanation(result));
        add({verdictWords(results, result), countsLine(result)});
    }
    const ChartModel chart = chartModel(document, results);
    add({chart.title, chart.subtitle});
    add(chart.footer);
    add(chart.notes);
    for (const Finding& finding : check(document, {}, [](const std::string&) { return false; }))
        add({finding.sentence});
    std::ranges::transform(text, text.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

std::vector<small::Session> sessions()
{
    std::vector<small::Session> all(2, small::session());
    small::Session& wordy = all.back();
    session::Configuration wired = *find(wordy.document, wordy.wired);
    wired.refreshHz = 143.98;
    wired.gameFrameRate = 240;
    small::put(wordy.document, wired);
    wordy.document.settings.plan.baseline = wordy.hub;
    wordy.document.settings.plan.trialsPerConfiguration = 40;
    wordy.document.settings.event.onset = session::OnsetRule::Threshold;
    return all;
}

} // namespace

TEST_CASE("nothing published says bare frames", "[report]")
{
    for (const small::Session& s : sessions()) {
        const std::string text = everyWord(s.document);
        int found = 0;
        for (std::size_t at = text.find("frame"); at != std::string::npos; at = text.find("frame", at + 1)) {
            const std::string before = text.substr(0, at);
            const bool named =
                std::ranges::any_of(std::vector<std::string>{"camera ", "game ", "press ", "response ", "tally"},
                                    [&](const std::string& kind) { return before.ends_with(kind); });
            INFO(text.substr(at > 60 ? at - 60 : 0, 80));
            CHECK(named);
            ++found;
        }
        CHECK(found > 10);
    }
}

TEST_CASE("a test that found nothing is never called no difference", "[report]")
{
    for (const small::Session& s : sessions()) {
        std::string text = everyWord(s.document);
        const std::string allowed = "it doesn't mean that there is no difference";
        text.replace(text.find(allowed), allowed.size(), "");
        CHECK(text.find("no difference") == std::string::npos);
        CHECK(text.find("significant") == std::string::npos);
        CHECK(text.find("equal to") == std::string::npos);
    }
}
