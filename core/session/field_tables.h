#pragma once // not public: what a session file holds, field by field
#include "core/session/fields.h"

/// A field of an entity is one line here: reader, writer, ranges and resources/tallyframe-session.schema.json follow.
namespace session {

namespace names { // in the file, in the order of the enumerations

inline constexpr const char* lampEvent[] = {"lights", "goesOut"};
inline constexpr const char* onsetRule[] = {"firstVisibleChange", "threshold"};
inline constexpr const char* chartTheme[] = {"dark", "light"};
inline constexpr const char* chartForm[] = {"bars", "boxes", "differences"};
inline constexpr const char* chartOrder[] = {"plan", "value"};
inline constexpr const char* spreadFrom[] = {"model", "typed", "trials"};
inline constexpr const char* regionKind[] = {"lamp", "screen"};
inline constexpr const char* readoutKind[] = {"unknown", "allAtOnce", "lineTime"};
inline constexpr const char* readoutDirection[] = {"unknown", "firstRowFirst", "lastRowFirst"};
inline constexpr const char* origin[] = {"reference", "declared", "stamps", "tag", "pictures"};
inline constexpr const char* rejectReason[] = {
    "hidden",     "noReaction", "earlyChange",    "wrongReaction", "doublePress",
    "staleState", "framesLost", "framesRepeated", "exposureStep",  "ripple",
    "torn",       "hitch",      "wrongSetUp",     "clipEdge",      "other",
};
inline constexpr const char* pictureVerdict[] = {"cantTell", "allAdd", "periodic", "blended", "irregular"};

inline constexpr const char* editKind[] = {"analysts", "picturesFound",   "framesFollowed",
                                           "look",     "checksumLearned", "pressesProposed"};

} // namespace names

// What holds between the fields of one thing; field_rules.cpp. Throw Problem.
void checkTogether(const RunSheet&, const Place&);
void checkTogether(const RereadPlace&, const Place&);
void checkTogether(const Readout&, const Place&);
void checkTogether(const Clock&, const Place&);
void checkTogether(const Capture&, const Place&);
void checkTogether(const Trial&, const Place&);
void checkTogether(const EarlierConfiguration&, const Place&);
void checkTogether(const EarlierSession&, const Place&);

// Ranges that several fields share.
constexpr Real milliseconds(const char* what) { return {what, 1e-3, 1e7}; }
constexpr Real scatterMs(const char* what) { return {what, 1e-6, 1e7, true}; }
constexpr Real perSecond(const char* what) { return {what, 1e-3, 1e9}; }
constexpr Real height(const char* what) { return {what, 1e-6, 1, true}; }
constexpr Real share(const char* what) { return {what, 1e-12, 1, true}; }
constexpr Whole pictureSide(const char* what) { return {what, leastPictureSide, mostPictureSide}; }
constexpr Real seconds(const char* what, double most) { return {what, 1e-12, most, true}; }
constexpr Whole planned(const char* what) { return {what, 1, limits::planned}; }
constexpr Whole frame(const char* what) { return {what, 0, limits::frames - 1}; }
constexpr Whole frames(const char* what, std::int64_t least = 0) { return {what, least, limits::frames}; }
constexpr Whole seed(const char* what) { return {what, 0, limits::number}; }
constexpr Real publishedMs(const char* what) { return {what, -1e15, 1e15}; }
constexpr Text shortText(const char* what) { return {what, limits::name}; }
constexpr Text name(const char* what) { return {what, limits::name, true}; }

template <> struct FieldTable<EventDefinition> : FieldsOf<EventDefinition> {
    static constexpr const char* name = "event";
    static constexpr const char* about = "What counts as press and response.";
    static void fields(auto&& field)
    {
        field(always("lamp", &T::lamp, oneOf<LampEvent>(names::lampEvent)));
        field(always("reaction", &T::reaction, Text{"the reaction in words"}, "In words."));
        field(always("onset", &T::onset, oneOf<OnsetRule>(names::onsetRule)));
        field(always("thresholdSd", &T::thresholdSd, Real{"the threshold in standard deviations", 1e-3, 1e4},
                     "k of the threshold rule: mean + k standard deviations of the frames before."));
        field(unlessNew("limitMs", &T::limitMs, milliseconds("the limit after which it is “no reaction”"),
                        "After which it is no reaction."));
        field(unlessNew("lampLeadMs", &T::lampLeadMs,
                        Real{"the lead of the lamp in ms", -limits::offsetMs, limits::offsetMs},
                        "The lamp shows the press this much too early; taken off each delay. 0 where left out."));
        field(unlessNew("lampLeadWidthMs", &T::lampLeadWidthMs,
                        Real{"the width of the lamp's lead in ms", 1e-9, limits::offsetMs, true},
                        "Full width around the lead."));
        field(unlessNew("onsetWidthMs", &T::onsetWidthMs,
                        Real{"the width of the onset rule in ms", 1e-9, limits::offsetMs, true},
                        "Full width that the onset rule leaves to every delay."));
        field(unlessNew("commonHeight", &T::commonHeight, height("the common height of the reaction"),
                        "Delays are given as for a reaction at this height, 0 (top) to 1."));
        field(unlessNew("scanOutTolerance", &T::scanOutTolerance, share("the tolerance of the scan-out correction"),
                        "Share of the scan-out correction, either way; 0.1 where left out."));
    }
};

template <> struct FieldTable<PlanBasis> : FieldsOf<PlanBasis> {
    static constexpr const char* name = "planBasis";
    static constexpr const char* about = "What the planned runs and trials were worked out from.";
    static void fields(auto&& field)
    {
        field(always("from", &T::from, oneOf<SpreadFrom>(names::spreadFrom)));
        field(always("power", &T::power, Real{"the power of the plan", 0.5, 0.999}));
        field(always("runCost", &T::runCost, Real{"the effort of setting up a run", 1e-6, 10'000, true},
                     "Setting up anew takes as long as this many trials."));
        field(unlessNew("refreshHz", &T::refreshHz, perSecond("the display refresh of the plan")));
        field(unlessNew("captureRate", &T::captureRate, perSecond("the capture rate of the plan")));
        field(unlessNew("extraSdMs", &T::extraSdMs, scatterMs("the extra scatter of the plan")));
        field(unlessNew("withinSdMs", &T::withinSdMs, milliseconds("the SD within runs")));
        field(unlessNew("betweenSdMs", &T::betweenSdMs, scatterMs("the SD between runs")));
        field(unlessNew("sharedMs", &T::sharedMs, scatterMs("the shared uncertainty of the plan"),
                        "Standard uncertainty of a difference that repeating doesn't lessen."));
        field(unlessNew("trialsPerRun", &T::trialsPerRun, planned("the planned number of trials a run")));
        field(unlessNew("comparisons", &T::comparisons,
                        Whole{"the planned number of comparisons", 1, limits::configurations}));
    }
};

template <> struct FieldTable<Plan> : FieldsOf<Plan> {
    static constexpr const char* name = "plan";
    static constexpr const char* about = "What was decided before the trials were seen.";
    static void fields(auto&& field)
    {
        field(always("question", &T::question, Text{"the question"}));
        field(unlessNew("baseline", &T::baseline, Number{}, "Configuration that the others are compared with."));
        field(unlessNew("marginMs", &T::marginMs, milliseconds("the margin"), "Smallest difference that matters."));
        field(always("marginTime", &T::marginTime, Time{}));
        field(unlessNew("trialsPerConfiguration", &T::trialsPerConfiguration, planned("the planned number of trials")));
        field(unlessNew("runsPerConfiguration", &T::runsPerConfiguration, planned("the planned number of runs")));
        field(unlessNew("baselineTrials", &T::baselineTrials, planned("the baseline's planned number of trials"),
                        "Where the baseline has a number of its own."));
        field(unlessNew("baselineRuns", &T::baselineRuns, planned("the baseline's planned number of runs")));
        field(unlessNew("basis", &T::basis, Nested{}));
        field(always("planTime", &T::planTime, Time{}));
        field(always("level", &T::level, Real{"the level of the intervals", 0.5, 0.999}, "Of the intervals."));
    }
};

template <> struct FieldTable<PublishSettings> : FieldsOf<PublishSettings> {
    static constexpr const char* name = "publish";
    static void fields(auto&& field)
    {
        field(always("title", &T::title, Text{"the title of the chart"}));
        field(always("subtitle", &T::subtitle, Text{"the subtitle of the chart"}));
        field(always("footnote", &T::footnote, Text{"the footnote of the chart"}));
        field(always("theme", &T::theme, oneOf<ChartTheme>(names::chartTheme)));
        field(always("folder", &T::folder, Text{"the folder published into", limits::path}));
        field(unlessNew("form", &T::form, oneOf<ChartForm>(names::chartForm)));
        field(unlessNew("order", &T::order, oneOf<ChartOrder>(names::chartOrder)));
        field(unlessNew("groupBy", &T::groupBy, Text{"what the chart groups by"},
                        "A field of the configurations' checklist, none, or empty for their groups."));
        field(unlessNew("width", &T::width, pictureSide("the width of the chart")));
        field(unlessNew("height", &T::height, pictureSide("the height of the chart")));
        field(unlessNew("transparent", &T::transparent, Flag{}));
        field(unlessNew("notesApart", &T::notesApart, Flag{}, "The method's lines stand on a picture of their own."));
        field(unlessNew("ownTheme", &T::ownTheme, Text{"the name of a theme"}, "In place of the theme."));
        field(unlessNew("shownTrials", &T::shownTrials, Text{"the trials whose evidence is shown"},
                        "As run01:3, run07:1 for trial 3 of run01 and trial 1 of run07; left out: typical trials."));
        field(unlessNew("sideBySide", &T::sideBySide, Flag{}, "Two of these trials stand in one clip."));
        field(unlessNew("motionSeconds", &T::motionSeconds, Real{"the length of the chart in motion", 1, 120}));
        field(unlessNew("motionRate", &T::motionRate, Whole{"the pictures a second of the chart in motion", 1, 120}));
        field(
            unlessNew("motionEven", &T::motionEven, Flag{}, "It moves at one pace; else it starts and stops slowly."));
        field(unlessNew("sentences", &T::sentences, Text{"the sentences to read out"},
                        "One a line; {mean of NAME} and the like stand for figures."));
        field(unlessNew("products", &T::products, Text{"keys of products"},
                        "Keys of what is published, separated by commas; left out: all that doesn't take long."));
    }
};

template <> struct FieldTable<EarlyLook> : FieldsOf<EarlyLook> {
    static constexpr const char* name = "look";
    static void fields(auto&& field)
    {
        field(always("time", &T::time, Time{}));
        field(always("reader", &T::reader, shortText("the reader's name")));
        field(always("what", &T::what, shortText("what was looked at")));
    }
};

template <> struct FieldTable<SheetLine> : FieldsOf<SheetLine> {
    static constexpr const char* name = "sheetLine";
    static void fields(auto&& field)
    {
        field(always("block", &T::block, planned("a block of the run sheet"), "Never descending."));
        field(always("configuration", &T::configuration, Number{}));
        field(always("trials", &T::trials, planned("the number of trials of a planned run")));
        field(unlessNew("run", &T::run, Number{}, "Of what was filmed for it."));
        field(unlessNew("ticked", &T::ticked, Flag{}, "Filmed, though its footage isn't here yet."));
    }
};

template <> struct FieldTable<RunSheet> : FieldsOf<RunSheet> {
    static constexpr const char* name = "runSheet";
    static constexpr const char* about = "Planned runs in the order to film them.";
    static void fields(auto&& field)
    {
        field(always("seed", &T::seed, seed("the seed of the run sheet")));
        field(always("time", &T::time, Time{}));
        field(always("since", &T::since, Number{}, "Captures of a lower number were there before it."));
        field(always("lines", &T::lines, List<Nested>{{}, limits::sheetLines, "lines on the run sheet"}));
    }
};

template <> struct FieldTable<RereadPlace> : FieldsOf<RereadPlace> {
    static constexpr const char* name = "rereadPlace";
    static void fields(auto&& field)
    {
        field(always("trial", &T::trial, Number{}));
        field(always("first", &T::first, frames("the first frame of a trial to be read blind")));
        field(always("last", &T::last, frames("the last frame of a trial to be read blind"),
                     "Frames shown; the press lies among them."));
    }
};

template <> struct FieldTable<Reread> : FieldsOf<Reread> {
    static constexpr const char* name = "reread";
    static constexpr const char* about = "Trials drawn for a blind reading, in the order to read them.";
    static void fields(auto&& field)
    {
        field(always("seed", &T::seed, seed("the seed of the blind reading")));
        field(always("time", &T::time, Time{}));
        field(always("since", &T::since, Number{}, "Readings of a lower number were there before it."));
        field(unlessNew("packet", &T::packet, Hex{32}, "This session is that packet, for a second reader."));
        field(always("places", &T::places, List<Nested>{{}, limits::trials, "trials to be read blind"}));
    }
};

template <> struct FieldTable<Packet> : FieldsOf<Packet> {
    static constexpr const char* name = "packet";
    static void fields(auto&& field)
    {
        field(always("token", &T::token, Hex{32, false}));
        field(always("time", &T::time, Time{}));
        field(always("seed", &T::seed, seed("the seed of a packet")));
        field(always("trials", &T::trials, List<Number>{{}, limits::trials, "trials in a packet"},
                     "In the packet's order; some may have gone since."));
    }
};

template <> struct FieldTable<Settings> : FieldsOf<Settings> {
    static constexpr const char* name = "settings";
    static void fields(auto&& field)
    {
        field(always("title", &T::title, Text{"the title"}));
        field(always("reader", &T::reader, shortText("the reader's name"), "Who reads now."));
        field(always("event", &T::event, Nested{}));
        field(always("plan", &T::plan, Nested{}));
        field(always("rig", &T::rig, Checklist{rigFields}, "What stays the same across configurations."));
        field(always("publish", &T::publish, Nested{}));
        field(always("looks", &T::earlyLooks, List<Nested>{{}, limits::earlyLooks, "looks"},
                     "Looks at delays before the planned number of trials."));
        field(unlessNew("runSheet", &T::runSheet, Nested{}));
        field(unlessNew("reread", &T::reread, Nested{}));
        field(unlessNew("packets", &T::packets, List<Nested>{{}, limits::packets, "packets"},
                        "Blind packets handed out to second readers."));
    }
};

template <> struct FieldTable<Configuration> : FieldsOf<Configuration> {
    static constexpr const char* name = "configuration";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("position", &T::position, Whole{"the position of a configuration", 0, limits::position}));
        field(always("name", &T::name, session::name("the name of a configuration")));
        field(always("group", &T::group, shortText("the group of a configuration"), "Heading in the chart."));
        field(always("texts", &T::texts, Checklist{configurationFields}, "Checklist."));
        field(unlessNew("refreshHz", &T::refreshHz, perSecond("the display refresh"), "Measured display refresh."));
        field(unlessNew("gameFrameRate", &T::gameFrameRate, perSecond("the rate of game frames"),
                        "Game frames a second."));
        field(unlessNew("reactionHeight", &T::reactionHeight, height("the height of the reaction on the display"),
                        "Of the reaction in the display's picture, from 0 (top) to 1 (bottom)."));
    }
};

