#include "core/analysis/narrowing.h"
#include "core/analysis/results.h"
#include "core/analysis/run_sheet.h"
#include "core/report/method_note.h"
#include "core/report/sentences.h"
#include "core/stats/blocks.h"
#include "core/stats/distributions.h"
#include "core/stats/summary.h"
#include "small_session.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using Catch::WithinAbs;
using Catch::WithinRel;
using namespace analysis;

namespace {

/// Three links, five blocks of one run of two trials each, filmed as the sheet says; every block moved by as much.
struct Interleaved {
    small::Builder b;
    session::ConfigurationId wired, radio, hub;
    session::ClockId clock;

    explicit Interleaved(int baselineRuns = 5)
    {
        wired = b.configuration("Wired pedal");
        radio = b.configuration("Radio pedal");
        hub = b.configuration("Pedal through hub");
        session::Plan& plan = b.document.settings.plan;
        plan.baseline = wired;
        plan.marginMs = 3;
        plan.runsPerConfiguration = 5;
        plan.trialsPerConfiguration = 10;
        plan.baselineRuns = baselineRuns;
        plan.baselineTrials = 2 * baselineRuns;
        clock = b.clock("Fast camera", 1000, {b.source("typed", 0.001)});
        b.document.settings.runSheet = drawRunSheet(b.document, 7);
        const std::int64_t drift[] = {0, 9, -8, 4, 12};
        int line = 0;
        for (session::SheetLine& each : b.document.settings.runSheet->lines) {
            const std::string name = "run " + std::to_string(++line);
            each.run = b.run(name);
            const std::int64_t own = each.configuration == radio ? 7 : each.configuration == hub ? 1 : 0;
            const std::int64_t count = 40 + own + drift[each.block - 1] + line % 2;
            b.trials(b.capture(name + ".mp4", clock), each.configuration, each.run, {count, count + 1});
        }
    }
    session::SheetLine& lineOf(session::ConfigurationId id, int block)
    {
        return *std::ranges::find_if(b.document.settings.runSheet->lines, [&](const session::SheetLine& line) {
            return line.configuration == id && line.block == block;
        });
    }
    /// Trials of that line's run, changed or taken out.
    template <class Change> void each(session::ConfigurationId id, int block, Change change)
    {
        for (const auto& [trialId, trial] : session::Table<session::Trial>(b.document.trials))
            if (trial->run == lineOf(id, block).run)
                change(*trial);
    }
};

const ConfigurationResult& resultOf(const Results& results, session::ConfigurationId id) { return *find(results, id); }

} // namespace

TEST_CASE("blocks of the run sheet are taken out of differences", "[analysis]")
{
    const Interleaved s;
    const Results results = compute(s.b.document);
    const stats::Comparison& radio = *resultOf(results, s.radio).comparison;
    CHECK(radio.blocksOut);
    CHECK(resultOf(results, s.hub).comparison->blocksOut);
    CHECK(resultOf(results, s.radio).blocksLeftIn.empty());
    CHECK_THAT(*radio.differenceMs, WithinAbs(resultOf(results, s.radio).mean.shown()->estimateMs
                                                  - resultOf(results, s.wired).mean.shown()->estimateMs,
                                              1e-9));
    // Blocks move by 8 ms (SD); what is left is whether a line's number is odd.
    CHECK(resultOf(results, s.radio).mean.shown()->interval->halfWidthMs > 8);
    CHECK(radio.interval->halfWidthMs < 2.5);
    CHECK(radio.verdict == stats::Verdict::Longer);
    CHECK_THAT(report::methodNote(s.b.document, results, "1.0"),
               Contains("Blocks of the run sheet, which interleaved the configurations before filming, are taken out")
                   && Contains("the differences of Radio pedal and Pedal through hub.")
                   && Contains("Of two intervals the wider is shown: by what the runs of all configurations together "
                               "scatter by, with Dunnett's factor, and by what those of the two compared scatter by, "
                               "with Student's at 95.88 %; ")
                   && Contains("their order within a block is random, as the sheet drew it"));
    const auto checks = report::checkSentences(s.b.document, results, resultOf(results, s.radio));
    CHECK(std::ranges::any_of(checks, [](const std::string& sentence) {
        return sentence.starts_with("Beside its mean and what moved whole blocks its runs leave ")
               && sentence.find(" ms, block by block: no trend shows (p = ") != std::string::npos;
    }));

    small::Builder without = s.b;
    without.document.settings.runSheet.reset();
    const Results plain = compute(without.document);
    CHECK_FALSE(resultOf(plain, s.radio).comparison->blocksOut);
    CHECK(resultOf(plain, s.radio).comparison->verdict == stats::Verdict::NotResolved);
    CHECK(*resultOf(plain, s.radio).comparison->differenceMs == *radio.differenceMs);
    // What it would be with blocks left in is said beside it; only what any two correlate by differs.
    CHECK_THAT(radio.apartHalfWidthMs, WithinRel(resultOf(plain, s.radio).comparison->interval->halfWidthMs, 0.05));
    std::string text;
    for (const std::string& sentence : report::verdictExplanation(results, resultOf(results, s.radio)))
        text += sentence;
    CHECK_THAT(text, Contains("What moves a whole block of the run sheet is taken out: the difference is known to ± ")
                         && Contains(" ms, with it left in it would be ± "));
    for (const std::string& sentence : report::checkSentences(without.document, plain, resultOf(plain, s.radio)))
        CHECK(sentence.find("block by block") == std::string::npos);
}

