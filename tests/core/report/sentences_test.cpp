#include "core/report/card.h"
#include "core/analysis/figures.h"
#include "core/report/sentences.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>

using namespace analysis;
using namespace report;

namespace {

using Sentences = std::vector<std::string>;

std::string words(const session::Document& document, session::ConfigurationId id)
{
    const Results results = compute(document);
    return verdictWords(results, *find(results, id));
}

Sentences explanation(const session::Document& document, session::ConfigurationId id)
{
    const Results results = compute(document);
    return verdictExplanation(results, *find(results, id));
}

std::string comparisonSentence(const session::Document& document, session::ConfigurationId id)
{
    for (const ScriptSentence& sentence : scriptSentences(compute(document)))
        if (sentence.comparison && sentence.configuration == id)
            return sentence.sentence;
    return {};
}

std::string meanSentence(const session::Document& document, session::ConfigurationId id)
{
    for (const ScriptSentence& sentence : scriptSentences(compute(document)))
        if (!sentence.comparison && sentence.configuration == id)
            return sentence.sentence;
    return {};
}

/// Two configurations of 20 trials in 4 runs with a capture each, 1000 camera frames a second: the baseline counts 29
/// to 31, the other `longer` camera frames more.
struct Pair {
    small::Builder b;
    session::ConfigurationId wired, radio;

    explicit Pair(std::int64_t longer, std::optional<double> marginMs = 2)
    {
        b.document.settings.plan.marginMs = marginMs;
        wired = b.configuration("Wired pedal");
        radio = b.configuration("Radio pedal");
        b.document.settings.plan.baseline = wired;
        const session::ClockId clock = b.clock("Fast camera", 1000, {b.source("typed", 0.001)});
        for (const session::ConfigurationId configuration : {wired, radio}) {
            const std::int64_t more = configuration == radio ? longer : 0;
            for (int i = 0; i < 4; ++i) {
                const std::string name = std::to_string(configuration.value) + "_" + std::to_string(i);
                const session::RunId run = b.run(name);
                b.trials(b.capture(name, clock), configuration, run,
                         {29 + more, 30 + more, 31 + more, 30 + more, 30 + more});
            }
        }
    }
};

} // namespace

// Figures as worked out in results_test.cpp.
TEST_CASE("the small session in words", "[report]")
{
    const small::Session s = small::session();
    CHECK(words(s.document, s.wired) == "Baseline");
    CHECK(explanation(s.document, s.wired).empty());
    CHECK(words(s.document, s.radio) == "Longer by 10.0 ms");
    CHECK(explanation(s.document, s.radio)
          == Sentences{"Radio pedal minus Wired pedal: +10.0 ms, from +7.7 to +12.3 (both comparisons hold "
                       "together at 95 %).",
                       "All of the interval lies above 0, so the delay is longer.",
                       "± 2.3 ms comes most of all from the scatter of single trials.",
                       "What changes from run to run isn't in ± 2.3 ms yet: that takes 4 runs of each, better many "
                       "short ones than few long ones.",
                       "These runs only: with fewer than 4 runs nothing is said of set-ups not tried."});
    CHECK(words(s.document, s.hub) == "Not resolved");
    const Sentences hub = explanation(s.document, s.hub);
    REQUIRE(hub.size() == 8);
    CHECK(hub[0]
          == "Pedal through hub minus Wired pedal: +1.8 ms, from \u22121.7 to +5.3 (both comparisons hold "
             "together at 95 %).");
    CHECK(hub[1]
          == "The interval holds 0 and isn't within the margin of 2 ms: these trials can't tell longer, shorter or the "
             "same apart.");
    CHECK(hub[2] == "± 3.5 ms comes most of all from the scatter of single trials.");
    CHECK_THAT(hub[3], Catch::StartsWith("What changes from run to run isn't in ± 3.5 ms yet: "));
    CHECK(hub[4] == "A true difference of 4.8 ms would have shown 4 times out of 5.");
    CHECK_THAT(hub[5],
               Catch::StartsWith("To show a difference as large as the margin of 2 ms 4 times out of 5 takes about ")
                   && Catch::EndsWith(" runs of each configuration."));
    CHECK_THAT(hub[6],
               Catch::StartsWith("To show 4 times out of 5 that equal delays are the same within it takes about "));
    CHECK(hub[7] == "These runs only: with fewer than 4 runs nothing is said of set-ups not tried.");
}

