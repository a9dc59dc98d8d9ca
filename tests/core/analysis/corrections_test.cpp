#include "core/report/chart_model.h"
#include "core/report/correction_words.h"
#include "core/report/method_note.h"
#include "core/analysis/results.h"
#include "small_session.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using Catch::WithinAbs;
using namespace analysis;
using namespace report;

namespace {

constexpr double handTolerance = 1e-9; // short sums by hand

const stats::BudgetLine* line(const std::vector<stats::BudgetLine>& lines, stats::LineKind kind)
{
    for (const stats::BudgetLine& each : lines)
        if (each.kind == kind)
            return &each;
    return nullptr;
}

void setReadout(session::Document& document, session::ClockId id, const session::Readout& readout)
{
    session::Clock clock = *find(document, id);
    clock.readout = readout;
    small::put(document, clock);
}

const session::Readout tenMicroseconds{session::ReadoutKind::LineTime, 1e-5, 1e-7,
                                       session::ReadoutDirection::FirstRowFirst, "bands at 1000 Hz"};

std::string joined(const std::vector<std::string>& sentences)
{
    std::string all;
    for (const std::string& sentence : sentences)
        all += sentence + '\n';
    return all;
}

} // namespace

// Lamp rows 20 to 60, panel rows 100 to 180 of 400: the panel's middle lies 100 rows below the lamp's.
TEST_CASE("a known line time moves each delay by the rows between, and only its own uncertainty stays", "[report]")
{
    small::Session s = small::session();
    setReadout(s.document, s.fast, tenMicroseconds);
    const Results results = compute(s.document);
    const ConfigurationResult& wired = *find(results, s.wired);

    // 100 rows at 0.01 ms: 1 ms later than counted.
    CHECK_THAT(*wired.summary.mean, WithinAbs(32, handTolerance));
    const TrialOutcome& first = *find(results, s.document.trials.begin()->first);
    CHECK_THAT(first.delay->delay.count(), WithinAbs(31, handTolerance));
    CHECK_THAT(first.delay->earliest.count(), WithinAbs(30 - 1e-4 * 100 * std::sqrt(3.0), handTolerance));
    CHECK_THAT(first.delay->latest.count(), WithinAbs(32 + 1e-4 * 100 * std::sqrt(3.0), handTolerance));
    CHECK_THAT(first.corrections.rows.add.count(), WithinAbs(1, handTolerance));

    const auto* rows = line(wired.mean.shown()->lines, stats::LineKind::Rows);
    REQUIRE(rows);
    CHECK_THAT(rows->uMs, WithinAbs(0.01, handTolerance));
    CHECK_THAT(rows->weight, WithinAbs(100, handTolerance));
    CHECK_THAT(rows->u, WithinAbs(1e-4, handTolerance));
    // The clock's share goes by the time counted, not by what was added.
    CHECK_THAT(line(wired.mean.shown()->lines, stats::LineKind::Clock)->weight, WithinAbs(31, handTolerance));
    // Filmed alike: shared by both sides of the difference.
    CHECK_THAT(line(find(results, s.radio)->comparison->lines, stats::LineKind::Rows)->uMs,
               WithinAbs(0, handTolerance));
    CHECK_THAT(*find(results, s.radio)->comparison->differenceMs, WithinAbs(10, handTolerance));

    session::Readout up = tenMicroseconds;
    up.direction = session::ReadoutDirection::LastRowFirst;
    setReadout(s.document, s.fast, up);
    CHECK_THAT(*find(compute(s.document), s.wired)->summary.mean, WithinAbs(30, handTolerance));

    up.direction = session::ReadoutDirection::Unknown;
    setReadout(s.document, s.fast, up);
    const Results either = compute(s.document);
    CHECK_THAT(*find(either, s.wired)->summary.mean, WithinAbs(31, handTolerance));
    CHECK_THAT(line(find(either, s.wired)->mean.shown()->lines, stats::LineKind::Rows)->uMs,
               WithinAbs(std::hypot(1, 0.01), handTolerance));
}

TEST_CASE("an unknown line time widens the range of a single trial by all it may be", "[report]")
{
    small::Session s = small::session();
    setReadout(s.document, s.fast, {});
    const TrialOutcome outcome = trialOutcome(s.document, *s.document.trials.begin()->second);
    // 100 of 400 rows of an interval of 1 ms
    CHECK_THAT(outcome.delay->delay.count(), WithinAbs(30, handTolerance));
    CHECK_THAT(outcome.delay->earliest.count(), WithinAbs(29 - 0.25, handTolerance));
    CHECK_THAT(outcome.delay->latest.count(), WithinAbs(31 + 0.25, handTolerance));
}