TEST_CASE("a set-up that drifts apart from the others is named by what its runs leave", "[analysis]")
{
    Interleaved s;
    for (int block = 1; block <= 5; ++block)
        s.each(s.radio, block, [&](session::Trial trial) {
            session::Reading& reading = trial.readings.front();
            reading.response->frame.value += 6 * block;
            s.b.put(trial);
        });
    const Results results = compute(s.b.document);
    const std::vector<double>& left = resultOf(results, s.radio).checks.leftByBlockMs;
    REQUIRE(left.size() == 5);
    CHECK(std::ranges::is_sorted(left));
    CHECK_THAT(stats::mean(left), WithinAbs(0, 1e-9));
    const auto checks = report::checkSentences(s.b.document, results, resultOf(results, s.radio));
    CHECK(std::ranges::any_of(checks, [](const std::string& sentence) {
        return sentence.ends_with("they rise (p = 0.017), so that this set-up may drift apart from the others.");
    }));
    // What all configurations scatter by together would hide it.
    CHECK(resultOf(results, s.radio).comparison->ownScatter);
    CHECK_FALSE(resultOf(results, s.hub).comparison->ownScatter);
    // 4 more runs change the level too: it was 5 % (1.75/3 + 1.2/5) that may be missed, and is 5 % (1.75/3 + 1.2/9).
    const stats::Comparison& radio = *resultOf(results, s.radio).comparison;
    std::vector<stats::BudgetLine> lines = radio.lines;
    for (stats::BudgetLine& line : lines)
        if (line.kind == stats::LineKind::Runs) {
            line.uMs *= std::sqrt(5.0 / 9);
            line.dof = 8;
        }
    const stats::Combined more = stats::combine(lines);
    CHECK_THAT(narrowing(results, resultOf(results, s.radio))->halfWidthMs,
               WithinRel(stats::coverageFactor(1 - 0.05 * (1.75 / 3 + 1.2 / 9), more.dof) * more.uMs, 1e-9));
    CHECK_THAT(report::methodNote(s.b.document, results, "1.0"),
               Contains("with Student's at 95.88 %; the second for Radio pedal."));
}

TEST_CASE("a pair is compared with the blocks of all configurations taken out", "[analysis]")
{
    const Interleaved s;
    const Results all = compute(s.b.document), pair = pairOf(s.b.document, s.radio, s.wired);
    const stats::Comparison& family = *resultOf(all, s.radio).comparison;
    const stats::Comparison& own = *pair.configurations.front().comparison;
    CHECK(own.blocksOut);
    CHECK_THAT(own.interval->uMs, WithinRel(family.interval->uMs, 1e-12));
    CHECK(own.interval->halfWidthMs < family.interval->halfWidthMs);
}

