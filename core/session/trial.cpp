#include "core/session/trial.h"
#include <algorithm>

namespace session {

namespace {

struct ReasonText {
    RejectReason reason;
    const char* label;
    const char* definition;
};

constexpr ReasonText reasonTexts[] = {
    {RejectReason::Hidden, "hidden", "The lamp or the screen region is covered, outside the picture or unsharp."},
    {RejectReason::NoReaction, "no reaction", "Nothing reacts before the stated limit."},
    {RejectReason::EarlyChange, "early change", "The screen region changes before the press."},
    {RejectReason::WrongReaction, "wrong reaction", "Something reacts, but not as planned."},
    {RejectReason::DoublePress, "double press", "The lamp goes off and on again before the response."},
    {RejectReason::StaleState, "stale state",
     "A button held before, a running animation, a cooldown or a menu is in the way."},
    {RejectReason::FramesLost, "frames lost", "Frames are missing between the marks."},
    {RejectReason::FramesRepeated, "frames repeated", "Pictures at a mark are identical or blended."},
    {RejectReason::ExposureStep, "exposure step", "The brightness of the whole picture jumps near a mark."},
    {RejectReason::Ripple, "ripple", "Flicker of light or display hides the onset by more than one camera frame."},
    {RejectReason::Torn, "torn", "A tear line runs through the screen region at the onset."},
    {RejectReason::Hitch, "hitch", "A stutter that isn't under test falls between press and response."},
    {RejectReason::WrongSetUp, "wrong set-up", "A setting differs from the configuration."},
    {RejectReason::ClipEdge, "clip edge", "Press or response lies outside the capture."},
    {RejectReason::Other, "other", "Another reason, given in the note."},
};

const ReasonText& textOf(RejectReason reason) { return *std::ranges::find(reasonTexts, reason, &ReasonText::reason); }

/// What was read, whoever read it: two readings with the same outcome agree.
struct Outcome {
    timing::FrameNumber press;
    std::optional<timing::FrameNumber> response;
    bool operator==(const Outcome&) const = default;
};

Outcome outcomeOf(const Reading& complete)
{
    return {complete.press->frame, complete.response ? std::optional(complete.response->frame) : std::nullopt};
}

} // namespace

const char* label(RejectReason reason) { return textOf(reason).label; }

const char* definition(RejectReason reason) { return textOf(reason).definition; }

const Reading* findReading(const Trial& trial, ReadingId id)
{
    const auto found = std::ranges::find(trial.readings, id, &Reading::id);
    return found == trial.readings.end() ? nullptr : &*found;
}

const Reading* countingReading(const Trial& trial)
{
    if (trial.settled)
        return findReading(trial, trial.settled);
    return trial.readings.empty() ? nullptr : &trial.readings.front();
}

std::optional<timing::FrameNumber> pressOf(const Trial& trial)
{
    const Reading* reading = countingReading(trial);
    return reading && reading->press ? std::optional(reading->press->frame) : std::nullopt;
}

bool isComplete(const Reading& reading) { return reading.press && (reading.response || reading.noReaction); }

bool isOpen(const Trial& trial)
{
    if (trial.settled)
        return false;
    std::optional<Outcome> first;
    for (const Reading& reading : trial.readings) {
        if (!isComplete(reading))
            continue;
        const Outcome outcome = outcomeOf(reading);
        if (first && outcome != *first)
            return true;
        first = outcome;
    }
    return false;
}

} // namespace session
