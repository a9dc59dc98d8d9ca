#include "core/session/edits.h"
#include "core/error.h"
#include "core/session/text.h"
#include "refusals.h"
#include "sample_document.h"
#include <catch2/catch.hpp>
#include <cmath>

using namespace session;
using Catch::Contains;
using Catch::Matchers::StartsWith;
using Catch::Matchers::WithinRel;

namespace {

/// The door of a test: every edit is applied and the result checked as a whole.
struct Bench {
    Document d;
    Bench(Document start = sample::planned()) : d(std::move(start)) {}
    const Edit& operator()(Edit edit)
    {
        d = apply(d, edit);
        REQUIRE(contradiction(d) == "");
        last = std::move(edit);
        return last;
    }
    ConfigurationId configuration(int index) const { return inOrder(d.configurations).at(index)->id; }
    const Capture& capture(int index) const { return *inOrder(d.captures).at(index); }
    const Clock& clock() const { return *d.clocks.begin()->second; }
    const Trial& trial(TrialId id) const { return *find(d, id); }
    const Reading& reading(TrialId id) const { return *countingReading(trial(id)); }
    Edit last;
};

timing::RateEvidence rate(timing::Origin origin, double value, double uncertainty)
{
    return {origin, value, {}, uncertainty, "made for a test"};
}

} // namespace

TEST_CASE("configurations are added, changed, moved and removed in order", "[session]")
{
    Bench bench;
    Configuration added;
    added.name = "Loaned pedal";
    CHECK(bench(addConfiguration(bench.d, added)).label == "add configuration “Loaned pedal”");
    const ConfigurationId id = bench.configuration(3);
    CHECK(find(bench.d, id)->position == 3);

    bench(moveConfiguration(bench.d, id, 1));
    CHECK(bench.configuration(1) == id);
    CHECK(find(bench.d, bench.configuration(3))->position == 3);
    bench(moveConfiguration(bench.d, id, 99));
    CHECK(bench.configuration(3) == id);
    bench(moveConfiguration(bench.d, id, -5));
    CHECK(bench.configuration(0) == id);

    Configuration renamed = *find(bench.d, id);
    renamed.name = "Borrowed pedal";
    renamed.texts = {{"device", "pedal 4"}, {"firmware", ""}};
    bench(setConfiguration(bench.d, renamed));
    CHECK(find(bench.d, id)->texts == Texts{{"device", "pedal 4"}});
    CHECK(find(bench.d, id)->name == "Borrowed pedal");
    renamed.name = "Wired pedal";
    CHECK_THAT(refusal([&] { setConfiguration(bench.d, renamed); }), Contains("“Wired pedal”"));

    bench(setBaseline(bench.d, id));
    bench(removeConfiguration(bench.d, id));
    CHECK_FALSE(bench.d.settings.plan.baseline);
    CHECK(find(bench.d, bench.configuration(0))->position == 0);
    CHECK_THAT(refusal([&] { removeConfiguration(bench.d, id); }), Contains("no configuration"));
    CHECK_THAT(refusal([&] { setConfiguration(bench.d, renamed); }), Contains("no configuration"));
    CHECK_THAT(refusal([&] { removeConfiguration(bench.d, bench.configuration(0)); }),
               Contains("tagged with it; tag them otherwise first"));
}

TEST_CASE("margin and planned numbers carry the time of the decision", "[session]")
{
    Bench bench(Document{});
    CHECK(bench.d.settings.plan.marginTime.empty());
    bench(setMargin(bench.d, 3.0));
    CHECK_FALSE(bench.d.settings.plan.marginTime.empty());
    CHECK(bench.d.settings.plan.planTime.empty());
    Settings settings = bench.d.settings;
    settings.plan.trialsPerConfiguration = 30;
    settings.plan.marginTime = "2030-01-01T00:00:00Z";
    bench(setSettings(bench.d, settings, "plan 30 trials"));
    CHECK_FALSE(bench.d.settings.plan.planTime.empty());
    CHECK(bench.d.settings.plan.marginTime == "2030-01-01T00:00:00Z"); // the margin itself stayed
    CHECK_THAT(refusal([&] { setMargin(bench.d, -1); }), Contains("margin"));
    CHECK_THAT(refusal([&] { setMargin(bench.d, NAN); }), Contains("margin"));
    CHECK_THAT(refusal([&] { setBaseline(bench.d, ConfigurationId{77}); }), Contains("no configuration 77"));
}

TEST_CASE("captures of one camera mode share a clock, and evidence said twice is kept once", "[session]")
{
    Bench bench;
    CHECK(bench.d.clocks.size() == 1);
    CHECK(bench.clock().name == "960 mode");
    CHECK(bench.clock().evidence.size() == 2); // one tag of three captures, one declaration
    CHECK(bench.capture(0).clock == bench.capture(2).clock);

    bench(addCaptures(bench.d, {{sample::capture("solo.mp4"), "", {rate(timing::Origin::Tag, 240, 0.0173)}},
                                {sample::capture("solo.mp4"), "", {}},
                                {sample::capture("slow.mp4"), "480 mode", {rate(timing::Origin::Tag, 480, 0.0173)}}}));
    CHECK(bench.last.label == "add 3 captures");
    CHECK(bench.d.clocks.size() == 4);
    CHECK(find(bench.d, bench.capture(3).clock)->name == "solo.mp4");
    CHECK(find(bench.d, bench.capture(4).clock)->name == "solo.mp4 (2)");
    CHECK(stateOf(*find(bench.d, bench.capture(4).clock)) == ClockState::Unknown);
    const Clock& slow = *find(bench.d, bench.capture(5).clock);
    CHECK(stateOf(slow) == ClockState::Proposed);
    REQUIRE(slow.evidence.front().errorSources.size() == 1);
    CHECK(find(bench.d, slow.evidence.front().errorSources.front())->name == "tag rate of 480 mode");
}

