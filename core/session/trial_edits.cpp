#include "core/session/edit_steps.h"
#include <algorithm>

namespace session {

namespace {

const char* nameOf(MarkKind kind) { return kind == MarkKind::Press ? "press" : "response"; }

std::optional<Mark>& markOf(Reading& reading, MarkKind kind)
{
    return kind == MarkKind::Press ? reading.press : reading.response;
}

bool inOrder(const Reading& reading)
{
    return !reading.press || !reading.response || reading.press->frame <= reading.response->frame;
}

Reading newReading(EditBuilder& builder, bool blind)
{
    Reading reading;
    reading.id = builder.nextId<ReadingId>();
    reading.reader = builder.document().settings.reader;
    reading.time = timeNow();
    reading.blind = blind;
    return reading;
}

/// Number 0 means the counting reading.
Reading* reading(Trial& trial, ReadingId id)
{
    const Reading* counting = countingReading(trial);
    const ReadingId wanted = !id && counting ? counting->id : id;
    const auto found = std::ranges::find(trial.readings, wanted, &Reading::id);
    return found == trial.readings.end() ? nullptr : &*found;
}

/// Its name for a label; refused when there is no such trial.
std::string numbered(const Document& document, TrialId id)
{
    need(document, id);
    return trialName(document, id);
}

Reading& needReading(Trial& trial, ReadingId id)
{
    Reading* found = reading(trial, id);
    if (!found)
        refuse(id ? "there is no reading " + std::to_string(id.value) + " of this trial"
                  : std::string("this trial has no reading yet"));
    return *found;
}

/// An accepted reading whose marks no longer make a delay is half done again.
void takeBackAcceptance(Reading& reading)
{
    reading.accepted = reading.accepted && isComplete(reading) && inOrder(reading);
}

template <class Do> Edit changeTrial(const Document& document, TrialId id, const std::string& what, Do change)
{
    Trial trial = need(document, id);
    EditBuilder builder(document, what + " " + numbered(document, id));
    change(trial, builder);
    builder.put(trial);
    return std::move(builder).finish();
}

template <class Do>
Edit changeReading(const Document& document, TrialId trialId, ReadingId id, const std::string& what, Do change)
{
    return changeTrial(document, trialId, what,
                       [&](Trial& trial, EditBuilder&) { change(needReading(trial, id), trial); });
}

RegionId regionOr(const Capture& capture, RegionId wanted, RegionKind kind)
{
    const Region* first = firstRegion(capture, kind);
    return wanted || !first ? wanted : first->id;
}

} // namespace

Reading& beginReading(EditBuilder& builder, Trial& trial, bool blind)
{
    if (!std::ranges::all_of(trial.readings, &Reading::accepted))
        refuse("this trial has a reading that isn't finished; accept or drop it first");
    return trial.readings.emplace_back(newReading(builder, blind));
}

void putMark(Reading& reading, MarkKind kind, const Mark& mark, std::string view)
{
    markOf(reading, kind) = mark;
    if (kind == MarkKind::Response)
        reading.noReaction = false;
    reading.time = timeNow();
    reading.view = std::move(view);
    takeBackAcceptance(reading);
}

Edit addTrial(const Document& document, CaptureId captureId, RegionId lamp, RegionId screen, const Mark& press,
              std::string view)
{
    const Capture& capture = need(document, captureId);
    if (capture.lampReference)
        refuse(named(capture)
               + " is a lamp reference, so it has no trials; if people press in it, take that back in "
                 "the table of captures first");
    EditBuilder builder(document, {});
    Trial trial;
    trial.id = builder.nextId<TrialId>();
    trial.capture = captureId;
    trial.lamp = regionOr(capture, lamp, RegionKind::Lamp);
    trial.screen = regionOr(capture, screen, RegionKind::Screen);
    trial.configuration = capture.configuration;
    trial.run = capture.run;
    trial.readings.push_back(newReading(builder, false));
    trial.readings.front().press = press;
    trial.readings.front().view = std::move(view);
    builder.put(trial);
    builder.setLabel("mark press of " + numbered(builder.document(), trial.id));
    return std::move(builder).finish();
}

Edit removeTrial(const Document& document, TrialId id)
{
    EditBuilder builder(document, "remove " + numbered(document, id));
    builder.remove(id);
    return std::move(builder).finish();
}

Edit setMark(const Document& document, TrialId id, ReadingId readingId, MarkKind kind, const Mark& mark,
             std::string view)
{
    return changeTrial(document, id, std::string("mark ") + nameOf(kind) + " of",
                       [&](Trial& trial, EditBuilder& builder) {
                           if (!readingId && trial.readings.empty())
                               trial.readings.push_back(newReading(builder, false));
                           putMark(needReading(trial, readingId), kind, mark, std::move(view));
                       });
}

Edit clearMark(const Document& document, TrialId id, ReadingId readingId, MarkKind kind)
{
    const std::string what = std::string("clear ") + nameOf(kind) + " of";
    return changeReading(document, id, readingId, what, [&](Reading& cleared, const Trial&) {
        if (!markOf(cleared, kind))
            refuse("there is no " + std::string(nameOf(kind)) + " to clear in this trial");
        markOf(cleared, kind).reset();
        takeBackAcceptance(cleared);
    });
}

Edit setNoReaction(const Document& document, TrialId id, ReadingId readingId, bool noReaction)
{
    const char* what = noReaction ? "no reaction in" : "take back no reaction in";
    return changeReading(document, id, readingId, what, [&](Reading& changed, const Trial&) {
        changed.noReaction = noReaction;
        if (noReaction)
            changed.response.reset();
        changed.time = timeNow();
        takeBackAcceptance(changed);
    });
}

Edit acceptReading(const Document& document, TrialId id, ReadingId readingId)
{
    return changeReading(document, id, readingId, "accept", [](Reading& accepted, const Trial&) {
        if (!isComplete(accepted))
            refuse(std::string("this trial can't be accepted yet; mark ")
                   + (accepted.press ? "the response or “no reaction”" : "the press") + " first");
        if (!inOrder(accepted))
            refuse("the press of this trial (frame " + std::to_string(accepted.press->frame.value)
                   + ") lies after its response (frame " + std::to_string(accepted.response->frame.value)
                   + "); mark one of them again");
        accepted.accepted = true;
    });
}

Edit setDoubtful(const Document& document, TrialId id, ReadingId readingId, bool doubtful)
{
    return changeReading(document, id, readingId, doubtful ? "doubt" : "take back doubt of",
                         [&](Reading& changed, const Trial&) { changed.doubtful = doubtful; });
}

Edit beginReading(const Document& document, TrialId id, bool blind)
{
    return changeTrial(document, id, "begin another reading of",
                       [&](Trial& trial, EditBuilder& builder) { beginReading(builder, trial, blind); });
}

Edit dropReading(const Document& document, TrialId id, ReadingId readingId)
{
    return changeTrial(document, id, "drop the unfinished reading of", [&](Trial& trial, EditBuilder&) {
        if (needReading(trial, readingId).accepted)
            refuse("an accepted reading of this trial stays, so that readers can be compared");
        if (trial.settled == readingId)
            refuse("the reading chosen for this trial can't be dropped; choose another first");
        std::erase_if(trial.readings, [&](const Reading& other) { return other.id == readingId; });
    });
}

Edit settleReading(const Document& document, TrialId id, ReadingId readingId)
{
    return changeTrial(document, id, "choose a reading of", [&](Trial& trial, EditBuilder&) {
        if (readingId && !isComplete(needReading(trial, readingId)))
            refuse("a reading of this trial can't be chosen before it is complete");
        trial.settled = readingId;
    });
}

Edit tagTrial(const Document& document, TrialId id, ConfigurationId configuration, RunId run)
{
    if (configuration)
        need(document, configuration);
    if (run)
        need(document, run);
    return changeTrial(document, id, "tag", [&](Trial& trial, EditBuilder&) {
        trial.configuration = configuration;
        trial.run = run;
    });
}

Edit rejectTrial(const Document& document, TrialId id, RejectReason reason, std::string note)
{
    return changeTrial(document, id, "reject", [&](Trial& trial, EditBuilder&) {
        trial.reject = Reject{reason, std::move(note), timeNow()};
    });
}

Edit unrejectTrial(const Document& document, TrialId id)
{
    return changeTrial(document, id, "take back the reject of", [](Trial& trial, EditBuilder&) {
        if (!trial.reject)
            refuse("this trial isn't rejected");
        trial.reject.reset();
    });
}

Edit setTrialNote(const Document& document, TrialId id, std::string note)
{
    return changeTrial(document, id, "note on", [&](Trial& trial, EditBuilder&) { trial.note = std::move(note); });
}

} // namespace session