template <> struct FieldTable<Run> : FieldsOf<Run> {
    static constexpr const char* name = "run";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("name", &T::name, session::name("the name of a run")));
        field(always("note", &T::note, Text{"the note of a run"}));
    }
};

template <> struct FieldTable<ErrorSource> : FieldsOf<ErrorSource> {
    static constexpr const char* name = "errorSource";
    static constexpr const char* about = "A cause of error that all who refer to it share.";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("name", &T::name, session::name("the name of an error source")));
        field(always("relativeUncertainty", &T::relativeUncertainty, share("a relative uncertainty"), "Standard."));
    }
};

template <> struct FieldTable<ClockEvidence> : FieldsOf<ClockEvidence> {
    static constexpr const char* name = "evidence";
    static constexpr const char* about = "One statement about the capture rate.";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always(
            "origin", [](auto& e) -> auto& { return e.rate.origin; }, oneOf<timing::Origin>(names::origin)));
        field(always(
            "rate", [](auto& e) -> auto& { return e.rate.rate; }, perSecond("a capture rate"),
            "Camera frames a second."));
        field(unlessNew(
            "exactRate", [](auto& e) -> auto& { return e.rate.exactRate; }, Rate{}));
        field(always(
            "relativeUncertainty", [](auto& e) -> auto& { return e.rate.relativeUncertainty; },
            share("a relative uncertainty"), "Standard."));
        field(always(
            "note", [](auto& e) -> auto& { return e.rate.note; }, Text{"the note of a capture rate"}));
        field(always("errorSources", &T::errorSources, List<Number>{{}, limits::evidenceSources, "error sources"},
                     "Their root sum of squares is the relative uncertainty."));
    }
};