TEST_CASE("a common height moves configurations by their place on the display, with one error a display", "[report]")
{
    small::Session s = small::session();
    const auto place = [&](session::ConfigurationId id, double height, double refresh, const char* display) {
        session::Configuration configuration = *find(s.document, id);
        configuration.reactionHeight = height;
        configuration.refreshHz = refresh;
        configuration.texts["display"] = display;
        small::put(s.document, configuration);
    };
    place(s.wired, 0.75, 125.0, "bench panel");
    place(s.radio, 0.25, 125.0, "bench panel");
    place(s.hub, 0.75, 100.0, "other panel");
    const Results off = compute(s.document);
    CHECK_THAT(*find(off, s.wired)->summary.mean, WithinAbs(31, handTolerance)); // off until a height is chosen
    CHECK(correctionFooter(s.document, off).empty());

    s.document.settings.event.commonHeight = 0.5;
    const Results on = compute(s.document);
    // A refresh takes 8 ms, a quarter of it 2 ms; on the other panel 2.5 ms.
    CHECK_THAT(*find(on, s.wired)->summary.mean, WithinAbs(29, handTolerance));
    CHECK_THAT(*find(on, s.radio)->summary.mean, WithinAbs(43, handTolerance));
    CHECK_THAT(*find(on, s.hub)->summary.mean, WithinAbs(30.3, handTolerance));
    // +-10 % evenly, and 125 typed to half its last digit: 0.5/125/sqrt(3)
    const double u = std::hypot(0.1 / std::sqrt(3.0), 0.5 / 125 / std::sqrt(3.0));
    const auto* mean = line(find(on, s.wired)->mean.shown()->lines, stats::LineKind::ScanOut);
    REQUIRE(mean);
    CHECK_THAT(mean->uMs, WithinAbs(2 * u, handTolerance));
    // +2 ms on one side, -2 on the other: the display's one error counts for 4 ms between them.
    CHECK_THAT(line(find(on, s.radio)->comparison->lines, stats::LineKind::ScanOut)->uMs,
               WithinAbs(4 * u, handTolerance));
    CHECK_THAT(correctionFooter(s.document, on), Contains("height 0.5 of the display"));
    const std::vector<std::string> footer = chartModel(s.document, on).notes;
    CHECK_THAT(joined(footer), Contains("Delays as for a reaction at height 0.5"));

    session::Configuration radio = *find(s.document, s.radio);
    radio.texts["vrrRange"] = "48 to 125 Hz";
    small::put(s.document, radio);
    CHECK_THAT(joined(compute(s.document).warnings), Contains("“Radio pedal” has a variable refresh"));
    s.document.settings.event.scanOutTolerance = 0.5; // stated wider: the analyst knows
    CHECK_THAT(joined(compute(s.document).warnings), !Contains("variable refresh"));
    radio.reactionHeight.reset();
    small::put(s.document, radio);
    CHECK_THAT(joined(compute(s.document).warnings),
               Contains("“Radio pedal” isn't brought to the common height: its reaction height isn't known"));
}

TEST_CASE("the lamp's lead is taken off, and its width and the onset rule's are one cause for all that cancels in "
          "differences",
          "[report]")
{
    small::Session s = small::session();
    session::EventDefinition& event = s.document.settings.event;
    event.lampLeadMs = 0.5;
    event.lampLeadWidthMs = 0.6;
    event.onsetWidthMs = 1.2;
    const Results results = compute(s.document);
    CHECK_THAT(*find(results, s.wired)->summary.mean, WithinAbs(30.5, handTolerance));
    const auto& lines = find(results, s.wired)->mean.shown()->lines;
    REQUIRE(line(lines, stats::LineKind::Lamp));
    REQUIRE(line(lines, stats::LineKind::Onset));
    CHECK_THAT(line(lines, stats::LineKind::Lamp)->uMs, WithinAbs(0.6 / std::sqrt(12.0), handTolerance));
    CHECK_THAT(line(lines, stats::LineKind::Onset)->uMs, WithinAbs(1.2 / std::sqrt(12.0), handTolerance));
    for (const session::ConfigurationId id : {s.radio, s.hub}) {
        const auto& difference = find(results, id)->comparison->lines;
        CHECK_THAT(line(difference, stats::LineKind::Lamp)->uMs, WithinAbs(0, handTolerance));
        CHECK_THAT(line(difference, stats::LineKind::Onset)->uMs, WithinAbs(0, handTolerance));
    }
    const TrialOutcome& first = results.trials.front();
    CHECK_THAT((first.delay->latest - first.delay->earliest).count(),
               WithinAbs(2 + 0.6 + 1.2, handTolerance)); // limits add up
}

TEST_CASE("corrections are said wherever figures stand", "[report]")
{
    small::Session s = small::session();
    const Results none = compute(s.document);
    CHECK_THAT(joined(correctionSentences(s.document, none)),
               Contains("all rows are exposed at once") && Contains("Scan-out: not corrected"));
    CHECK(correctionFooter(s.document, none).empty());
    CHECK(correctionWords(none.trials.front().corrections).empty());

    setReadout(s.document, s.fast, tenMicroseconds);
    s.document.settings.event.lampLeadMs = -0.25;
    const Results some = compute(s.document);
    const std::string sentences = joined(correctionSentences(s.document, some));
    CHECK_THAT(sentences, Contains("Rolling shutter of Fast camera: line time 10.00 µs with a standard uncertainty of "
                                   "0.10 µs (bands at 1000 Hz), first row first"));
    CHECK_THAT(sentences, Contains("corrected by +1.00 ms"));
    CHECK_THAT(sentences, Contains("0.25 ms too late, which is added"));
    CHECK(correctionFooter(s.document, some) == "Corrected for rolling shutter and the lamp's lead.");
    CHECK(correctionWords(some.trials.front().corrections) == "rows +1.000 ± 0.017, lamp +0.25 ms");
    const std::string note = methodNote(s.document, some, "0");
    CHECK_THAT(note, Contains("Corrections:\n  Rolling shutter of Fast camera: line time 10.00 µs"));
    CHECK_THAT(note, !Contains("Corrections: none"));
}
