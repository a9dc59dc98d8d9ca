#include "ui/desk/reading_progress.h"

#include <QCoreApplication>
#include <algorithm>

namespace ui {

namespace {

QString tr(const char* text) { return QCoreApplication::translate("ui", text); }

/// Trials and captures of which `belongs` says so.
template <class Belongs> ReadingCount count(const session::Document& document, Belongs belongs)
{
    ReadingCount result;
    for (const auto& [id, trial] : document.trials) {
        if (!belongs(*trial))
            continue;
        const TrialState state = stateOf(*trial);
        ++result.trials;
        result.read += isRead(state);
        result.rejected += state == TrialState::Rejected;
    }
    for (const auto& [id, capture] : document.captures)
        if (belongs(*capture))
            result.proposed += static_cast<int>(session::unreadPresses(document, id).size());
    return result;
}

} // namespace

TrialState stateOf(const session::Trial& trial)
{
    if (trial.reject)
        return TrialState::Rejected;
    const session::Reading* reading = session::countingReading(trial);
    if (!reading || !session::isComplete(*reading))
        return TrialState::HalfRead;
    if (session::isOpen(trial))
        return TrialState::ToSettle;
    if (!reading->accepted)
        return TrialState::ToAccept;
    if (reading->doubtful)
        return TrialState::InDoubt;
    return reading->noReaction ? TrialState::NoReaction : TrialState::Read;
}

QString word(TrialState state)
{
    switch (state) {
    case TrialState::HalfRead: return tr("half read");
    case TrialState::ToAccept: return tr("to accept");
    case TrialState::Read: return tr("read");
    case TrialState::NoReaction: return tr("no reaction");
    case TrialState::InDoubt: return tr("in doubt");
    case TrialState::ToSettle: return tr("to settle");
    case TrialState::Rejected: return tr("rejected");
    }
    return {};
}

bool needsAttention(TrialState state) { return state == TrialState::InDoubt || state == TrialState::ToSettle; }

bool isRead(TrialState state)
{
    return state == TrialState::Read || state == TrialState::NoReaction || state == TrialState::InDoubt
           || state == TrialState::ToSettle;
}

bool isDone(TrialState state) { return isRead(state) || state == TrialState::Rejected; }

ReadingCount countOf(const session::Document& document, session::ConfigurationId id)
{
    return count(document, [id](const auto& trialOrCapture) { return trialOrCapture.configuration == id; });
}

ReadingCount countOf(const session::Document& document, session::CaptureId id)
{
    return count(document, [id]<class T>(const T& trialOrCapture) {
        if constexpr (std::is_same_v<T, session::Trial>)
            return trialOrCapture.capture == id;
        else
            return trialOrCapture.id == id;
    });
}

ReadingCount countOf(const session::Document& document)
{
    return count(document, [](const auto&) { return true; });
}

session::TrialId nextToRead(const session::Document& document, session::CaptureId capture, session::TrialId from)
{
    const auto trials = session::trialsOf(document, capture);
    const auto start = std::ranges::find(trials, from, &session::Trial::id);
    const auto open = [](const session::Trial* trial) { return !isDone(stateOf(*trial)); };
    auto next = start == trials.end() ? trials.end() : std::find_if(start + 1, trials.end(), open);
    if (next == trials.end())
        next = std::ranges::find_if(trials, open);
    return next == trials.end() || (*next)->id == from ? session::TrialId{} : (*next)->id;
}

int numberInCapture(const session::Document& document, const session::Trial& trial)
{
    const auto trials = session::trialsOf(document, trial.capture);
    return static_cast<int>(std::ranges::find(trials, trial.id, &session::Trial::id) - trials.begin()) + 1;
}

} // namespace ui