template <> struct FieldTable<Settlement> : FieldsOf<Settlement> {
    static constexpr const char* name = "settlement";
    static constexpr const char* about = "The analyst's decision.";
    static void fields(auto&& field)
    {
        field(always("evidence", &T::evidence, Number{}));
        field(always("reason", &T::reason, Text{"the reason for settling a clock"}));
        field(always("time", &T::time, Time{}));
    }
};

template <> struct FieldTable<Readout> : FieldsOf<Readout> {
    static constexpr const char* name = "readout";
    static constexpr const char* about =
        "How the rows of the native picture are exposed. Left out: all at once where the camera's text says \"global\","
        " else unknown.";
    static constexpr const char* rules = R"({"if": {"properties": {"kind": {"const": "lineTime"}}},
        "then": {"properties": {"lineTimeSeconds": {"exclusiveMinimum": 0}}}})";
    static void fields(auto&& field)
    {
        field(always("kind", &T::kind, oneOf<ReadoutKind>(names::readoutKind)));
        field(always("lineTimeSeconds", &T::lineTimeSeconds, seconds("a line time in seconds", 1),
                     "From a row's exposure to the next one's."));
        field(always("uncertaintySeconds", &T::uncertaintySeconds,
                     seconds("the uncertainty of a line time in seconds", 1), "Standard."));
        field(always("direction", &T::direction, oneOf<ReadoutDirection>(names::readoutDirection)));
        field(always("note", &T::note, Text{"the note of a line time"}));
    }
};