TEST_CASE("what leaves a block incomplete is said, and its comparison keeps the blocks in", "[analysis]")
{
    Interleaved s;
    const session::ConfigurationId fourth = s.b.configuration("Spare pedal");
    SECTION("a run without trials that count, one of three")
    {
        s.each(s.hub, 3, [&](const session::Trial& trial) { s.b.reject(trial.id, session::RejectReason::Hitch); });
        const Results results = compute(s.b.document);
        CHECK_FALSE(resultOf(results, s.hub).comparison->blocksOut);
        CHECK(resultOf(results, s.hub).blocksLeftIn == "it has no trial that counts in block 3");
        CHECK_FALSE(resultOf(results, s.radio).comparison->blocksOut); // two are left
        CHECK(resultOf(results, s.radio).blocksLeftIn
              == "it takes at least 3 configurations with every block complete");
        CHECK_THAT(report::methodNote(s.b.document, results, "1.0"),
                   Contains("Blocks of the run sheet are left in for Radio pedal (it takes at least 3 configurations"));
    }
    SECTION("one rejected trial leaves its run, and its block, complete")
    {
        bool first = true;
        s.each(s.hub, 3, [&](const session::Trial& trial) {
            if (std::exchange(first, false))
                s.b.reject(trial.id, session::RejectReason::Hitch);
        });
        CHECK(resultOf(compute(s.b.document), s.hub).comparison->blocksOut);
    }
    SECTION("trials without a run")
    {
        s.each(s.radio, 1, [&](session::Trial trial) {
            trial.run = {};
            s.b.put(trial);
        });
        const Results results = compute(s.b.document);
        CHECK(resultOf(results, s.radio).blocksLeftIn == "some of its trials have no run");
        CHECK_FALSE(resultOf(results, s.radio).comparison->blocksOut);
        CHECK(resultOf(results, s.radio).mean.withoutRun == 2);
        CHECK_FALSE(resultOf(results, s.radio).mean.theseRunsOnly);
        CHECK(resultOf(results, s.radio).mean.overRuns);
    }
    SECTION("a run that the sheet doesn't have")
    {
        s.b.trials(s.b.capture("more.mp4", s.clock), s.hub, s.b.run("one more"), {44, 45});
        CHECK(resultOf(compute(s.b.document), s.hub).blocksLeftIn == "its run “one more” is on no line of its own");
    }
    SECTION("the baseline lacks a block")
    {
        s.each(s.wired, 5, [&](const session::Trial& trial) { s.b.document.trials.erase(trial.id); });
        CHECK(resultOf(compute(s.b.document), s.hub).blocksLeftIn
              == "the baseline has no trial that counts in block 5");
    }
    SECTION("runs without ms leave the others complete")
    {
        session::Clock clock = *find(s.b.document, s.b.clock("Borrowed", 240, {}));
        clock.settled.reset();
        s.b.put(clock);
        for (int run = 0; run < 5; ++run)
            s.b.trials(s.b.capture("spare", clock.id), fourth, s.b.run("spare"), {10, 11});
        const Results results = compute(s.b.document);
        CHECK(resultOf(results, fourth).clockNotSettled == 10);
        CHECK(resultOf(results, s.radio).comparison->blocksOut);
        CHECK(results.comparisons == 3);
    }
}

TEST_CASE("levels don't move while data come in", "[analysis]")
{
    Interleaved s;
    const stats::Comparison before = *resultOf(compute(s.b.document), s.radio).comparison;
    CHECK(before.comparisons == 2);
    s.each(s.hub, 1, [&](const session::Trial& trial) { s.b.document.trials.erase(trial.id); });
    for (int block = 2; block <= 5; ++block)
        s.each(s.hub, block, [&](const session::Trial& trial) { s.b.document.trials.erase(trial.id); });
    const Results results = compute(s.b.document);
    CHECK(results.comparisons == 2);
    CHECK(resultOf(results, s.radio).comparison->comparisons == 2);
    CHECK_THAT(resultOf(results, s.radio).comparison->equivalence->level, WithinAbs(before.equivalence->level, 1e-12));
}

TEST_CASE("a baseline with more runs of its own has its blocks weighed alike", "[analysis]")
{
    const Interleaved s(7);
    const Results results = compute(s.b.document);
    CHECK(resultOf(results, s.wired).mean.runs == 7);
    CHECK(resultOf(results, s.radio).comparison->blocksOut);
    CHECK(resultOf(results, s.radio).comparison->interval->halfWidthMs < 2.5);
    CHECK_THAT(*resultOf(results, s.radio).comparison->differenceMs,
               WithinAbs(resultOf(results, s.radio).mean.shown()->estimateMs
                             - resultOf(results, s.wired).mean.shown()->estimateMs,
                         1e-9));
}