TEST_CASE("regions are carried to the next capture when they fit its picture", "[session]")
{
    Bench bench;
    CHECK(bench.capture(1).regions.size() == 2);
    CHECK(bench.capture(1).regions[0].name == bench.capture(0).regions[0].name);
    CHECK(bench.capture(1).regions[0].id != bench.capture(0).regions[0].id);
    Capture small = sample::capture("small.mp4");
    small.width = 320;
    small.height = 180;
    bench(addCaptures(bench.d, {{small, "960 mode", {}}}));
    CHECK(bench.capture(3).regions.empty());
}

TEST_CASE("regions are set by number or by kind and name", "[session]")
{
    Bench bench;
    const CaptureId id = bench.capture(0).id;
    const Region lamp = bench.capture(0).regions[0];
    bench(setRegion(bench.d, id, {{}, RegionKind::Lamp, "Lamp", 50, 500, 30, 30}));
    CHECK(bench.capture(0).regions[0] == Region{lamp.id, RegionKind::Lamp, "Lamp", 50, 500, 30, 30});
    bench(setRegion(bench.d, id, {{}, RegionKind::Lamp, "Second lamp", 90, 500, 30, 30}));
    CHECK(bench.capture(0).regions.size() == 3);
    bench(setRegion(bench.d, id, {lamp.id, RegionKind::Lamp, "First lamp", 50, 500, 30, 30}));
    CHECK(bench.capture(0).regions[0].name == "First lamp");
    CHECK_THAT(refusal([&] {
                   setRegion(bench.d, id, {lamp.id, RegionKind::Lamp, "Second lamp", 0, 0, 9, 9});
               }),
               Contains("choose another name"));
    CHECK_THAT(refusal([&] {
                   setRegion(bench.d, id, {RegionId{888}, RegionKind::Lamp, "L", 0, 0, 9, 9});
               }),
               Contains("no region 888"));
    CHECK_THAT(refusal([&] {
                   setRegion(bench.d, id, {{}, RegionKind::Lamp, "L", 1200, 0, 200, 9});
               }),
               Contains("inside the picture"));

    const TrialId trial = sample::addTrial(bench.d, id, 10, 90);
    CHECK(bench.trial(trial).lamp == lamp.id);
    CHECK_THAT(refusal([&] { removeRegion(bench.d, id, lamp.id); }), Contains("1 trial"));
    bench(removeRegion(bench.d, id, bench.capture(0).regions[2].id));
    CHECK(bench.capture(0).regions.size() == 2);
    CHECK_THAT(refusal([&] { removeRegion(bench.d, id, RegionId{888}); }), Contains("no region 888"));
}

TEST_CASE("tagging a capture takes along trials that aren't accepted yet", "[session]")
{
    Bench bench;
    const CaptureId id = bench.capture(0).id;
    const TrialId accepted = sample::addTrial(bench.d, id, 10, 90);
    const TrialId halfDone{sample::next(bench.d)};
    bench(addTrial(bench.d, id, {}, {}, sample::mark(200), ""));
    bench(tagCapture(bench.d, id, bench.configuration(2), {}));
    CHECK(bench.capture(0).configuration == bench.configuration(2));
    CHECK(bench.trial(accepted).configuration == bench.configuration(0));
    CHECK(bench.trial(halfDone).configuration == bench.configuration(2));
    CHECK_FALSE(bench.trial(halfDone).run);

    bench(addRun(bench.d, "run 9", id));
    CHECK(find(bench.d, bench.trial(halfDone).run)->name == "run 9");
    CHECK(bench.trial(halfDone).configuration == bench.configuration(2));
    CHECK_THAT(refusal([&] { tagCapture(bench.d, id, ConfigurationId{888}, {}); }), Contains("no configuration 888"));
    CHECK_THAT(refusal([&] { addRun(bench.d, "", {}); }), Contains("name of a run is empty"));
}

TEST_CASE("removing a capture takes its trials and a clock that nobody worked on", "[session]")
{
    Bench bench(sample::withTrials(6));
    bench(removeCapture(bench.d, bench.capture(2).id));
    CHECK(bench.d.trials.size() == 4);
    CHECK(bench.d.clocks.size() == 1);
    bench(addCaptures(bench.d, {{sample::capture("solo.mp4"), "", {rate(timing::Origin::Tag, 240, 0.0173)}}}));
    const std::size_t sources = bench.d.errorSources.size();
    bench(removeCapture(bench.d, bench.capture(2).id));
    CHECK(bench.d.clocks.size() == 1);
    CHECK(bench.d.errorSources.size() == sources - 1);
    bench(removeCapture(bench.d, bench.capture(1).id));
    bench(removeCapture(bench.d, bench.capture(0).id));
    CHECK(bench.d.trials.empty());
    CHECK(bench.d.clocks.size() == 1); // settled: work went into it
    CHECK_THAT(refusal([&] { removeCapture(bench.d, CaptureId{1}); }), Contains("no capture 1"));
}