TEST_CASE("the small session as a script", "[report]")
{
    const small::Session s = small::session();
    CHECK(scriptText(s.document, compute(s.document))
          == "Wired pedal: 31.0 milliseconds on average, give or take 1.9, in this one run only. 1 press brought no "
             "reaction. "
             "[5 trials, 1 rejected, 1 no reaction, baseline; 29.1 to 32.9 ms, 95 % interval]\n"
             "Radio pedal: 41.00 milliseconds on average, give or take 0.93, in this one run only. "
             "[5 trials; 40.07 to 41.93 ms, 95 % interval]\n"
             "Pedal through hub: 32.8 milliseconds on average, give or take 2.8, in this one run only. "
             "[5 trials, 2 without ms; 30.0 to 35.6 ms, 95 % interval]\n"
             "Radio pedal takes 10.0 milliseconds longer than Wired pedal, give or take 2.3, in these runs only. "
             "[+10.0 ms, +7.7 to +12.3 ms, both comparisons hold together at 95 %]\n"
             "Pedal through hub against Wired pedal is not resolved: these trials can't tell so small a difference; a "
             "true difference of "
             "4.8 milliseconds would have shown 4 times out of 5. "
             "[+1.8 ms, \u22121.7 to +5.3 ms, both comparisons hold together at 95 %]\n");
}

TEST_CASE("with 4 runs nothing is said of these runs only", "[report]")
{
    const Pair pair(7);
    CHECK_THAT(meanSentence(pair.b.document, pair.radio),
               Catch::StartsWith("Radio pedal: 37.") && !Catch::Contains("only"));
    CHECK_THAT(comparisonSentence(pair.b.document, pair.radio),
               Catch::StartsWith("Radio pedal takes 7.")
                   && Catch::Contains(" milliseconds longer than Wired pedal, give or take 0.")
                   && !Catch::Contains("only"));
    CHECK_THAT(explanation(pair.b.document, pair.radio).front(), Catch::EndsWith("(95 % interval)."));
}

TEST_CASE("each verdict has its words", "[report]")
{
    SECTION("shorter")
    {
        const Pair pair(-7);
        CHECK_THAT(words(pair.b.document, pair.radio), Catch::StartsWith("Shorter by 7."));
        CHECK_THAT(comparisonSentence(pair.b.document, pair.radio),
                   Catch::Contains(" milliseconds shorter than Wired pedal"));
    }
    SECTION("longer, but less than the margin")
    {
        const Pair pair(1);
        CHECK_THAT(words(pair.b.document, pair.radio),
                   Catch::StartsWith("Longer by 1.") && Catch::EndsWith(" ms, less than the margin"));
        CHECK_THAT(comparisonSentence(pair.b.document, pair.radio),
                   Catch::EndsWith(": less than the margin of 2 milliseconds."));
        CHECK_THAT(explanation(pair.b.document, pair.radio)[1],
                   Catch::EndsWith("the delay is longer, by less than matters."));
    }
    SECTION("same within the margin")
    {
        const Pair pair(0);
        CHECK(words(pair.b.document, pair.radio) == "Same within the margin");
        CHECK(comparisonSentence(pair.b.document, pair.radio)
              == "Radio pedal is the same as Wired pedal within the margin of 2 milliseconds.");
        CHECK_THAT(explanation(pair.b.document, pair.radio)[1],
                   Catch::StartsWith("The 90 % interval, from ")
                       && Catch::EndsWith(", lies within the margin of 2 ms either way."));
    }
    SECTION("without a margin equal delays aren't called the same")
    {
        const Pair pair(0, std::nullopt);
        CHECK(words(pair.b.document, pair.radio) == "Not resolved");
        CHECK(explanation(pair.b.document, pair.radio)[1]
              == "The interval holds 0: these trials can't tell longer, shorter or the same apart.");
    }
    SECTION("a margin that the shared capture rates alone exceed")
    {
        Pair pair(0, 0.05);
        session::Capture capture = *pair.b.document.captures.rbegin()->second;
        capture.clock = pair.b.clock("Slow camera", 1000, {pair.b.source("another", 0.05)});
        pair.b.put(capture);
        CHECK(words(pair.b.document, pair.radio) == "Not resolved");
        CHECK_THAT(explanation(pair.b.document, pair.radio).back(), Catch::Contains("more trials won't help"));
    }
    SECTION("interim")
    {
        Pair pair(7);
        pair.b.document.settings.plan.trialsPerConfiguration = 30;
        CHECK_THAT(words(pair.b.document, pair.radio), Catch::StartsWith("Longer by 7."));
        CHECK_THAT(comparisonSentence(pair.b.document, pair.radio), Catch::StartsWith("So far, Radio pedal takes 7."));
        CHECK_THAT(meanSentence(pair.b.document, pair.radio), Catch::StartsWith("Radio pedal: so far 37."));
        CHECK(explanation(pair.b.document, pair.radio).back()
              == "Interim, and not corrected for being looked at before the end: 20 here and 20 of the baseline of 30 "
                 "planned trials each.");
    }
}