template <> struct FieldTable<Clock> : FieldsOf<Clock> {
    static constexpr const char* name = "clock";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("name", &T::name, session::name("the name of a clock")));
        field(always("camera", &T::camera, Checklist{cameraFields}, "Checklist of the camera mode."));
        field(always("stamped", &T::stamped, Flag{}, "Time comes from each frame's stamp instead of number / rate."));
        field(always("slowDown", &T::slowDown, Real{"the slow-down factor", 1e-6, 1e6},
                     "Capture seconds per stamp second."));
        field(
            unlessNew("readout", &T::readout, Nested{})); // after the camera, on which it depends where it is left out
        field(always("evidence", &T::evidence, List<Nested>{{}, limits::evidence, "statements of a capture rate"}));
        field(unlessNew("settled", &T::settled, Nested{}));
    }
};

template <> struct FieldTable<Region> : FieldsOf<Region> {
    static constexpr const char* name = "region";
    static constexpr const char* about = "Rectangle inside the native picture, in pixels.";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("kind", &T::kind, oneOf<RegionKind>(names::regionKind)));
        field(always("name", &T::name, session::name("the name of a region")));
        field(always("x", &T::x, Whole{"the left edge of a region", 0, limits::side - 1}));
        field(always("y", &T::y, Whole{"the upper edge of a region", 0, limits::side - 1}));
        field(always("width", &T::width, Whole{"the width of a region", 1, limits::side}));
        field(always("height", &T::height, Whole{"the height of a region", 1, limits::side}));
    }
};

