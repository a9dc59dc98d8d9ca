#include "core/report/method_note.h"
#include "core/report/results_json.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "small_session.h"

#include <QJsonDocument>
#include <QJsonObject>
#include <QJsonArray>
#include <algorithm>
#include <catch2/catch.hpp>

using Catch::WithinAbs;
using namespace analysis;
using namespace report;

namespace {

/// Two configurations at 1000 camera frames a second, the first the baseline.
struct Bench {
    small::Builder b;
    session::ConfigurationId wired = b.configuration("Wired pedal"), radio = b.configuration("Radio pedal");
    session::ClockId clock = b.clock("Fast camera", 1000, {b.source("typed", 0)});
    int captures = 0;

    Bench() { b.document.settings.plan.baseline = wired; }
    session::CaptureId capture()
    {
        const session::CaptureId id = b.capture("film " + std::to_string(++captures), clock);
        session::Capture made = *find(b.document, id);
        made.frames = {10'000};
        b.put(made);
        return id;
    }
    void take(session::ConfigurationId configuration, std::initializer_list<std::int64_t> counts, bool ofOneRun = true)
    {
        b.trials(capture(), configuration, ofOneRun ? b.run("run " + std::to_string(captures)) : session::RunId{},
                 counts);
    }
    Results results() const { return compute(b.document); }
    Checks checks(session::ConfigurationId id) const { return find(results(), id)->checks; }
    std::vector<std::string> sentences(session::ConfigurationId id) const
    {
        const Results all = results();
        return checkSentences(b.document, all, *find(all, id));
    }
};

bool says(const std::vector<std::string>& sentences, const std::string& part)
{
    return std::ranges::any_of(sentences,
                               [&](const std::string& each) { return each.find(part) != std::string::npos; });
}

} // namespace

TEST_CASE("a trial that stands apart is named and stays in", "[report]")
{
    Bench bench;
    bench.take(bench.wired, {30, 31, 32, 30, 31, 60, 30, 32, 31, 31});
    const Results results = bench.results();
    const ConfigurationResult& wired = *find(results, bench.wired);
    REQUIRE(wired.checks.apart.size() == 1);
    CHECK_THAT(wired.checks.apart[0].delayMs, WithinAbs(60, 1e-9));
    CHECK(wired.checks.apart[0].far);
    CHECK(find(results, wired.checks.apart[0].trial)->state == TrialState::Counts);
    CHECK(wired.n == 10);
    CHECK(says(bench.sentences(bench.wired), "1 trial stands apart and stays in: "));
    CHECK(says(bench.sentences(bench.wired), " with 60.0 ms (far out)."));
    CHECK_THAT(*wired.checks.madMs, WithinAbs(1, 1e-9));
}

TEST_CASE("drift over trials and over runs is told", "[report]")
{
    Bench bench;
    bench.take(bench.wired, {30, 31, 31, 32, 33, 33, 34, 35, 36});
    CHECK(bench.checks(bench.wired).overTrials->p < trendChance);
    CHECK_FALSE(bench.checks(bench.wired).overRuns);
    CHECK(says(bench.sentences(bench.wired), "Delays rise over the trials, by about 0.7"));
    bench.take(bench.radio, {30, 33, 31, 32, 30, 33, 31, 32});
    CHECK(says(bench.sentences(bench.radio), "No trend shows over the trials"));
    for (const std::int64_t falling : {29, 28, 27, 26})
        bench.take(bench.radio, {falling, falling + 1});
    CHECK(bench.checks(bench.radio).overRuns->p < trendChance);
    CHECK(says(bench.sentences(bench.radio), "Delays fall over the runs"));
    CHECK(says(bench.sentences(bench.radio), "Judged by its trials the mean is"));
    CHECK(says(bench.sentences(bench.radio), "the wider one is shown"));
}

TEST_CASE("two groups and bunching at refresh intervals are told", "[report]")
{
    Bench bench;
    bench.take(bench.wired, {30, 47, 31, 46, 30, 47, 30, 47, 31, 30, 47, 30});
    session::Configuration wired = *find(bench.b.document, bench.wired);
    wired.refreshHz = 60;
    wired.gameFrameRate = 120;
    bench.b.put(wired);
    const Checks checks = bench.checks(bench.wired);
    CHECK(checks.groups);
    CHECK(checks.bunching);
    const double mean = 446.0 / 12;
    CHECK_THAT(*checks.refreshIntervals, WithinAbs(mean * 0.06, 1e-9)); // ratio of doubles
    CHECK_THAT(*checks.gameFrames, WithinAbs(mean * 0.12, 1e-9));
    CHECK(says(bench.sentences(bench.wired), " refresh intervals and "));
    CHECK(says(bench.sentences(bench.wired), "bunch at multiples of the refresh interval"));
    CHECK(says(bench.results().warnings, "“Wired pedal” fall into two groups, 7 around "));
}

TEST_CASE("runs that took turns give block differences, others none", "[report]")
{
    Bench bench;
    bench.take(bench.wired, {30, 31, 30});
    bench.take(bench.radio, {35, 36, 35});
    bench.take(bench.radio, {37, 38, 37});
    bench.take(bench.wired, {33, 32, 33});
    const auto blocks = bench.checks(bench.radio).blocks;
    REQUIRE(blocks);
    REQUIRE(blocks->differencesMs.size() == 2);
    CHECK_THAT(blocks->differencesMs[0], WithinAbs(5, 1e-9));
    CHECK_THAT(blocks->differencesMs[1], WithinAbs(112.0 / 3 - 98.0 / 3, 1e-9));
    CHECK(says(bench.sentences(bench.radio), "In 2 blocks that took turns"));
    bench.take(bench.wired, {30, 31});
    CHECK_FALSE(bench.checks(bench.radio).blocks);
}

TEST_CASE("ranks that disagree with the verdict say so and leave it as it is", "[report]")
{
    Bench bench; // phase of one capture each keeps the mean from telling what ranks do
    bench.take(bench.wired, {30, 30, 30, 30, 30, 30, 30, 30, 30, 30});
    bench.take(bench.radio, {31, 31, 31, 30, 31, 30, 31, 31, 31, 31});
    const Results results = bench.results();
    CHECK(find(results, bench.radio)->comparison->verdict == stats::Verdict::NotResolved);
    CHECK(find(results, bench.radio)->checks.ranks->p < 0.01);
    CHECK(says(bench.sentences(bench.radio), "the verdict goes by the latter"));
}

TEST_CASE("equal counts are ties wherever in the film they were taken", "[report]")
{
    // At 959.04 camera frames a second no two delays of the same count have the same bits.
    Bench bench;
    session::Clock clock = *find(bench.b.document, bench.clock);
    clock.evidence.front().rate.rate = 959.04;
    bench.b.put(clock);
    bench.take(bench.wired, {30, 30, 31, 30, 30, 31, 30, 30});
    bench.take(bench.radio, {30, 31, 30, 30, 31, 30, 30, 30});
    const Checks checks = bench.checks(bench.radio);
    CHECK_FALSE(checks.ranks->exact);
    CHECK(checks.ranks->u == 32);
    CHECK_FALSE(checks.overTrials->exact);
    CHECK(checks.overTrials->s == -4); // 4 pairs rise, 5 + 3 fall
}

TEST_CASE("reject shares that differ are warned about", "[report]")
{
    Bench bench;
    bench.take(bench.wired, {30, 31, 30, 31, 30, 31, 30, 31, 30, 31});
    bench.take(bench.radio, {30, 31, 30, 31, 30, 31, 30, 31, 30, 31, 50, 51, 52, 53});
    CHECK_FALSE(says(bench.results().warnings, "Rejects differ"));
    std::vector<session::TrialId> slow;
    for (const TrialOutcome& outcome : bench.results().trials)
        if (outcome.delay->delay.count() > 40)
            slow.push_back(outcome.trial);
    bench.b.reject(slow[0], session::RejectReason::Hitch);
    CHECK_FALSE(says(bench.results().warnings, "Rejects differ")); // one of 14 against none of 10 may be chance
    for (std::size_t i = 0; i < slow.size(); ++i)
        bench.b.reject(slow[i], session::RejectReason::Hitch);
    for (int i = 0; i < 2; ++i)
        bench.take(bench.wired, {30, 31, 30, 31, 30, 31, 30, 31, 30, 31});
    CHECK(says(bench.results().warnings, "4 of 14 trials of “Radio pedal”, 0 of 30 of the others"));
}

TEST_CASE("thousands of trials leave out what goes through every pair, and say so", "[report]")
{
    Bench bench;
    for (int film = 0; film < 15; ++film) {
        const session::CaptureId capture = bench.capture();
        for (int i = 0; i < 95; ++i)
            bench.b.trial(capture, film < 14 ? bench.wired : bench.radio, {}, 100 + 100 * i, 130 + 100 * i + i % 3);
    }
    CHECK_FALSE(bench.checks(bench.wired).overTrials);
    CHECK(bench.checks(bench.wired).madMs);
    CHECK(says(bench.sentences(bench.wired), "No trend is worked out for this many trials."));
    CHECK(bench.checks(bench.radio).overTrials);
    CHECK(bench.checks(bench.radio).ranks); // 95 times 1330 pairs
}

TEST_CASE("few trials, none, one configuration: every place says something sensible", "[report]")
{
    using Counts = std::vector<std::int64_t>;
    const auto [counts, wanted] = GENERATE(table<Counts, std::string>({
        {Counts{}, ""},
        {{30}, "Median 30"},
        {{30, 31}, "too few trials for a 95 % interval by order"},
        {{30, 31, 33, 30}, "too few trials for a 95 % interval by order"},
        {{30, 30, 30, 30, 30, 30}, "half of the trials lie within 0.0"},
        {{30, 31, 32, 30, 31, 30}, " interval by order, whatever the distribution if trials are independent)"},
    }));
    const bool alone = GENERATE(true, false);
    const bool rejected = GENERATE(true, false);
    Bench bench;
    if (alone) {
        bench.b.document.configurations.erase(bench.radio);
        bench.b.document.settings.plan.baseline = {};
    }
    const session::CaptureId capture = bench.capture();
    std::int64_t press = 100;
    for (const std::int64_t count : counts) {
        const session::TrialId trial = bench.b.trial(capture, bench.wired, {}, press, press + count);
        press += 100;
        if (rejected)
            bench.b.reject(trial, session::RejectReason::Torn);
    }
    const Results results = bench.results();
    const ConfigurationResult& wired = *find(results, bench.wired);
    const std::vector<std::string> sentences = bench.sentences(bench.wired);
    const bool any = !counts.empty() && !rejected;
    CHECK(sentences.empty() == !any);
    CHECK((!any || says(sentences, wanted)));
    CHECK(says(results.warnings, "fewer than 5 give no verdict") == (any && counts.size() < 5));
    CHECK(wired.checks.madMs.has_value() == any);
    CHECK(wired.checks.apart.empty());
    CHECK_FALSE(wired.checks.ranks);

    for (const std::string& text : {resultsText(bench.b.document, results), resultsCsv(bench.b.document, results),
                                    methodNote(bench.b.document, results, "1.2.3")}) {
        CHECK(text.find("nan") == std::string::npos);
        CHECK(text.find("inf") == std::string::npos);
    }
    const QJsonObject json = QJsonDocument::fromJson(resultsJson(bench.b.document, results, "1.2.3")).object();
    const QJsonObject checks = json["configurations"].toArray()[0].toObject()["checks"].toObject();
    CHECK(checks["madMs"].isNull() == !any);
    CHECK(checks["ranks"].isNull());
}