TEST_CASE("too few trials are said to be too few", "[report]")
{
    small::Session s = small::session();
    for (const session::Trial* trial : trialsOf(s.document, s.radioCapture))
        if (countingReading(*trial)->press->frame.value > 200)
            s.document.trials.erase(trial->id);
    CHECK(words(s.document, s.radio) == "Too few trials");
    CHECK(comparisonSentence(s.document, s.radio)
          == "Radio pedal against Wired pedal: too few trials for a verdict, 2 and 5.");
    CHECK(explanation(s.document, s.radio)
          == Sentences{"A verdict needs at least 5 trials on either side, of 4 runs or more to speak for other set-ups "
                       "too; there are 2 here and 5 of the baseline.",
                       "Interim, and not corrected for being looked at before the end: 2 here and 5 of the baseline of "
                       "5 planned trials each."});

    s.document.trials.erase(trialsOf(s.document, s.radioCapture).back()->id);
    CHECK(meanSentence(s.document, s.radio)
          == "Radio pedal: so far 40.00 milliseconds in a single trial."); // (1/6 + 1/12)^1/2 and rate: 0.51
}

TEST_CASE("without a mean the words say why", "[report]")
{
    small::Session s = small::session();
    SECTION("clock not settled: camera frames, no ms")
    {
        for (const session::Trial* trial : trialsOf(s.document, s.hubCapture))
            s.document.trials.erase(trial->id);
        CHECK(words(s.document, s.hub) == "Clock not settled");
        CHECK(meanSentence(s.document, s.hub)
              == "Pedal through hub: 20 to 27 camera frames from press to response in 2 trials; without a settled "
                 "clock there are no milliseconds.");
        CHECK(comparisonSentence(s.document, s.hub)
              == "Pedal through hub against Wired pedal: no comparison, clock not settled for Pedal through hub.");
    }
    SECTION("no trials")
    {
        for (const session::Trial* trial : trialsOf(s.document, s.radioCapture))
            s.document.trials.erase(trial->id);
        CHECK(words(s.document, s.radio) == "No trials yet");
        CHECK(meanSentence(s.document, s.radio) == "Radio pedal: no figure, no trials yet.");
    }
    SECTION("no baseline")
    {
        s.document.settings.plan.baseline = {};
        CHECK(words(s.document, s.radio) == "No baseline chosen");
        CHECK(scriptSentences(compute(s.document)).size() == 3);
    }
    SECTION("a baseline without a mean")
    {
        for (const session::Trial* trial : trialsOf(s.document, s.wiredCapture))
            s.document.trials.erase(trial->id);
        CHECK(words(s.document, s.radio) == "Baseline has no mean");
        CHECK(comparisonSentence(s.document, s.radio)
              == "Radio pedal against Wired pedal: no comparison, no trials yet for Wired pedal.");
    }
}

TEST_CASE("counts are explained one by one", "[report]")
{
    small::Session s = small::session();
    const Results results = compute(s.document);
    CHECK(countsExplanation(*find(results, s.wired))
          == Sentences{"5 of 5 planned trials count.", "1 rejected: 1 hitch.",
                       "With the rejected trial that has a delay, the mean of trials would be 36.0 ms.",
                       "1 press brought no reaction before the limit."});
    CHECK(countsExplanation(*find(results, s.hub))
          == Sentences{"5 of 5 planned trials count.",
                       "2 trials are read without a settled clock: 20 to 27 camera frames from press to response."});
}

TEST_CASE("a card shows a figure where the verdict allows one, else the verdict itself", "[report]")
{
    const small::Session made = small::session();
    const Results results = compute(made.document);
    const std::vector<Card> all = cards(results);
    const std::vector<ScriptSentence> script = scriptSentences(results);
    REQUIRE(all.size() == script.size());
    for (std::size_t i = 0; i < all.size(); ++i)
        CHECK(all[i].sentence == script[i].sentence);
    CHECK(all[0].name == "Wired pedal");
    CHECK(all[0].headline == meanFigure(*find(results, made.wired))->value);
    CHECK(all[0].beside == "\u00b1 " + meanFigure(*find(results, made.wired))->halfWidth + " ms");
    for (const Card& card : all) {
        if (!card.comparison)
            continue;
        const ConfigurationResult& result = *find(results, card.configuration);
        const auto figure = *differenceFigure(results, result);
        const bool told = result.comparison->verdict == stats::Verdict::Longer
                          || result.comparison->verdict == stats::Verdict::Shorter;
        CHECK(card.headline == (told ? figure.value : "not resolved"));
        CHECK(card.below == (told ? "" : figure.value + " ms, " + figure.low + " to " + figure.high + " ms"));
    }
    session::Document document = made.document;
    std::erase_if(document.trials, [&](const auto& entry) { return entry.second->configuration == made.radio; });
    CHECK(cards(compute(document))[1].headline == "no trials yet");
}