template <> struct FieldTable<timing::Gap> : FieldsOf<timing::Gap> {
    static constexpr const char* name = "missing";
    static constexpr const char* about = "Frames missing right before a frame; ascending.";
    static void fields(auto&& field)
    {
        field(always("before", &T::before, Whole{"the frame after a gap", 1, limits::frames - 1}));
        field(always("count", &T::count, frames("the number of missing frames", 1)));
    }
};

template <> struct FieldTable<UnknownStretch> : FieldsOf<UnknownStretch> {
    static constexpr const char* name = "unknownStretch";
    static constexpr const char* about = "From one frame to another no time can be told at any step.";
    static void fields(auto&& field)
    {
        field(always("first", &T::first, frame("the first frame of a stretch of unknown time")));
        field(always("last", &T::last, frame("the last frame of a stretch of unknown time")));
        field(always("stampsTell", &T::stampsTell, Flag{}, "A stamped clock knows the time all the same."));
        field(always("why", &T::why, Text{"the reason why time is unknown"}));
    }
};

template <> struct FieldTable<FurtherPart> : FieldsOf<FurtherPart> {
    static constexpr const char* name = "furtherPart";
    static constexpr const char* about = "A further file of a recording that the camera split.";
    static void fields(auto&& field)
    {
        field(always("path", &T::path, Text{"the path of a part", limits::path, true}));
        field(always("firstFrame", &T::firstFrame, Whole{"the first frame of a part", 1, limits::frames - 1}));
        field(always("gapKnown", &T::gapKnown, Flag{}, "Else \"unknown\" covers the step to its first frame."));
    }
};

template <> struct FieldTable<PictureFinding> : FieldsOf<PictureFinding> {
    static constexpr const char* name = "pictureFinding";
    static constexpr const char* about = "Whether every picture shows something new, as a look at them found.";
    static void fields(auto&& field)
    {
        field(always("verdict", &T::verdict, oneOf<timing::PictureRepeats::Verdict>(names::pictureVerdict)));
        field(always("period", &T::period, Whole{"the period of repeated pictures", 1, 1000}));
        field(always("adding", &T::adding, Whole{"the pictures of a period that add something", 1, 999},
                     "So many pictures of every period show something new."));
        field(always("judged", &T::judged, frames("the number of pictures judged")));
        field(always("repeats", &T::repeats, frames("the number of repeated pictures")));
        field(always("byLamp", &T::byLamp, Flag{}));
    }
};

template <> struct FieldTable<ProposedPress> : FieldsOf<ProposedPress> {
    static constexpr const char* name = "proposedPress";
    static constexpr const char* about = "A press marked from the first to the last frame is this one.";
    static void fields(auto&& field)
    {
        field(always("frame", &T::frame, session::frame("the frame of a proposed press")));
        field(always("first", &T::first, session::frame("the first frame of a proposed press")));
        field(always("last", &T::last, session::frame("the last frame of a proposed press")));
    }
};

template <> struct FieldTable<PressFinding> : FieldsOf<PressFinding> {
    static constexpr const char* name = "pressFinding";
    static constexpr const char* about = "What the trace of the first lamp region proposes, looked through to its end.";
    static void fields(auto&& field)
    {
        field(always("proposed", &T::proposed, List<Nested>{{}, limits::presses, "proposed presses"}, "Ascending."));
    }
};