TEST_CASE("footage is relinked by path, and marks go by the packets of other bytes", "[session]")
{
    Bench bench;
    const Capture before = bench.capture(0);
    const TrialId trial = sample::addTrial(bench.d, before.id, 20, 100);
    const auto packet = [&] { return bench.reading(trial).press->packet; };
    const PacketPlaces places{{{{20}, sample::mark(20).pictureHash}, timing::PacketPlace{0, 33}}};
    bench(relinkCapture(bench.d, before.id, "/elsewhere/wired_1.mp4", before.sha256, places));
    Capture expected = before;
    expected.path = "/elsewhere/wired_1.mp4";
    CHECK(bench.capture(0) == expected);
    CHECK_FALSE(packet()); // the same bytes
    expected.sha256.assign(64, 'a');
    bench(relinkCapture(bench.d, before.id, expected.path, expected.sha256, places));
    CHECK(bench.capture(0) == expected);
    CHECK(packet() == timing::PacketPlace{0, 33});
    CHECK_FALSE(bench.reading(trial).response->packet); // known by its number again until it is decoded
    CHECK_THAT(refusal([&] { relinkCapture(bench.d, before.id, "", before.sha256); }), Contains("is empty"));
}

TEST_CASE("a checksum learned stays, whatever was done before it is undone or done again", "[session]")
{
    Capture unread = sample::capture("late.mp4");
    const std::string sha256 = unread.sha256;
    unread.sha256.clear();
    Bench bench;
    const Edit add = bench(addCaptures(bench.d, {{unread, "960 mode", {}}}));
    const CaptureId id = bench.capture(3).id;
    Capture renamed = bench.capture(3);
    renamed.name = "another name";
    const Edit rename = bench(setCapture(bench.d, renamed, "rename"));
    const Edit learn = bench(learnChecksum(bench.d, id, sha256));
    CHECK(isPassedOver(learn.kind));
    CHECK(bench.capture(3).sha256 == sha256);
    CHECK(learnChecksum(bench.d, id, std::string(64, 'b')).changes.empty()); // it has one
    const Document learned = bench.d;
    bench(reversed(rename));
    CHECK(bench.capture(3).name == "late.mp4");
    CHECK(bench.capture(3).sha256 == sha256);
    bench(rename);
    CHECK(bench.d == learned);
    bench(reversed(rename));
    bench(reversed(add));
    CHECK_FALSE(find(bench.d, id));
    bench(add);
    CHECK(bench.capture(3).sha256.empty()); // nobody has read it since

    SECTION("of other files nothing is known")
    {
        bench(learnChecksum(bench.d, id, sha256));
        Capture elsewhere = bench.capture(3);
        elsewhere.path = "/elsewhere/late.mp4";
        elsewhere.sha256.clear();
        bench(setCapture(bench.d, elsewhere, "move"));
        CHECK(bench.capture(3).sha256.empty());
    }
    SECTION("one that can't be leaves no trace")
    {
        Edit wrong = learnChecksum(bench.d, id, sha256);
        std::get<Capture>(*wrong.changes.front().after).sha256 = "short";
        Document same = bench.d;
        CHECK_THROWS_AS(applyInPlace(same, wrong), core::Error);
        CHECK(same == bench.d);
    }
}

TEST_CASE("a proposed press waits until a trial has it or it is dropped", "[session]")
{
    Bench bench;
    const CaptureId id = bench.capture(0).id;
    const auto proposed = [](std::int64_t at) { return ProposedPress{{at}, {at - 12}, {at + 12}}; };
    const auto unread = [&] {
        std::vector<std::int64_t> frames;
        for (const ProposedPress& press : unreadPresses(bench.d, id))
            frames.push_back(press.frame.value);
        return frames;
    };
    CHECK(unread().empty()); // nobody looked
    const PressFinding found{{proposed(100), proposed(200), proposed(300)}};
    CHECK(isPassedOver(bench(learnPresses(bench.d, id, found)).kind));
    CHECK(learnPresses(bench.d, id, found).changes.empty());
    CHECK(unread() == std::vector<std::int64_t>{100, 200, 300});

    const TrialId trial = sample::addTrial(bench.d, id, 205, 240);
    CHECK(unread() == std::vector<std::int64_t>{100, 300});
    bench(rejectTrial(bench.d, trial, RejectReason::Hidden, {}));
    CHECK(unread() == std::vector<std::int64_t>{100, 300}); // rejected is read

    const Edit drop = bench(dropPress(bench.d, id, {300}));
    CHECK(unread() == std::vector<std::int64_t>{100});
    CHECK_THAT(refusal([&] { dropPress(bench.d, id, {299}); }), StartsWith("No press is proposed at frame 299"));

    // The lamp's region is drawn anew: what is proposed then stays, and what was dropped comes back with undo.
    bench(learnPresses(bench.d, id, PressFinding{{proposed(100), proposed(300), proposed(400)}}));
    CHECK(unread() == std::vector<std::int64_t>{100, 400});
    bench(reversed(drop));
    CHECK(unread() == std::vector<std::int64_t>{100, 300, 400});
    bench(drop);
    CHECK(unread() == std::vector<std::int64_t>{100, 400});

    const std::int64_t frames = bench.capture(0).frames.value;
    for (const std::vector<ProposedPress>& wrong :
         {std::vector{proposed(200), proposed(200)}, std::vector{proposed(frames)},
          std::vector{ProposedPress{{100}, {101}, {102}}}, std::vector{ProposedPress{{100}, {90}, {99}}}})
        CHECK_THAT(refusal([&] { learnPresses(bench.d, id, {wrong}); }), Contains("proposed press"));
}

