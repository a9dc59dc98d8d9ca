#include "core/analysis/phrases.h"
#include "core/report/chart_model.h"
#include "core/report/csv.h"
#include "core/report/method_note.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "tests/core/analysis/small_session.h"

#include <algorithm>
#include <catch2/catch.hpp>

using Catch::Contains;
using namespace analysis;
using namespace report;

// Words that once claimed more than is known, and faults that were found from outside: each with what stands instead.
namespace {

/// Two configurations of `runs` runs with a capture each, 1000 camera frames a second.
struct Runs {
    small::Builder b;
    session::ConfigurationId wired = b.configuration("Wired pedal"), radio = b.configuration("Radio pedal");
    session::ClockId clock = b.clock("Fast camera", 1000, {b.source("typed", 0)});

    explicit Runs(int runs, std::int64_t longer = 0, std::optional<double> marginMs = 2)
    {
        b.document.settings.plan.baseline = wired;
        b.document.settings.plan.marginMs = marginMs;
        int number = 0;
        for (const session::ConfigurationId id : {wired, radio})
            for (int i = 0; i < runs; ++i) {
                const std::int64_t more = (id == radio ? longer : 0) + i % 2;
                const std::string name = "film " + std::to_string(++number);
                b.trials(b.capture(name, clock), id, b.run("run " + std::to_string(number)),
                         {30 + more, 31 + more, 32 + more});
            }
    }
    /// The radio's last capture is no longer tagged with its run.
    void loseRun()
    {
        const session::CaptureId last = inOrder(b.document.captures).back()->id;
        for (const session::Trial* trial : trialsOf(b.document, last)) {
            session::Trial without = *trial;
            without.run = {};
            b.put(without);
        }
    }
    Results results() const { return compute(b.document); }
    std::string checks() const
    {
        const Results all = results();
        std::string text;
        for (const std::string& sentence : checkSentences(b.document, all, *find(all, radio)))
            text += sentence + '\n';
        return text;
    }
    std::string note() const { return methodNote(b.document, results(), "1.0"); }
};

std::string joined(const std::vector<std::string>& sentences)
{
    std::string text;
    for (const std::string& sentence : sentences)
        text += sentence + '\n';
    return text;
}

} // namespace

TEST_CASE("the median's interval holds whatever the distribution only if trials are independent", "[report][claims]")
{
    CHECK_THAT(Runs(4).checks(), Contains("interval by order, whatever the distribution if trials are independent)")
                                     && !Contains("whatever the distribution)"));
}

TEST_CASE("chances by rank and trend are as if trials were independent, and few trials could hide a trend",
          "[report][claims]")
{
    const std::string checks = Runs(4).checks();
    CHECK_THAT(checks, Contains(", as if trials were independent); so few trials could hide one."));
    CHECK_THAT(checks, Contains("By ranks alone the shift from the baseline is")
                           && Contains(", as if trials were independent.\n"));
    CHECK_THAT(Runs(4).note(), Contains("Checks that decide nothing, all as if trials were independent of their runs"));
    const Runs more(6);
    CHECK_THAT(more.checks(),
               Contains("No trend shows over the runs (p = ") && Contains("so few runs could hide one."));
}

TEST_CASE("why trials were rejected is on record, more isn't claimed", "[report][claims]")
{
    CHECK_THAT(Runs(4).note(), Contains("Each rejected trial has its reason on record") && !Contains("never for"));
}

TEST_CASE("comparisons hold together at their level, no more than that is promised", "[report][claims]")
{
    const small::Session s = small::session();
    const Results results = compute(s.document);
    CHECK(levelWords(results, *find(results, s.radio)->comparison) == "both comparisons hold together at 95 %");
    for (const std::string& text : {methodNote(s.document, results, "1.0"), resultsText(s.document, results)})
        CHECK_THAT(text, Contains(" hold together at 95 %, those of these runs only for these runs alone")
                             && !Contains("at least 95 %"));
    const Runs four(4);
    CHECK_THAT(four.note(), !Contains("for these runs alone"));
}

TEST_CASE("interim intervals are said not to be corrected for looks", "[report][claims]")
{
    Runs s(4);
    s.b.document.settings.plan.trialsPerConfiguration = 40;
    const Results results = s.results();
    CHECK_THAT(joined(verdictExplanation(results, *find(results, s.radio))),
               Contains("Interim, and not corrected for being looked at before the end: 12 here"));
    CHECK_THAT(s.note(), Contains("interim intervals aren't corrected for repeated looks"));
    s.b.document.settings.earlyLooks = {{"2030-02-01T21:00:00Z", "R. One", "comparison"}};
    CHECK_THAT(s.note(), Contains("comparison 1 time. Intervals aren't corrected for repeated looks.\n"));
}

TEST_CASE("trials give a verdict, runs say how far it reaches: both are said", "[report][claims]")
{
    Runs s(1);
    const Results results = s.results();
    CHECK_THAT(
        joined(verdictExplanation(results, *find(results, s.radio))),
        Contains("A verdict needs at least 5 trials on either side, of 4 runs or more to speak for other set-ups "
                 "too"));
    CHECK_THAT(joined(results.warnings),
               Contains("fewer than 5 give no verdict, and fewer than 4 runs say nothing of set-ups not tried."));
    CHECK_THAT(s.checks(), Contains("Fewer than 10 trials, in 1 run: "));
    CHECK_THAT(s.note(), Contains("give no verdict; fewer than 4 runs give one for these runs only."));
}