template <> struct FieldTable<Piece> : FieldsOf<Piece> {
    static constexpr const char* name = "piece";
    static constexpr const char* about = "Frames up to the next piece, captured or stored at a speed of their own.";
    static void fields(auto&& field)
    {
        field(always("firstFrame", &T::firstFrame, frame("the first frame of a piece")));
        field(unlessNew("clock", &T::clock, Number{}, "Absent: no capture rate holds there."));
        field(always("fromStamps", &T::fromStamps, Flag{},
                     "The file says so, by its stamps or its slow-motion segments; else the analyst does."));
        field(unlessNew("stepSeconds", &T::stepSeconds, seconds("the step of a piece's stamps in seconds", 3600),
                        "What the stamps step by; absent: by nothing even."));
        field(unlessNew("slowedBy", &T::slowedBy, Whole{"how many times slower a piece is played", 1, limits::slowedBy},
                        "How many times slower the file's slow-motion segments want it played; absent: as the rest."));
    }
};

template <> struct FieldTable<RateTag> : FieldsOf<RateTag> {
    static constexpr const char* name = "rateTag";
    static void fields(auto&& field)
    {
        field(always("key", &T::key, session::name("the key of a tag")));
        field(always("value", &T::value, shortText("the text of a tag")));
    }
};

template <> struct FieldTable<StoredAs> : FieldsOf<StoredAs> {
    static constexpr const char* name = "storedAs";
    static constexpr const char* about = "What captures of one camera in one mode have in common.";
    static void fields(auto&& field)
    {
        field(always("codec", &T::codec, shortText("the codec of a capture")));
        field(unlessNew("camera", &T::camera, shortText("the camera that a capture names"),
                        "Maker and model by its tags."));
        field(unlessNew("stepSeconds", &T::stepSeconds, seconds("the step of a capture's stamps in seconds", 3600),
                        "What the stamps step by; absent: by nothing even."));
    }
};

template <> struct FieldTable<Capture> : FieldsOf<Capture> {
    static constexpr const char* name = "capture";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("position", &T::position, Whole{"the position of a capture", 0, limits::position}));
        field(always("name", &T::name, session::name("the name of a capture")));
        field(always("path", &T::path, Text{"the path of a capture", limits::path, true},
                     "Relative to the session file's folder, or absolute."));
        field(always("pictureFolder", &T::pictureFolder, Flag{}));
        field(unlessNew("furtherParts", &T::furtherParts, List<Nested>{{}, limits::parts, "parts of a capture"}));
        field(unlessNew(
            "stream", &T::stream, Whole{"the number of a stream", 0, limits::stream},
            "Which of the file's moving pictures, by the container's number; absent: the one it opens with."));
        field(always("sha256", &T::sha256, Hex{64}));
        field(always("frames", &T::frames, session::frames("the number of frames", 1)));
        field(always("width", &T::width, Whole{"the width of the picture", 1, limits::side}));
        field(always("height", &T::height, Whole{"the height of the picture", 1, limits::side}));
        field(always("missing", &T::missing, List<Nested>{{}, limits::missing, "gaps"}));
        field(unlessNew("unknown", &T::unknown, List<Nested>{{}, limits::unknown, "stretches of unknown time"}));
        field(unlessNew("rateTags", &T::rateTags, List<Nested>{{}, limits::rateTags, "tags of a capture"},
                        "Entries of the file's metadata that state a capture rate or could be taken for one."));
        field(unlessNew("stored", &T::stored, Nested{}, "Absent in sessions of earlier times."));
        field(always("notes", &T::notes, List<Text>{{"a note of a capture"}, limits::notes, "notes"},
                     "What indexing found doubtful."));
        field(unlessNew("clock", &T::clock, Number{}));
        field(unlessNew("pictures", &T::pictures, Nested{}));
        field(unlessNew("presses", &T::presses, Nested{}));
        field(
            unlessNew("noPresses", &T::noPresses,
                      List<Whole>{session::frame("the frame of a proposed press"), limits::presses, "dropped presses"},
                      "Proposed, and the analyst says that they are none; ascending."));
        field(unlessNew("pieces", &T::pieces, List<Nested>{{}, limits::pieces, "pieces of a capture", 2}));
        field(unlessNew("lampReference", &T::lampReference, Flag{},
                        "It shows a lamp of known frequency for the clock: no presses, no trials."));
        field(unlessNew("configuration", &T::configuration, Number{}));
        field(unlessNew("run", &T::run, Number{}));
        field(always("regions", &T::regions, List<Nested>{{}, limits::regions, "regions"}));
        field(unlessNew("stampSeconds", &T::stampSeconds, List<Stamp>{{}, limits::stamps, "stamps"},
                        "One a frame; null where a frame has none."));
        field(unlessNew("stampTickSeconds", &T::stampTickSeconds,
                        seconds("what stamps are rounded to in seconds", 3600),
                        "What the stamps are rounded to; 0 where left out."));
    }
};

