#include "core/session/edits.h"
#include "core/error.h"
#include "cpu_time.h"
#include "refusals.h"
#include "sample_document.h"
#include <catch2/catch.hpp>
#include <cmath>

using namespace session;
using Catch::Contains;

namespace {

/// The sentence with which it is refused; empty when it isn't.
std::string refusal(const Document& document, const Edit& edit)
{
    return ::refusal([&] { apply(document, edit); });
}

TrialId firstTrial(const Document& document) { return document.trials.begin()->first; }

/// An edit of one change, made by hand.
template <class T> Edit replacing(const Document& document, const T& after)
{
    return {"by hand", "", {{Entity(*find(document, after.id)), Entity(after)}}, document.nextId};
}

} // namespace

TEST_CASE("an edit leaves the document it is applied to as it was and shares what it doesn't touch", "[session]")
{
    const Document before = sample::withTrials(3);
    const Document copy = before;
    const Document after = apply(before, setTrialNote(before, firstTrial(before), "late press"));
    CHECK(before == copy);
    CHECK(after.trials.begin()->second->note == "late press");
    CHECK(std::next(after.trials.begin())->second == std::next(before.trials.begin())->second);
    CHECK(after.captures.begin()->second == before.captures.begin()->second);
}

TEST_CASE("an edit applied backwards gives the document before, except that numbers stay given out", "[session]")
{
    const Document before = sample::rich();
    const CaptureId capture = before.captures.begin()->first;
    const TrialId trial = firstTrial(before);
    const ClockId clock = before.clocks.begin()->first;
    const std::vector<Edit> edits = {
        addConfiguration(before, {{}, 0, "Fourth pedal", "", {}, {}, {}}),
        moveConfiguration(before, before.configurations.begin()->first, 2),
        removeCapture(before, capture),
        tagCapture(before, capture, {}, {}),
        declareRate(before, clock, 480, 0.01, ""),
        shareClock(before, clock, {before.captures.rbegin()->first}),
        splitClock(before, capture, find(before, capture)->clock),
        setMark(before, trial, {}, MarkKind::Press, sample::mark(30), ""),
        removeTrial(before, trial),
        rejectTrial(before, trial, RejectReason::Hitch, ""),
        setMargin(before, 2.5),
    };
    for (const Edit& edit : edits) {
        INFO(edit.label);
        const Document after = apply(before, edit);
        CHECK_FALSE(after == before);
        CHECK(contradiction(after) == "");
        Document back = apply(after, reversed(edit));
        CHECK(back.nextId == after.nextId);
        back.nextId = before.nextId;
        CHECK(back == before);
        CHECK(apply(apply(after, reversed(edit)), edit) == after);
    }
}

TEST_CASE("an edit made for another state is refused and nothing changes", "[session]")
{
    const Document before = sample::withTrials(2);
    const TrialId trial = firstTrial(before);
    const Edit first = setTrialNote(before, trial, "one"), second = setTrialNote(before, trial, "two");
    Document document = apply(before, first);
    const Document copy = document;
    CHECK_THAT(refusal([&] { applyInPlace(document, second); }),
               Contains("made for another state of trial " + std::to_string(trial.value)));
    CHECK(document == copy);
    // The number is taken: both edits were made while it was free.
    const Edit addOne = addRun(before, "one", {}), addTwo = addRun(before, "two", {});
    CHECK_THAT(refusal(apply(before, addOne), addTwo), Contains("There already is run"));
}

TEST_CASE("an edit that fails in its middle leaves no trace", "[session]")
{
    const Document before = sample::withTrials(3);
    Edit edit = removeTrial(before, firstTrial(before));
    Trial broken = *before.trials.rbegin()->second;
    broken.readings.front().response->frame = {1'000'000};
    edit.changes.push_back({Entity(*before.trials.rbegin()->second), Entity(broken)});
    edit.nextId = before.nextId + 50;
    Document document = before;
    CHECK_THAT(refusal([&] { applyInPlace(document, edit); }), Contains("frame 1000000"));
    CHECK(document == before);
}

TEST_CASE("a number is never given twice, not even after undoing", "[session]")
{
    Document d = sample::planned();
    const Edit added = addRun(d, "extra", {});
    d = apply(d, added);
    const RunId given = d.runs.rbegin()->first;
    d = apply(d, reversed(added));
    d = apply(d, addRun(d, "another", {}));
    CHECK(d.runs.rbegin()->first > given);
}