namespace {

/// A trial whose marks come from the packets of those numbers.
TrialId addTrialOnPackets(Document& document, CaptureId capture, std::int64_t press, std::int64_t response)
{
    const TrialId id = sample::addTrial(document, capture, press, response);
    Trial trial = *find(document, id);
    for (std::optional<Mark>* mark : {&trial.readings.front().press, &trial.readings.front().response})
        (*mark)->packet = timing::PacketPlace{0, (*mark)->frame.value};
    EditBuilder builder(document, "place");
    builder.put(trial);
    document = apply(document, std::move(builder).finish());
    return id;
}

/// `capture` as decoding finds it: the packets in `dead` give no picture, all others theirs in file order.
DecodedFrames decodedWithout(const Capture& capture, const std::set<std::int64_t>& dead)
{
    DecodedFrames found;
    found.capture = capture;
    std::int64_t frame = 0;
    for (std::int64_t packet = 0; packet < capture.frames.value; ++packet) {
        found.moved.push_back(dead.contains(packet) ? std::nullopt : std::optional(timing::FrameNumber{frame}));
        if (!dead.contains(packet))
            found.numbers.push_back({{0, packet}, {frame++}});
    }
    found.capture.frames = {frame};
    return found;
}

} // namespace

TEST_CASE("marks follow the frames that decoding found", "[session]")
{
    Bench bench;
    const CaptureId id = bench.capture(0).id;
    const TrialId first = addTrialOnPackets(bench.d, id, 20, 100), second = addTrialOnPackets(bench.d, id, 500, 2'399);
    const Document before = bench.d;
    DecodedFrames found = decodedWithout(bench.capture(0), {50, 2'399});
    found.capture.notes = {"2 packets hold no picture."};
    const Edit follow = bench(followFrames(bench.d, id, found));
    CHECK(follow.label == "follow the decoded frames of capture “" + found.capture.name + "”");
    CHECK(goesAlong(follow.kind));
    CHECK(bench.capture(0).frames.value == 2'398);
    CHECK(bench.capture(0).notes == found.capture.notes);
    CHECK(bench.capture(0).regions == find(before, id)->regions);
    CHECK(bench.reading(first).press->frame.value == 20);
    CHECK(bench.reading(first).response->frame.value == 99);
    CHECK(bench.reading(second).press->frame.value == 499);
    CHECK_FALSE(bench.reading(first).doubtful);

    // Its picture can't be had.
    CHECK(bench.reading(second).response->frame.value == 2'397);
    CHECK(bench.reading(second).doubtful);
    CHECK_FALSE(bench.reading(second).accepted);
    CHECK(followFrames(bench.d, id, found).changes.empty());
    bench(acceptReading(bench.d, second, {}));
    CHECK(followFrames(bench.d, id, found).changes.empty()); // the analyst has seen it
    CHECK(apply(apply(before, follow), reversed(follow)) == before);
}

TEST_CASE("a mark has the number of its packet, whatever number it came by", "[session]")
{
    Bench bench;
    const CaptureId id = bench.capture(0).id;
    const DecodedFrames found = decodedWithout(bench.capture(0), {50});
    bench(followFrames(bench.d, id, found));
    const TrialId decoded = addTrialOnPackets(bench.d, id, 99, 199);
    bench(followFrames(bench.d, id, found)); // they came by the packets' numbers
    CHECK(bench.reading(decoded).press->frame.value == 98);
    CHECK(bench.reading(decoded).response->frame.value == 198);
    const TrialId unplaced = sample::addTrial(bench.d, id, 99, 199);
    CHECK(followFrames(bench.d, id, found).changes.empty()); // nobody knows where they come from
    CHECK(bench.reading(unplaced).press->frame.value == 99);
}

TEST_CASE("marks from sessions of earlier times get a packet, and go by it", "[session]")
{
    Bench bench;
    const CaptureId id = bench.capture(0).id;
    const TrialId trial = sample::addTrial(bench.d, id, 50, 100);
    DecodedFrames found = decodedWithout(bench.capture(0), {50});
    found.places = {{{{50}, sample::mark(50).pictureHash}, std::nullopt},
                    {{{100}, sample::mark(100).pictureHash}, timing::PacketPlace{0, 100}}};
    bench(followFrames(bench.d, id, found));
    CHECK(bench.reading(trial).response->packet == timing::PacketPlace{0, 100});
    CHECK(bench.reading(trial).response->frame.value == 99);
    CHECK(bench.reading(trial).press->frame.value == 50);
    CHECK(bench.reading(trial).doubtful); // its picture can't be had
    CHECK(followFrames(bench.d, id, found).changes.empty());
}

TEST_CASE("declaring a rate replaces the earlier declaration and takes its decision back", "[session]")
{
    Bench bench;
    const ClockId id = bench.clock().id;
    CHECK(stateOf(bench.clock()) == ClockState::Settled);
    const std::size_t sources = bench.d.errorSources.size();
    bench(declareRate(bench.d, id, 960, 0.03, ""));
    CHECK(stateOf(bench.clock()) == ClockState::Proposed);
    CHECK(bench.clock().evidence.size() == 2);
    CHECK(bench.d.errorSources.size() == sources);
    const ClockEvidence* best = proposedEvidence(bench.clock());
    REQUIRE(best);
    CHECK(best->rate.origin == timing::Origin::Declared);
    // Rectangular half-width: divided by the square root of 3. Only rounding differs.
    CHECK_THAT(best->rate.relativeUncertainty, WithinRel(0.03 / std::sqrt(3.0), 1e-12));

    bench(declareRate(bench.d, id, 30, 0.001, "typed in from the container"));
    CHECK(stateOf(bench.clock()) == ClockState::InDispute);
    CHECK(proposedEvidence(bench.clock())->rate.note == "typed in from the container");
    bench(settleClock(bench.d, id, bench.clock().evidence.front().id, "the declaration was a slip"));
    CHECK(stateOf(bench.clock()) == ClockState::Settled);
    CHECK(settledEvidence(bench.clock())->rate.origin == timing::Origin::Tag);
    bench(unsettleClock(bench.d, id));
    CHECK_FALSE(settledEvidence(bench.clock()));
    CHECK_THAT(refusal([&] { unsettleClock(bench.d, id); }), Contains("isn't settled"));
    CHECK_THAT(refusal([&] { declareRate(bench.d, id, 0, 0.03, ""); }), Contains("above 0"));
    CHECK_THAT(refusal([&] { declareRate(bench.d, id, INFINITY, 0.03, ""); }), Contains("above 0"));
    CHECK_THAT(refusal([&] { declareRate(bench.d, id, 960, -0.1, ""); }), Contains("tolerance"));
    CHECK_THAT(refusal([&] { declareRate(bench.d, id, 960, NAN, ""); }), Contains("tolerance"));
    CHECK_THAT(refusal([&] { settleClock(bench.d, id, EvidenceId{888}, ""); }), Contains("isn't there"));
    CHECK_THAT(refusal([&] { settleClock(bench.d, ClockId{888}, {}, ""); }), Contains("no clock 888"));
}

TEST_CASE("a reference shares the error of the lamp it was made with", "[session]")
{
    Bench bench;
    bench(addCaptures(bench.d, {{sample::capture("other.mp4"), "480 mode", {}}}));
    const ClockId first = bench.capture(0).clock, second = bench.capture(3).clock;
    bench(addReference(bench.d, first, rate(timing::Origin::Tag, 959.2, 0.7),
                       {{{}, "frequency of the bench lamp", 3e-5}, {{}, "fit of wired_1.mp4", 4e-5}}));
    const ClockEvidence* reference = proposedEvidence(*find(bench.d, first));
    CHECK(reference->rate.origin == timing::Origin::Reference);
    CHECK_THAT(reference->rate.relativeUncertainty, WithinRel(5e-5, 1e-12)); // 3-4-5; only rounding differs
    const ErrorSource lamp = *find(bench.d, reference->errorSources.front());
    bench(addReference(bench.d, second, rate(timing::Origin::Reference, 480.1, 0),
                       {lamp, {{}, "fit of other.mp4", 4e-5}}));
    CHECK(proposedEvidence(*find(bench.d, second))->errorSources.front() == lamp.id);

    // Replaced: its fit goes, the lamp stays for the other clock.
    bench(addReference(bench.d, first, rate(timing::Origin::Reference, 959.1, 0), {{{}, "a better fit", 1e-5}}));
    CHECK(find(bench.d, lamp.id));
    CHECK(find(bench.d, first)->evidence.size() == 3);
    ErrorSource changed = lamp;
    changed.relativeUncertainty = 1e-6;
    CHECK_THAT(refusal([&] { addReference(bench.d, first, rate(timing::Origin::Reference, 959, 0), {changed}); }),
               Contains("isn't in this session as it is given"));
}

TEST_CASE("a readout is set with its line time, stays within reason, and goes with the captures of a mode", "[session]")
{
    Bench bench;
    const ClockId id = bench.clock().id;
    const Readout known{ReadoutKind::LineTime, 12e-6, 1e-7, ReadoutDirection::FirstRowFirst, "maker's sheet"};
    const Edit edit = bench(setReadout(bench.d, id, known));
    CHECK(bench.clock().readout == known);
    CHECK(apply(bench.d, reversed(edit)).clocks.at(id)->readout == Readout{});
    for (const Readout& wrong :
         {Readout{ReadoutKind::LineTime, 0, 0, {}, ""}, Readout{ReadoutKind::LineTime, -1e-6, 0, {}, ""},
          Readout{ReadoutKind::LineTime, 1e-6, NAN, {}, ""}, Readout{ReadoutKind::LineTime, 2, 0, {}, ""}})
        CHECK_THAT(refusal([&] { apply(bench.d, setReadout(bench.d, id, wrong)); }), Contains("line time"));

    bench(addCaptures(bench.d, {{sample::capture("other.mp4"), "another mode", {}}}));
    const CaptureId other = inOrder(bench.d.captures).back()->id;
    const ClockId plain = find(bench.d, other)->clock;
    REQUIRE(plain);
    bench(shareClock(bench.d, plain, {bench.capture(0).id, bench.capture(1).id, bench.capture(2).id}));
    CHECK(find(bench.d, plain)->readout == known); // what is known of the mode stays known
}

TEST_CASE("captures put on one clock bring their evidence, and the clock they leave goes", "[session]")
{
    Bench bench;
    bench(addCaptures(bench.d, {{sample::capture("other.mp4"), "", {rate(timing::Origin::Tag, 240, 0.0173)}}}));
    const ClockId stays = bench.capture(0).clock, goes = bench.capture(3).clock;
    bench(shareClock(bench.d, stays, {bench.capture(3).id, bench.capture(0).id}));
    CHECK(bench.capture(3).clock == stays);
    CHECK_FALSE(find(bench.d, goes));
    CHECK(find(bench.d, stays)->evidence.size() == 3);
    CHECK(stateOf(*find(bench.d, stays)) == ClockState::Settled);
    bench(unsettleClock(bench.d, stays));
    CHECK(stateOf(*find(bench.d, stays)) == ClockState::InDispute);
}

TEST_CASE("a capture taken off a clock gets one with the same evidence, on which nothing is settled yet", "[session]")
{
    Bench bench;
    const CaptureId leaving = bench.capture(0).id;
    const ClockId shared = bench.capture(0).clock;
    REQUIRE(bench.capture(1).clock == shared);
    const Clock before = *find(bench.d, shared);
    CHECK(bench(splitClock(bench.d, leaving, shared)).label.ends_with("a clock of its own"));
    CHECK(*find(bench.d, shared) == before);
    CHECK(bench.capture(1).clock == shared);
    const Clock& own = *find(bench.d, bench.capture(0).clock);
    CHECK(own.id != shared);
    CHECK(own.name == bench.capture(0).name);
    CHECK_FALSE(own.settled);
    REQUIRE(own.evidence.size() == before.evidence.size());
    for (std::size_t i = 0; i < own.evidence.size(); ++i) {
        CHECK(own.evidence[i].id != before.evidence[i].id);
        CHECK(own.evidence[i].rate == before.evidence[i].rate);
        CHECK(own.evidence[i].errorSources == before.evidence[i].errorSources); // one error, told once in a difference
    }
    CHECK_THAT(refusal([&] { splitClock(bench.d, {12345}, shared); }), Contains("12345"));
}

TEST_CASE("a trial is begun by its press, read, accepted and corrected", "[session]")
{
    Bench bench;
    const CaptureId capture = bench.capture(1).id;
    const TrialId id{sample::next(bench.d)};
    const std::string label = bench(addTrial(bench.d, capture, {}, {}, sample::mark(100), "zoom 4")).label;
    const auto shown = trialsOf(bench.d, capture);
    const auto place = std::ranges::find(shown, id, &Trial::id) - shown.begin() + 1; // as the desk numbers them
    CHECK(label == "mark press of trial " + std::to_string(place) + " of " + bench.capture(1).name);
    CHECK(bench.trial(id).configuration == bench.configuration(1));
    CHECK(bench.trial(id).run == bench.capture(1).run);
    CHECK(bench.trial(id).lamp == bench.capture(1).regions[0].id);
    CHECK(bench.trial(id).screen == bench.capture(1).regions[1].id);
    CHECK(bench.reading(id).reader == "R. One");
    CHECK(bench.reading(id).view == "zoom 4");
    CHECK_FALSE(bench.reading(id).time.empty());

    CHECK_THAT(refusal([&] { acceptReading(bench.d, id, {}); }), Contains("mark the response"));
    bench(setMark(bench.d, id, {}, MarkKind::Response, sample::mark(90), ""));
    CHECK_THAT(refusal([&] { acceptReading(bench.d, id, {}); }), Contains("lies after its response"));
    bench(setMark(bench.d, id, {}, MarkKind::Response, sample::mark(190), ""));
    bench(acceptReading(bench.d, id, {}));
    CHECK(bench.reading(id).accepted);
    bench(setMark(bench.d, id, {}, MarkKind::Press, sample::mark(101), ""));
    CHECK(bench.reading(id).accepted);
    bench(setMark(bench.d, id, {}, MarkKind::Press, sample::mark(300), ""));
    CHECK_FALSE(bench.reading(id).accepted);
    bench(clearMark(bench.d, id, {}, MarkKind::Press));
    CHECK_FALSE(bench.reading(id).press);
    CHECK_THAT(refusal([&] { clearMark(bench.d, id, {}, MarkKind::Press); }), Contains("no press to clear"));
    CHECK_THAT(refusal([&] { acceptReading(bench.d, id, {}); }), Contains("mark the press"));
    CHECK_THAT(refusal([&] { setMark(bench.d, id, {}, MarkKind::Press, sample::mark(2400), ""); }),
               Contains("last frame"));
    CHECK_THAT(refusal([&] { setMark(bench.d, id, ReadingId{888}, MarkKind::Press, sample::mark(1), ""); }),
               Contains("no reading 888"));
    CHECK_THAT(refusal([&] { addTrial(bench.d, CaptureId{888}, {}, {}, sample::mark(1)); }),
               Contains("no capture 888"));
    bench(removeTrial(bench.d, id));
    CHECK_FALSE(find(bench.d, id));
    CHECK_THAT(refusal([&] { removeTrial(bench.d, id); }), Contains("no trial"));
}

TEST_CASE("no reaction and a response exclude each other", "[session]")
{
    Bench bench;
    const TrialId id = sample::addTrial(bench.d, bench.capture(0).id, 10, 90);
    bench(setNoReaction(bench.d, id, {}, true));
    CHECK_FALSE(bench.reading(id).response);
    CHECK(bench.reading(id).accepted);
    CHECK(isComplete(bench.reading(id)));
    bench(setMark(bench.d, id, {}, MarkKind::Response, sample::mark(95), ""));
    CHECK_FALSE(bench.reading(id).noReaction);
    bench(setNoReaction(bench.d, id, {}, true));
    bench(setNoReaction(bench.d, id, {}, false));
    CHECK_FALSE(isComplete(bench.reading(id)));
    CHECK_FALSE(bench.reading(id).accepted);
}

TEST_CASE("until a reading is chosen the first counts, and a trial with differing readings is open", "[session]")
{
    Bench bench;
    const TrialId id = sample::addTrial(bench.d, bench.capture(0).id, 10, 90);
    const ReadingId first = bench.reading(id).id, second{sample::next(bench.d)};
    bench(beginReading(bench.d, id, true));
    CHECK(findReading(bench.trial(id), second)->blind);
    CHECK_THAT(refusal([&] { beginReading(bench.d, id, true); }), Contains("isn't finished"));
    CHECK_THAT(refusal([&] { settleReading(bench.d, id, second); }), Contains("before it is complete"));
    bench(setMark(bench.d, id, second, MarkKind::Press, sample::mark(10), ""));
    bench(setMark(bench.d, id, second, MarkKind::Response, sample::mark(90), ""));
    CHECK_FALSE(isOpen(bench.trial(id)));
    bench(setMark(bench.d, id, second, MarkKind::Response, sample::mark(91), ""));
    CHECK(isOpen(bench.trial(id)));
    CHECK(bench.reading(id).id == first);
    bench(setDoubtful(bench.d, id, second, true));
    CHECK(findReading(bench.trial(id), second)->doubtful);
    bench(settleReading(bench.d, id, second));
    CHECK_FALSE(isOpen(bench.trial(id)));
    CHECK(bench.reading(id).id == second);
    CHECK_THAT(refusal([&] { dropReading(bench.d, id, second); }), Contains("choose another first"));
    bench(settleReading(bench.d, id, {}));
    bench(dropReading(bench.d, id, second));
    CHECK(bench.trial(id).readings.size() == 1);
    CHECK_THAT(refusal([&] { dropReading(bench.d, id, first); }), Contains("stays"));
}

TEST_CASE("trials are tagged, rejected for a reason, noted", "[session]")
{
    Bench bench;
    const TrialId id = sample::addTrial(bench.d, bench.capture(0).id, 10, 90);
    bench(tagTrial(bench.d, id, bench.configuration(2), {}));
    CHECK(bench.trial(id).configuration == bench.configuration(2));
    CHECK_THAT(refusal([&] { tagTrial(bench.d, id, {}, RunId{888}); }), Contains("no run 888"));
    bench(rejectTrial(bench.d, id, RejectReason::FramesLost, ""));
    CHECK(bench.trial(id).reject->reason == RejectReason::FramesLost);
    CHECK_THAT(refusal([&] { rejectTrial(bench.d, id, RejectReason::Other, ""); }), Contains("say which"));
    bench(unrejectTrial(bench.d, id));
    CHECK_THAT(refusal([&] { unrejectTrial(bench.d, id); }), Contains("isn't rejected"));
    bench(setTrialNote(bench.d, id, "good one"));
    CHECK(bench.trial(id).note == "good one");
    bench(recordEarlyLook(bench.d, "delays while reading"));
    REQUIRE(bench.d.settings.earlyLooks.size() == 1);
    CHECK(bench.d.settings.earlyLooks[0].what == "delays while reading");
}

TEST_CASE("early looks stay on record, whatever is undone", "[session]")
{
    Document d = sample::planned();
    Settings renamed = d.settings;
    renamed.title = "another title";
    const Edit rename = setSettings(d, renamed, "rename");
    const Document titled = apply(d, rename);
    const Edit look = recordEarlyLook(titled, "comparison");
    CHECK(isPassedOver(look.kind));
    CHECK_FALSE(isPassedOver(rename.kind));
    const Document looked = apply(titled, look);
    const Document undone = apply(looked, reversed(rename));
    CHECK(undone.settings.title == d.settings.title);
    CHECK(undone.settings.earlyLooks == looked.settings.earlyLooks);
    const Document redone = apply(undone, rename);
    CHECK(redone == looked);
    Edit wrong = look;
    Settings unnamed = looked.settings;
    unnamed.plan.level = 7;
    wrong.changes.push_back({Entity(looked.settings), Entity(unnamed)});
    Document same = titled;
    CHECK_THROWS(applyInPlace(same, wrong));
    CHECK(same == titled);
}

TEST_CASE("an edit that changes nothing has no changes", "[session]")
{
    const Document d = sample::planned();
    CHECK(setCapture(d, *d.captures.begin()->second, "same").changes.empty());
    CHECK(moveConfiguration(d, d.configurations.begin()->first, 0).changes.empty());
}

TEST_CASE("trials of a capture come by press frame", "[session]")
{
    Document d = sample::planned();
    const CaptureId capture = d.captures.begin()->first;
    const TrialId late = sample::addTrial(d, capture, 500, 600), early = sample::addTrial(d, capture, 20, 100);
    const auto trials = trialsOf(d, capture);
    REQUIRE(trials.size() == 2);
    CHECK(trials[0]->id == early);
    CHECK(trials[1]->id == late);
}

TEST_CASE("captures are tagged by lines of the run sheet", "[session]")
{
    Document d = sample::planned();
    RunSheet sheet;
    for (const auto& [id, configuration] : d.configurations)
        sheet.lines.push_back({1, id, 5, {}, false});
    CHECK_THAT(refusal([&] { tickSheetLine(d, 0, true); }), Contains("has no run sheet"));
    d = apply(d, setRunSheet(d, sheet));
    CHECK(d.settings.runSheet->since == d.nextId);
    CHECK(isTime(d.settings.runSheet->time));
    CHECK(firstOpenLine(*d.settings.runSheet) == std::optional<std::size_t>(0));

    const Document before = d;
    const CaptureId first = d.captures.begin()->first, last = d.captures.rbegin()->first;
    const Edit take = takeSheetLines(d, {{first, 1}, {last, 1}}); // two files of one run
    d = apply(d, take);
    const SheetLine& line = d.settings.runSheet->lines[1];
    REQUIRE(line.run);
    CHECK(find(d, line.run)->name == "run 2 (2)"); // the sample has a run 2 already
    for (const CaptureId capture : {first, last}) {
        CHECK(find(d, capture)->configuration == line.configuration);
        CHECK(find(d, capture)->run == line.run);
    }
    CHECK(firstOpenLine(*d.settings.runSheet, 1) == std::optional<std::size_t>(2));
    Document undone = apply(d, reversed(take));
    undone.nextId = before.nextId;
    CHECK(undone == before);

    CHECK_THAT(refusal([&] { setRunSheet(d, sheet); }), Contains("1 line of the run sheet is filmed already"));
    CHECK_THAT(refusal([&] { takeSheetLines(d, {{first, 3}}); }), Contains("no line 4"));
    d = apply(d, setRunSheet(d, std::nullopt));
    CHECK_FALSE(d.settings.runSheet);
}

TEST_CASE("what goes takes its lines of the run sheet along", "[session]")
{
    Document d = sample::planned();
    Configuration spare;
    spare.name = "spare";
    const ConfigurationId id{sample::next(d)};
    d = apply(d, addConfiguration(d, spare));
    RunSheet sheet;
    sheet.lines = {{1, d.configurations.begin()->first, 5, {}, false}, {1, id, 5, {}, false}};
    d = apply(d, setRunSheet(d, sheet));
    d = apply(d, removeConfiguration(d, id));
    REQUIRE(d.settings.runSheet->lines.size() == 1);
}

TEST_CASE("a blind reading leaves the first one as it is", "[session]")
{
    Document d = sample::planned();
    const TrialId trial = sample::addTrial(d, d.captures.begin()->first, 100, 160);
    const Reading first = find(d, trial)->readings.front();
    CHECK_THAT(refusal([&] { markBlind(d, trial, MarkKind::Press, sample::mark(101), {}); }),
               Contains("o blind reading"));
    d = apply(d, beginReread(d, {1, {}, 1, {}, {{trial, 40, 200}}}));
    CHECK(blindReading(*d.settings.reread, *find(d, trial)) == nullptr);
    d = apply(d, markBlind(d, trial, MarkKind::Press, sample::mark(101), "zoom 2"));
    d = apply(d, markBlind(d, trial, MarkKind::Response, sample::mark(162), "zoom 2"));
    const Reading* blind = blindReading(*d.settings.reread, *find(d, trial));
    REQUIRE(blind);
    CHECK(blind->blind);
    CHECK(blind->press->frame.value == 101);
    CHECK(blind->response->frame.value == 162);
    CHECK_FALSE(blind->accepted);
    REQUIRE(find(d, trial)->readings.size() == 2);
    CHECK(find(d, trial)->readings.front() == first);
    d = apply(d, acceptReading(d, trial, blind->id));
    d = apply(d, beginReread(d, {2, {}, 1, {}, {{trial, 40, 200}}}));
    CHECK(blindReading(*d.settings.reread, *find(d, trial)) == nullptr); // the one before belongs to the drawing before
}

TEST_CASE("readings of someone else are brought in by one edit", "[session]")
{
    Document d = sample::planned();
    const TrialId trial = sample::addTrial(d, d.captures.begin()->first, 100, 160);
    Reading reading = find(d, trial)->readings.front();
    reading.reader = "B. Two";
    reading.press = sample::mark(99);
    const Edit edit = bringInReadings(d, {{trial, reading}}, "B. Two");
    CHECK(edit.label == "bring in 1 reading by B. Two");
    const Document after = apply(d, edit);
    REQUIRE(find(after, trial)->readings.size() == 2);
    CHECK(find(after, trial)->readings[1].reader == "B. Two");
    CHECK(find(after, trial)->readings[1].id != reading.id);
    reading.accepted = false;
    CHECK_THAT(refusal([&] { bringInReadings(d, {{trial, reading}}, {}); }), Contains("isn't finished"));
}

TEST_CASE("every reject reason has its words", "[session]")
{
    for (int i = 0; i <= static_cast<int>(RejectReason::Other); ++i) {
        CHECK(std::string(label(static_cast<RejectReason>(i))).size() > 3);
        CHECK_THAT(definition(static_cast<RejectReason>(i)), Catch::Matchers::EndsWith("."));
    }
    CHECK(label(RejectReason::DoublePress) == std::string("double press"));
}