template <> struct FieldTable<PublishedFile> : FieldsOf<PublishedFile> {
    static constexpr const char* name = "publishedFile";
    static void fields(auto&& field)
    {
        field(always("name", &T::name, session::name("the name of a published file")));
        field(always("sha256", &T::sha256, Hex{64, false}, "As it was written."));
    }
};

template <> struct FieldTable<PublishedFigure> : FieldsOf<PublishedFigure> {
    static constexpr const char* name = "publishedFigure";
    static void fields(auto&& field)
    {
        field(always("configuration", &T::configuration, Number{}, "Which may have gone since."));
        field(always("name", &T::name, session::name("the name of a published configuration")));
        field(always("trials", &T::trials, Whole{"the number of published trials", 0, limits::trials}));
        field(unlessNew("meanMs", &T::meanMs, publishedMs("a published mean")));
        field(unlessNew("lowMs", &T::lowMs, publishedMs("the lower end of a published interval")));
        field(unlessNew("highMs", &T::highMs, publishedMs("the upper end of a published interval")));
    }
};

template <> struct FieldTable<Publication> : FieldsOf<Publication> {
    static constexpr const char* name = "publication";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("time", &T::time, Time{}));
        field(always("version", &T::version, shortText("the version of the program"), "Of the program."));
        field(
            always("inputs", &T::inputs, Hex{64, false}, "SHA-256 of the session as text, without its publications."));
        field(always("figures", &T::figures, List<Nested>{{}, limits::configurations, "published figures"}));
        field(always("files", &T::files, List<Nested>{{}, limits::publishedFiles, "published files"}));
    }
};

template <> struct FieldTable<EarlierLine> : FieldsOf<EarlierLine> {
    static constexpr const char* name = "earlierLine";
    static constexpr const char* about = "A line of the budget of an earlier mean: its uncertainty is u times weight.";
    static void fields(auto&& field)
    {
        field(always("kind", &T::kind, Whole{"the kind of a budget's line", 0, 7},
                     "Scatter, runs, phase, clock, rows, lamp, onset, scan-out, from 0."));
        field(always("label", &T::label, Text{"the label of a budget's line"}));
        field(unlessNew("source", &T::source, Whole{"the cause of a budget's line", 0, 1'000'000'000},
                        "Alike in all means that share it; left out: the mean's own."));
        field(always("u", &T::u, Real{"the uncertainty of a cause", 0, 1e9}));
        field(always("weight", &T::weight, publishedMs("the weight of a cause")));
        field(unlessNew("dof", &T::dof, Real{"degrees of freedom", 0, 1e15}, "Absent: endless."));
    }
};

template <> struct FieldTable<EarlierConfiguration> : FieldsOf<EarlierConfiguration> {
    static constexpr const char* name = "earlierConfiguration";
    static constexpr Whole trials{"a number of earlier trials", 0, limits::trials};
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("name", &T::name, session::name("the name of an earlier configuration")));
        field(unlessNew("display", &T::display, Text{"the display of an earlier configuration"}));
        field(unlessNew("rejected", &T::rejected, trials));
        field(unlessNew("notRead", &T::notRead, trials));
        field(unlessNew("noReaction", &T::noReaction, trials));
        field(unlessNew("clockNotSettled", &T::clockNotSettled, trials));
        field(unlessNew("noDelay", &T::noDelay, trials));
        field(unlessNew("runs", &T::runs, trials));
        field(unlessNew("captures", &T::captures, trials));
        field(always("delaysMs", &T::delaysMs,
                     List<Real>{publishedMs("an earlier delay"), limits::trials, "earlier delays"}));
        field(unlessNew("meanMs", &T::meanMs, publishedMs("an earlier mean")));
        field(unlessNew("overRuns", &T::overRuns, Flag{}, "The lines are those of the mean over runs."));
        field(always("lines", &T::lines, List<Nested>{{}, limits::earlierLines, "lines of a budget"}));
    }
};