TEST_CASE("how far run means scatter stands beside what their trials give alone", "[report][claims]")
{
    // Means 31, 32, 31, 32 of three trials with an SD of 1: SD sqrt(1/3) either way.
    CHECK_THAT(Runs(4).checks(), Contains("Run means scatter by 0.58 ms (SD), where trials alone would give 0.58 ms: "
                                          "that runs differ besides can't be excluded with 4 runs."));
}

TEST_CASE("verdicts of these runs only are called so in every table", "[report][claims]")
{
    const Runs few(3, 5), enough(4, 5);
    CHECK_THAT(resultsText(few.b.document, few.results()), Contains("Longer by 5.0 ms (these runs only)\n"));
    CHECK_THAT(resultsText(enough.b.document, enough.results()), !Contains("these runs only"));
    CHECK(ofTheseRunsOnly(few.results(), few.results().configurations[1]));
    const std::string table = resultsCsv(few.b.document, few.results());
    CHECK_THAT(table.substr(0, table.find("\r\n")), Contains(",these runs only,")
                                                        && Contains("difference of these runs "
                                                                    "only,"));
    // A baseline of few runs makes the other's verdict one of these runs only.
    Runs mixed(4, 5);
    for (const session::Capture* capture :
         {inOrder(mixed.b.document.captures)[0], inOrder(mixed.b.document.captures)[1]})
        for (const session::Trial* trial : trialsOf(mixed.b.document, capture->id))
            mixed.b.document.trials.erase(trial->id);
    const Results results = mixed.results();
    REQUIRE_FALSE(find(results, mixed.radio)->mean.theseRunsOnly);
    CHECK(ofTheseRunsOnly(results, *find(results, mixed.radio)));
    CHECK_THAT(resultsText(mixed.b.document, results), Contains("Longer by 5.0 ms (these runs only)\n"));
}

TEST_CASE("one capture without a run leaves the analysis of runs on, and is pointed to", "[report][claims]")
{
    Runs s(5, 5);
    s.loseRun();
    const Results results = s.results();
    const ConfigurationResult& radio = *find(results, s.radio);
    CHECK(radio.mean.runs == 4);
    CHECK(radio.mean.withoutRun == 3);
    REQUIRE(radio.mean.overRuns);
    CHECK_FALSE(radio.mean.theseRunsOnly);
    CHECK_THAT(
        joined(results.warnings),
        Contains("Capture “film 10” has no run: its 3 trials of “Radio pedal” count as a run of its own, with all "
                 "others that have none. Tag it with its run.\n"));

    Runs fewer(4, 5); // now it decides
    fewer.loseRun();
    const Results left = fewer.results();
    CHECK(find(left, fewer.radio)->mean.theseRunsOnly);
    CHECK_THAT(joined(left.warnings), Contains("Capture “film 8” has no run: its 3 trials of “Radio pedal” count but "
                                               "can't tell how runs differ. Tag it with its run.\n"));
    CHECK_THAT(joined(Runs(4, 5).results().warnings), !Contains("has no run"));
}

TEST_CASE("zero has no sign, and one trial lost no “1 frames”", "[report][claims]")
{
    CHECK(plain(-0.0) == "0");
    CHECK(csv::number(-0.0) == "0");

    Runs s(4);
    s.b.reject(trialsOf(s.b.document, inOrder(s.b.document.captures).back()->id).front()->id,
               session::RejectReason::FramesLost);
    const Results results = s.results();
    CHECK_THAT(joined(countsExplanation(*find(results, s.radio))),
               Contains("1 rejected: 1 with camera frames lost.") || Contains("1 rejected: 1 with frames lost."));
}

TEST_CASE("what is the same within the margin is drawn with what that goes by", "[report][claims]")
{
    const Runs s(4);
    const Results results = s.results();
    const stats::Comparison& comparison = *find(results, s.radio)->comparison;
    REQUIRE(comparison.verdict == stats::Verdict::SameWithinMargin);
    const ChartModel chart = chartModel(s.b.document, results, session::ChartForm::Differences);
    const ChartRow& row = chart.groups.front().rows.front();
    REQUIRE(row.sameLowMs);
    CHECK(*row.sameLowMs == comparison.equivalence->low());
    CHECK(*row.sameHighMs == comparison.equivalence->high());
    CHECK(*row.sameLowMs > *row.lowMs);
    CHECK(*row.sameHighMs < *row.highMs);
    CHECK_THAT(chart.footer.front(), Contains(" Marks inside it: what “same within the margin” goes by."));

    const Runs longer(4, 5);
    const ChartModel other = chartModel(longer.b.document, longer.results(), session::ChartForm::Differences);
    CHECK_FALSE(other.groups.front().rows.front().sameLowMs);
    CHECK_THAT(other.footer.front(), !Contains("Marks inside"));
}