TEST_CASE("edits that would make the session contradict itself are refused with a sentence", "[session]")
{
    const Document d = sample::withTrials(4);
    const Trial trial = *d.trials.begin()->second;
    const Capture capture = *find(d, trial.capture);
    const Clock clock = *d.clocks.begin()->second;

    const auto withTrial = [&](auto change) {
        Trial changed = trial;
        change(changed);
        return refusal(d, replacing(d, changed));
    };
    CHECK_THAT(withTrial([](Trial& t) { t.capture = CaptureId{9999}; }), Contains("refers to capture 9999"));
    CHECK_THAT(withTrial([](Trial& t) { t.configuration = ConfigurationId{9999}; }), Contains("configuration 9999"));
    CHECK_THAT(withTrial([](Trial& t) { t.run = RunId{9999}; }), Contains("run 9999"));
    CHECK_THAT(withTrial([](Trial& t) { t.lamp = t.screen; }), Contains("lamp region"));
    CHECK_THAT(withTrial([](Trial& t) { t.settled = ReadingId{9999}; }), Contains("isn't one of its readings"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].press->frame = {-1}; }), Contains("frame of a mark"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].response->frame = {2400}; }), Contains("last frame"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].press->frame = {2399}; }), Contains("lies after its response"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].response.reset(); }), Contains("can't be accepted before"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].noReaction = true; }), Contains("says “no reaction”"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].press->pictureHash = "XYZ"; }), Contains("checksum"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].time = "yesterday"; }), Contains("ISO 8601"));
    CHECK_THAT(withTrial([](Trial& t) { t.note = "\xff\xfe"; }), Contains("UTF-8"));
    CHECK_THAT(withTrial([](Trial& t) { t.note.assign(30'000, 'a'); }), Contains("at most 20000"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings.push_back(t.readings[0]); }), Contains("given to two things"));
    CHECK_THAT(withTrial([](Trial& t) { t.readings[0].id = ReadingId{1'000'000}; }), Contains("next number"));
    CHECK_THAT(withTrial([](Trial& t) { t.reject = Reject{RejectReason::Other, "", ""}; }), Contains("say which"));

    const auto withCapture = [&](auto change) {
        Capture changed = capture;
        change(changed);
        return refusal(d, replacing(d, changed));
    };
    CHECK_THAT(withCapture([](Capture& c) { c.regions[0].x = 1270; }), Contains("inside the picture"));
    CHECK_THAT(withCapture([](Capture& c) { c.regions[0].width = 0; }), Contains("between 1 and"));
    CHECK_THAT(withCapture([](Capture& c) { c.regions[0].x = std::numeric_limits<int>::max(); }),
               Contains("between 0 and 99999"));
    CHECK_THAT(withCapture([](Capture& c) { c.regions.clear(); }), Contains("isn't in capture"));
    CHECK_THAT(withCapture([](Capture& c) { c.frames = {10}; }), Contains("last frame"));
    CHECK_THAT(withCapture([](Capture& c) { c.frames = {0}; }), Contains("number of frames"));
    CHECK_THAT(withCapture([](Capture& c) { c.name = "  "; }), Contains("is empty"));
    CHECK_THAT(withCapture([](Capture& c) { c.path = ""; }), Contains("is empty; give one"));
    CHECK_THAT(withCapture([](Capture& c) { c.position = 1; }), Contains("position 1"));
    CHECK_THAT(withCapture([](Capture& c) { c.missing = {{5, 1}, {5, 1}}; }), Contains("ascending"));
    CHECK_THAT(withCapture([](Capture& c) { c.missing = {{5, 0}}; }), Contains("missing frames"));
    CHECK_THAT(withCapture([](Capture& c) {
                   c.unknown = {{5, 5, false, "damage"}};
               }),
               Contains("last frame of a stretch"));
    CHECK_THAT(withCapture([](Capture& c) {
                   c.unknown = {{5, 6, false, "a"}, {4, 9, false, "b"}};
               }),
               Contains("first frame of a stretch"));
    CHECK_THAT(withCapture([](Capture& c) { c.furtherParts = {{"b.mp4", 5, false}}; }), Contains("from frame 4 to 5"));
    CHECK_THAT(withCapture([](Capture& c) {
                   c.unknown = {{4, 5, true, "stamps"}};
                   c.furtherParts = {{"b.mp4", 5, false}};
               }),
               Contains("unknown gap"));
    CHECK_THAT(withCapture([](Capture& c) {
                   c.furtherParts = {{"b.mp4", 5, true}, {"c.mp4", 5, true}};
               }),
               Contains("first frame of a part"));
    CHECK_THAT(withCapture([](Capture& c) {
                   c.furtherParts = {{"b.mp4", 2400, true}};
               }),
               Contains("first frame of a part"));
    CHECK_THAT(withCapture([](Capture& c) { c.furtherParts = {{"", 5, true}}; }), Contains("is empty; give one"));
    CHECK_THAT(withCapture([](Capture& c) {
                   c.pictureFolder = true, c.furtherParts = {{"b", 5, true}};
               }),
               Contains("can't have further parts"));
    CHECK_THAT(withCapture([](Capture& c) { c.stream = -1; }), Contains("number of a stream"));
    CHECK_THAT(withCapture([](Capture& c) { c.stampTickSeconds = -1; }), Contains("rounded to in seconds has to be 0"));
    CHECK_THAT(withCapture([](Capture& c) { c.stampSeconds = {1}; }), Contains("1 stamps for 2400 frames"));
    CHECK_THAT(withCapture([](Capture& c) { c.stampSeconds.assign(2400, INFINITY); }), Contains("within 1000000000 s"));
    CHECK_THAT(withCapture([](Capture& c) { c.clock = ClockId{9999}; }), Contains("clock 9999"));

    const auto withClock = [&](auto change) {
        Clock changed = clock;
        change(changed);
        return refusal(d, replacing(d, changed));
    };
    CHECK_THAT(withClock([](Clock& c) { c.evidence.clear(); }), Contains("evidence that isn't there"));
    CHECK_THAT(withClock([](Clock& c) { c.slowDown = NAN; }), Contains("slow-down"));
    CHECK_THAT(withClock([](Clock& c) { c.evidence[0].rate.rate = -1; }), Contains("between 0.001"));
    CHECK_THAT(withClock([](Clock& c) { c.evidence[0].rate.relativeUncertainty = 0.5; }),
               Contains("root sum of squares"));
    CHECK_THAT(withClock([](Clock& c) { c.evidence[0].errorSources = {ErrorSourceId{9999}}; }),
               Contains("source 9999"));
    CHECK_THAT(withClock([](Clock& c) { c.camera = {{"lens", "35 mm"}}; }), Contains("“lens” isn't a field"));

    Configuration twin = *d.configurations.begin()->second;
    twin.name = std::next(d.configurations.begin())->second->name;
    CHECK_THAT(refusal(d, replacing(d, twin)), Contains("couldn't tell them apart"));
    Settings settings = d.settings;
    settings.plan.baseline = ConfigurationId{9999};
    CHECK_THAT(refusal([&] { setSettings(d, settings, "x"); }), Contains("baseline refers to configuration 9999"));
    settings = d.settings;
    settings.plan.level = 1;
    CHECK_THAT(refusal([&] { setSettings(d, settings, "x"); }), Contains("level"));
    CHECK_THAT(refusal(d, Edit{"", "", {{Entity(*d.configurations.begin()->second), {}}}, d.nextId}),
               Contains("refers to"));
    CHECK_THAT(refusal(d, Edit{"", "", {{Entity(clock), {}}}, d.nextId}), Contains("refers to clock"));
    CHECK_THAT(refusal(d, Edit{"", "", {{Entity(d.settings), {}}}, d.nextId}), Contains("neither added nor removed"));
    CHECK_THAT(refusal(d, Edit{"", "", {{Entity(clock), Entity(capture)}}, d.nextId}), Contains("turns clock"));
    CHECK_THAT(refusal(d, Edit{"", "", {Change{}}, d.nextId}), Contains("names neither"));
}

TEST_CASE("what an edit refuses, a whole check finds in the same place", "[session]")
{
    // The quick check after an edit and the full one must agree: break the document behind the door's back.
    Document d = sample::withTrials(4);
    auto trial = std::make_shared<Trial>(*d.trials.rbegin()->second);
    trial->readings[0].press->frame = {5000};
    trial->readings[0].accepted = false;
    d.trials.rbegin()->second = trial;
    CHECK_THAT(contradiction(d), Catch::Matchers::StartsWith("/trials/3/readings/0/press/frame: "));
    CHECK(contradiction(sample::rich()) == "");
    CHECK(contradiction(Document{}) == "");
}

TEST_CASE("a mark on a session of 2,000 trials is quick", "[session]")
{
    const Document d = sample::withTrials(2'000);
    const TrialId trial = std::next(d.trials.begin(), 1'000)->first;
    const Edit edit = setMark(d, trial, {}, MarkKind::Press, sample::mark(8), "");
    double best = std::numeric_limits<double>::infinity();
    for (int i = 0; i < 20; ++i) {
        const double start = cpuMilliseconds();
        const Document after = apply(d, edit);
        best = std::min(best, cpuMilliseconds() - start);
        CHECK(after.trials.size() == 2'000);
    }
    WARN("a mark on 2,000 trials is applied in " << best << " ms");
    CHECK(best < 5 * slowness); // well below what a hand can feel
}