template <> struct FieldTable<EarlierSession> : FieldsOf<EarlierSession> {
    static constexpr const char* name = "earlierSession";
    static constexpr const char* about = "Results of another session as they were when its file was read.";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("path", &T::path, Text{"the path of an earlier session", limits::path, true},
                     "Relative to the session file's folder, or absolute."));
        field(always("sha256", &T::sha256, Hex{64, false}));
        field(always("time", &T::time, Time{}, "When it was read."));
        field(always("title", &T::title, session::name("the title of an earlier session")));
        field(always("firstRead", &T::firstRead, Time{}, "Of its first reading."));
        field(always("rates", &T::rates, Text{"the rates of an earlier session"}));
        field(always("onset", &T::onset, Text{"the onset rule of an earlier session"}));
        field(always("corrections", &T::corrections, Text{"the corrections of an earlier session"}));
        field(
            always("cameras", &T::cameras, List<Text>{{"a camera of an earlier session"}, limits::clocks, "cameras"}));
        field(always("configurations", &T::configurations,
                     List<Nested>{{}, limits::configurations, "earlier configurations"}));
        field(unlessNew("here", &T::here, Number{}, "The bridge: a configuration that was measured in both."));
        field(unlessNew("there", &T::there, Number{}, "As the earlier session has it."));
    }
};

template <> struct FieldTable<Crops> : FieldsOf<Crops> {
    static constexpr const char* name = "crops";
    static constexpr const char* about = "PNG pictures of these checksums (SHA-256).";
    static void fields(auto&& field)
    {
        field(always("lampBefore", &T::lampBefore, Hex{64}));
        field(always("lampAt", &T::lampAt, Hex{64}));
        field(always("screenBefore", &T::screenBefore, Hex{64}));
        field(always("screenAt", &T::screenAt, Hex{64}));
    }
};

template <> struct FieldTable<timing::PacketPlace> : FieldsOf<timing::PacketPlace> {
    static constexpr const char* name = "packetPlace";
    static constexpr const char* about = "Where a picture comes from, whatever number its frame gets.";
    static void fields(auto&& field)
    {
        field(always("part", &T::part, Whole{"the part that a mark is in", 0, limits::parts},
                     "File of a recording that the camera split, from 0."));
        field(always("ordinal", &T::ordinal, Whole{"the packet of a mark", 0, limits::number},
                     "Packet of the moving picture in file order, or file of a picture folder, from 0."));
    }
};

template <> struct FieldTable<Mark> : FieldsOf<Mark> {
    static constexpr const char* name = "mark";
    static void fields(auto&& field)
    {
        field(always("frame", &T::frame, session::frame("the frame of a mark")));
        field(always("pictureHash", &T::pictureHash, Hex{32}, "MD5 of the tight-packed native planes."));
        field(always("crops", &T::crops, Nested{}));
        field(unlessNew("packet", &T::packet, Nested{},
                        "Absent in sessions of earlier times until the footage is decoded."));
    }
};

template <> struct FieldTable<Reading> : FieldsOf<Reading> {
    static constexpr const char* name = "reading";
    static constexpr const char* rules = R"({"allOf": [
        {"if": {"properties": {"noReaction": {"const": true}}}, "then": {"not": {"required": ["response"]}}},
        {"if": {"properties": {"accepted": {"const": true}}}, "then": {"required": ["press"],
            "anyOf": [{"required": ["response"]}, {"properties": {"noReaction": {"const": true}}}]}}]})";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("reader", &T::reader, shortText("the reader's name")));
        field(always("time", &T::time, Time{}));
        field(always("view", &T::view, shortText("the view of a reading")));
        field(always("blind", &T::blind, Flag{}));
        field(always("doubtful", &T::doubtful, Flag{}));
        field(always("accepted", &T::accepted, Flag{}));
        field(always("noReaction", &T::noReaction, Flag{}));
        field(unlessNew("press", &T::press, Nested{}));
        field(unlessNew("response", &T::response, Nested{}));
    }
};

template <> struct FieldTable<Reject> : FieldsOf<Reject> {
    static constexpr const char* name = "reject";
    static constexpr const char* rules = R"({"if": {"properties": {"reason": {"const": "other"}}},
        "then": {"properties": {"note": {"minLength": 1}}}})";
    static void fields(auto&& field)
    {
        field(always("reason", &T::reason, oneOf<RejectReason>(names::rejectReason)));
        field(always("note", &T::note, Text{"the note of a reject"}));
        field(always("time", &T::time, Time{}));
    }
};

template <> struct FieldTable<Trial> : FieldsOf<Trial> {
    static constexpr const char* name = "trial";
    static void fields(auto&& field)
    {
        field(always("id", &T::id, Number{}));
        field(always("capture", &T::capture, Number{}));
        field(unlessNew("lamp", &T::lamp, Number{}));
        field(unlessNew("screen", &T::screen, Number{}));
        field(unlessNew("configuration", &T::configuration, Number{}));
        field(unlessNew("run", &T::run, Number{}));
        field(always("readings", &T::readings, List<Nested>{{}, limits::readings, "readings"}));
        field(unlessNew("settled", &T::settled, Number{}, "The chosen reading."));
        field(unlessNew("reject", &T::reject, Nested{}));
        field(always("note", &T::note, Text{"the note of a trial"}));
    }
};

} // namespace session
