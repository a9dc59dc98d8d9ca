#include "core/analysis/trial_outcome.h"
#include "core/analysis/parts_of_results.h"
#include "core/session/place.h"

#include <cassert>
#include <cmath>
#include <map>

namespace analysis {
namespace {

std::string rejectSentence(const session::Reject& reject)
{
    const std::string note = reject.note.empty() ? "" : ": " + reject.note;
    return session::asSentence(std::string("rejected, ") + session::label(reject.reason) + note);
}

std::string notReadSentence(const session::Reading* reading)
{
    if (!reading)
        return "Nothing is marked yet.";
    if (!reading->press)
        return "The press isn't marked yet.";
    if (!session::isComplete(*reading))
        return "The response isn't marked yet.";
    return "Both marks are set, but the reading isn't accepted yet.";
}

std::string unsettledSentence(const session::Capture& capture, const CaptureClock& clock)
{
    if (!clock.clock)
        return (capture.pieces.empty() ? "Capture " : "This piece of capture ") + session::inQuotes(capture.name)
               + " has no clock, so there are camera frames and no ms.";
    return "Clock " + session::inQuotes(clock.clock->name) + " isn't settled, so there are camera frames and no ms.";
}

/// Stamps and slow-down of a session file may be any finite numbers.
bool isTime(const timing::TrialDelay& delay)
{
    constexpr double longest = 1e15; // ms; the most frames at the lowest rate stay below
    return std::abs(delay.earliest.count()) < longest && std::abs(delay.latest.count()) < longest;
}

void fillMarks(TrialOutcome& outcome, const session::Reading& reading, const timing::MissingFrames& missing)
{
    outcome.doubtful = reading.doubtful;
    if (reading.press)
        outcome.press = reading.press->frame;
    if (reading.response)
        outcome.response = reading.response->frame;
    if (!outcome.press || !outcome.response || *outcome.response < *outcome.press)
        return;
    outcome.counted = *outcome.response - *outcome.press;
    outcome.missing = missing.upTo(*outcome.response) - missing.upTo(*outcome.press);
}

} // namespace

const char* label(TrialState state)
{
    switch (state) {
    case TrialState::Rejected: return "rejected";
    case TrialState::NotRead: return "not read";
    case TrialState::Untagged: return "untagged";
    case TrialState::NoReaction: return "no reaction";
    case TrialState::ClockNotSettled: return "clock not settled";
    case TrialState::NoDelay: return "no delay";
    case TrialState::Counts: return "counts";
    }
    assert(false);
    return "";
}

TrialOutcome outcomeInCapture(const session::Document& document, const session::Trial& trial,
                              const session::Capture& capture, const CaptureClock& clock)
{
    TrialOutcome outcome;
    outcome.trial = trial.id;
    outcome.capture = trial.capture;
    outcome.configuration = trial.configuration;
    outcome.run = trial.run;
    outcome.clock = clock.clock ? clock.clock->id : session::ClockId{};
    outcome.open = session::isOpen(trial);
    const session::Reading* reading = session::countingReading(trial);
    std::string noDelay = clock.problem;
    std::optional<std::string> across;
    if (reading) {
        outcome.reading = reading->id;
        fillMarks(outcome, *reading, clock.missing);
        if (outcome.counted)
            across = acrossPieces(capture, *outcome.press, *outcome.response);
        if (outcome.press && outcome.response && clock.time && !across) {
            outcome.corrections = correctionsOf(document, capture, trial, clock);
            const auto result =
                timing::trialDelay(*clock.time, *outcome.press, *outcome.response, outcome.corrections.all());
            const auto* delay = std::get_if<timing::TrialDelay>(&result);
            if (delay && isTime(*delay))
                outcome.delay = *delay;
            else if (delay)
                noDelay = "Its marks lie further apart than any capture lasts; look at the stamps and the slow-down of "
                          "its clock.";
            else
                noDelay = session::asSentence(std::get<timing::NoDelay>(result).reason);
        }
    }

    const auto end = [&](TrialState state, std::string sentence) {
        outcome.state = state;
        outcome.sentence = std::move(sentence);
        return outcome;
    };
    if (trial.reject)
        return end(TrialState::Rejected, rejectSentence(*trial.reject));
    if (!reading || !reading->accepted || !session::isComplete(*reading))
        return end(TrialState::NotRead, notReadSentence(reading));
    if (!trial.configuration)
        return end(TrialState::Untagged, "It is tagged to no configuration.");
    if (reading->noReaction)
        return end(TrialState::NoReaction, "Nothing reacted before the limit.");
    if (across)
        return end(TrialState::NoDelay, *across);
    if (!clock.settled)
        return end(TrialState::ClockNotSettled, unsettledSentence(capture, clock));
    if (!outcome.delay)
        return end(TrialState::NoDelay, noDelay);
    return end(TrialState::Counts, {});
}

TrialOutcome trialOutcome(const session::Document& document, const session::Trial& trial)
{
    const session::Capture* capture = session::find(document, trial.capture);
    assert(capture);
    return outcomeInCapture(document, trial, *capture, captureClock(document, *capture, pressFrame(trial)));
}

std::vector<TrialOutcome> trialOutcomes(const session::Document& document, session::CaptureId id)
{
    const session::Capture* capture = session::find(document, id);
    assert(capture);
    std::vector<TrialOutcome> outcomes;
    std::map<const session::Piece*, CaptureClock> clocks;
    for (const session::Trial* trial : session::trialsOf(document, id)) {
        const session::Piece* piece = pieceAt(*capture, pressFrame(*trial));
        auto clock = clocks.find(piece);
        if (clock == clocks.end())
            clock = clocks.emplace(piece, captureClock(document, *capture, pressFrame(*trial))).first;
        outcomes.push_back(outcomeInCapture(document, *trial, *capture, clock->second));
    }
    return outcomes;
}

} // namespace analysis
