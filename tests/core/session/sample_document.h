#pragma once
#include "core/session/edits.h"
#include <QCryptographicHash>

/// Sessions of our own making for tests: foot pedals on three links, filmed by one bench camera. Only values; no
/// footage belongs to them.
namespace sample {

inline std::string hexOf(const std::string& text, QCryptographicHash::Algorithm algorithm)
{
    return QCryptographicHash::hash(QByteArray::fromStdString(text), algorithm).toHex().toStdString();
}

/// A mark as the program makes them, with checksums that depend on the frame only.
inline session::Mark mark(std::int64_t frame)
{
    const auto crop = [&](const char* what) { return hexOf(what + std::to_string(frame), QCryptographicHash::Sha256); };
    const std::string picture = hexOf(std::to_string(frame), QCryptographicHash::Md5);
    return {frame, picture, {crop("lamp before"), crop("lamp at"), crop("screen before"), crop("screen at")}, {}};
}

/// The number that the next new thing gets.
inline std::int64_t next(const session::Document& document) { return document.nextId; }

/// One trial, accepted, with its marks on the given frames.
inline session::TrialId addTrial(session::Document& document, session::CaptureId capture, std::int64_t press,
                                 std::int64_t response)
{
    using namespace session;
    const TrialId trial{next(document)};
    document = apply(document, addTrial(document, capture, {}, {}, mark(press), "zoom 4"));
    document = apply(document, setMark(document, trial, {}, MarkKind::Response, mark(response), "zoom 4"));
    document = apply(document, acceptReading(document, trial, {}));
    return trial;
}

inline session::Capture capture(const std::string& name, std::int64_t frames = 2'400)
{
    session::Capture made;
    made.name = name;
    made.path = "footage/" + name;
    made.sha256 = hexOf(name, QCryptographicHash::Sha256);
    made.frames = {frames};
    made.width = 1280;
    made.height = 720;
    return made;
}

inline timing::RateEvidence tagEvidence()
{
    timing::RateEvidence rate;
    rate.origin = timing::Origin::Tag;
    rate.rate = 960;
    rate.exactRate = timing::FrameRate(960);
    rate.relativeUncertainty = 0.0173;
    rate.note = "The container's tag asks for 960 camera frames a second.";
    return rate;
}

/// Configurations "Wired pedal" (baseline), "Short-range radio pedal" and "Pedal through hub"; a run of each; three
/// captures of camera mode "960 mode" on one clock, settled as declared; no trials.
inline session::Document planned()
{
    using namespace session;
    Document d;
    Settings settings;
    settings.title = "Pedal links";
    settings.reader = "R. One";
    settings.event.reaction = "the panel turns white";
    settings.event.limitMs = 400;
    settings.plan.question = "Does the radio link add delay?";
    settings.plan.marginMs = 4.0;
    settings.plan.trialsPerConfiguration = 20;
    settings.plan.runsPerConfiguration = 2;
    settings.rig = {{"lampColour", "red"}, {"resistor", "330 Ω"}};
    settings.publish.title = "Pedal to panel";
    settings.publish.theme = ChartTheme::Light;
    d = apply(d, setSettings(d, settings, "plan"));

    const char* names[] = {"Wired pedal", "Short-range radio pedal", "Pedal through hub"};
    std::vector<ConfigurationId> configurations;
    for (const char* name : names) {
        Configuration configuration;
        configuration.name = name;
        configuration.group = "144 Hz panel";
        configuration.refreshHz = 143.98;
        configuration.texts = {{"device", name}, {"display", "bench panel"}};
        configurations.push_back(ConfigurationId{next(d)});
        d = apply(d, addConfiguration(d, configuration));
    }
    d = apply(d, setBaseline(d, configurations.front()));

    d = apply(d, addCaptures(d, {{capture("wired_1.mp4"), "960 mode", {tagEvidence()}}}));
    const CaptureId first = d.captures.begin()->first;
    d = apply(d, setRegion(d, first, {{}, RegionKind::Lamp, "Lamp", 40, 600, 24, 24}));
    d = apply(d, setRegion(d, first, {{}, RegionKind::Screen, "Panel", 300, 200, 320, 180}));
    Capture gappy = capture("radio_1.mp4");
    gappy.missing = {{700, 2}, {1500, 1}};
    gappy.notes = {"The stamps show 3 missing frames."};
    gappy.stored = StoredAs{"h264", "Bench X1", 1 / 30.0};
    d = apply(d, addCaptures(d, {{gappy, "960 mode", {tagEvidence()}}, {capture("hub_1.mp4"), "960 mode", {}}}));

    std::vector<CaptureId> captures;
    for (const auto& [id, each] : d.captures)
        captures.push_back(id);
    for (std::size_t i = 0; i < captures.size(); ++i) {
        d = apply(d, addRun(d, "run " + std::to_string(i + 1), captures[i]));
        d = apply(d, tagCapture(d, captures[i], configurations[i], find(d, captures[i])->run));
    }
    const ClockId clock = d.clocks.begin()->first;
    d = apply(d, declareRate(d, clock, 959.04, 0.0002, "measured last month"));
    d = apply(d, settleClock(d, clock, proposedEvidence(*find(d, clock))->id, "calibrated"));
    return d;
}

/// planned() with `trials` accepted trials, spread over the captures in turn.
inline session::Document withTrials(int trials)
{
    using namespace session;
    const Document start = planned();
    std::vector<const Capture*> captures;
    for (const auto& [id, each] : start.captures)
        captures.push_back(each.get());
    EditBuilder builder(start, "read");
    for (int i = 0; i < trials; ++i) {
        const Capture& capture = *captures[static_cast<std::size_t>(i) % captures.size()];
        const std::int64_t press = 20 + (i / 3) * 7 % 2'000;
        Reading reading;
        Trial trial;
        trial.id = builder.nextId<TrialId>();
        reading.id = builder.nextId<ReadingId>();
        reading.reader = start.settings.reader;
        reading.time = "2030-01-31T18:05:00+01:00";
        reading.view = "zoom 4";
        reading.press = mark(press);
        reading.response = mark(press + 60 + i % 5 + 8 * (i % 3));
        reading.accepted = true;
        trial.capture = capture.id;
        trial.lamp = capture.regions[0].id;
        trial.screen = capture.regions[1].id;
        trial.configuration = capture.configuration;
        trial.run = capture.run;
        trial.readings = {reading};
        builder.put(trial);
    }
    return apply(start, std::move(builder).finish());
}

/// One of everything: a rejected trial, a blind second reading that differs, "no reaction", a half-done reading, a
/// clock by stamps, early looks, a line time, corrections.
inline session::Document rich()
{
    using namespace session;
    Document d = withTrials(9);
    std::vector<TrialId> trials;
    for (const auto& [id, trial] : d.trials)
        trials.push_back(id);
    d = apply(d, rejectTrial(d, trials[0], RejectReason::Torn, ""));
    d = apply(d, rejectTrial(d, trials[1], RejectReason::Other, "somebody \"walked\"\tthrough the picture\nand back"));
    const ReadingId second{next(d)};
    d = apply(d, beginReading(d, trials[2], true));
    d = apply(d, setMark(d, trials[2], second, MarkKind::Press, mark(21), "zoom 8, gain 2.0"));
    Mark placed = mark(120);
    placed.packet = timing::PacketPlace{1, 118};
    d = apply(d, setMark(d, trials[2], second, MarkKind::Response, placed, "zoom 8, gain 2.0"));
    d = apply(d, acceptReading(d, trials[2], second));
    d = apply(d, settleReading(d, trials[2], second));
    d = apply(d, setNoReaction(d, trials[3], {}, true));
    d = apply(d, acceptReading(d, trials[3], {}));
    d = apply(d, beginReading(d, trials[4], true));
    d = apply(d, setDoubtful(d, trials[5], {}, true));
    d = apply(d, setTrialNote(d, trials[5], "flicker from the left — σ unclear"));
    d = apply(d, recordEarlyLook(d, "comparison"));
    Settings settings = d.settings;
    settings.plan.baselineTrials = 40;
    settings.plan.baselineRuns = 4;
    settings.plan.basis = PlanBasis{SpreadFrom::Typed, 0.9, 143.98, 959.04, 1.5, 2.25, 0.5, 0.1, 12, 8, 2};
    d = apply(d, setSettings(d, settings, "take over the plan"));
    RunSheet sheet{20300131, {}, 1, {}};
    int block = 0;
    for (const auto& [id, configuration] : d.configurations)
        sheet.lines.push_back({1 + block++ / 2, id, 10, {}, false});
    d = apply(d, setRunSheet(d, sheet));
    d = apply(d, takeSheetLines(d, {{d.captures.begin()->first, 1}}));
    d = apply(d, tickSheetLine(d, 2, true));
    d = apply(d, beginReread(d, {5, {}, 1, {}, {{trials[6], 3, 130}, {trials[7], 0, 127}}}));
    d = apply(d, markBlind(d, trials[6], MarkKind::Press, mark(22), "zoom 8"));
    d = apply(
        d, handOutPacket(
               d, {hexOf("packet", QCryptographicHash::Md5), "2030-02-01T09:00:00+01:00", 77, {trials[7], trials[6]}}));

    Capture stamped = capture("phone.mp4", 6);
    stamped.stampSeconds = {0, 0.0041, 0.0083, std::numeric_limits<double>::quiet_NaN(), 0.0166, 0.0208};
    stamped.stampTickSeconds = 0.0001;
    stamped.unknown = {{1, 2, true, "the stamps leap there"}, {2, 4, false, "the footage is damaged there"}};
    stamped.furtherParts = {{"phone_2.mp4", 3, false}, {"phone_3.mp4", 5, true}};
    stamped.stream = 2;
    stamped.rateTags = {{"com.android.capture.fps", "240"}, {"container frame rate", "30"}};
    timing::RateEvidence stamps{timing::Origin::Stamps, 240.1, {}, 0.001, "Stamps vary as real times do."};
    const ClockId clock{next(d) + 1 + std::ssize(inOrder(d.captures).back()->regions)};
    d = apply(d, addCaptures(d, {{stamped, "", {stamps}}}));
    Clock byStamps = *find(d, clock);
    byStamps.stamped = true;
    byStamps.camera = {{"model", "bench phone"}, {"mode", "240"}};
    d = apply(d, setClock(d, byStamps, "read times from stamps"));
    d = apply(d, addPiece(d, inOrder(d.captures).back()->id, {4}));
    Capture inPieces = *inOrder(d.captures).back();
    inPieces.pieces.back().slowedBy = 8;
    d = apply(d, setCapture(d, inPieces, "note how slowly a piece is played"));
    d = apply(d, setPictureFindings(d, {{inOrder(d.captures).back()->id,
                                         {timing::PictureRepeats::Verdict::Periodic, 4, 3, 6, 1, false}}}));

    const Readout readout{ReadoutKind::LineTime, 9.4e-6, 2e-8, ReadoutDirection::LastRowFirst,
                          "bands of a light pulsed at 1000 Hz"};
    d = apply(d, setReadout(d, d.clocks.begin()->first, readout));
    Settings corrected = d.settings;
    corrected.event.lampLeadMs = -0.25;
    corrected.event.lampLeadWidthMs = 0.1;
    corrected.event.onsetWidthMs = 0.5;
    corrected.event.commonHeight = 0.5;
    corrected.event.scanOutTolerance = 0.25;
    d = apply(d, setSettings(d, corrected, "corrections"));
    Configuration high = *d.configurations.begin()->second;
    high.reactionHeight = 0.0;
    d = apply(d, setConfiguration(d, high));
    const std::string sum = hexOf("chart", QCryptographicHash::Sha256);
    d = apply(
        d, recordPublication(d, {{},
                                 {},
                                 "0.2.0",
                                 sum,
                                 {{high.id, high.name, 3, 92.5, 91.0, 94.0}, {high.id, "gone by now", 0, {}, {}, {}}},
                                 {{"chart.svg", sum}, {"results.csv", sum}}}));
    EarlierSession earlier{{},
                           "../spring/spring.tallyframe",
                           sum,
                           {},
                           "Spring bench",
                           "2026-03-01T18:05:00Z",
                           "960 camera frames a second",
                           "first visible change",
                           "Corrected for rolling shutter.",
                           {"bench phone"},
                           {},
                           {},
                           {}};
    earlier.configurations.push_back(
        {{},
         "Cable",
         "144 Hz panel",
         1,
         0,
         2,
         0,
         0,
         1,
         1,
         {31.5, 32.25},
         31.875,
         false,
         {{0, "scatter of 2 trials", 0, 0.5, 1, 1.0}, {3, "that clock", 2, 0.001, 31.875, {}}}});
    earlier.configurations.push_back({{}, "Hub", {}, 0, 3, 0, 0, 0, 0, 0, {}, {}, false, {}});
    d = apply(d, addEarlierSession(d, earlier));
    const EarlierSession& added = *d.earlierSessions.begin()->second;
    d = apply(d, setBridge(d, added.id, high.id, added.configurations.front().id));
    return d;
}

} // namespace sample
