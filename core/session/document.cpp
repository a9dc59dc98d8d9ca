#include "core/session/document.h"
#include <algorithm>
#include <cassert>
#include <limits>

namespace session {

namespace {

template <class T> const T* findIn(const Table<T>& table, decltype(T::id) id)
{
    const auto found = table.find(id);
    return found == table.end() ? nullptr : found->second.get();
}

template <class T> bool sameTable(const Table<T>& a, const Table<T>& b)
{
    return std::ranges::equal(a, b, [](const auto& x, const auto& y) {
        return x.second == y.second || *x.second == *y.second; // most things are shared between snapshots
    });
}

template <class T> std::vector<const T*> byPosition(const Table<T>& table)
{
    std::vector<const T*> ordered;
    ordered.reserve(table.size());
    for (const auto& [id, entity] : table)
        ordered.push_back(entity.get());
    std::ranges::stable_sort(ordered, {}, &T::position);
    return ordered;
}

/// First mark of the counting reading; trials without a press come last.
timing::FrameNumber pressFrame(const Trial& trial)
{
    const Reading* reading = countingReading(trial);
    return reading && reading->press ? reading->press->frame
                                     : timing::FrameNumber{std::numeric_limits<std::int64_t>::max()};
}

} // namespace

bool operator==(const Document& a, const Document& b)
{
    return a.nextId == b.nextId && a.settings == b.settings && sameTable(a.configurations, b.configurations)
           && sameTable(a.runs, b.runs) && sameTable(a.errorSources, b.errorSources) && sameTable(a.clocks, b.clocks)
           && sameTable(a.captures, b.captures) && sameTable(a.trials, b.trials)
           && sameTable(a.publications, b.publications) && sameTable(a.earlierSessions, b.earlierSessions);
}

const Configuration* find(const Document& document, ConfigurationId id) { return findIn(document.configurations, id); }
const Publication* find(const Document& document, PublicationId id) { return findIn(document.publications, id); }
const EarlierSession* find(const Document& document, EarlierSessionId id)
{
    return findIn(document.earlierSessions, id);
}
const Run* find(const Document& document, RunId id) { return findIn(document.runs, id); }
const ErrorSource* find(const Document& document, ErrorSourceId id) { return findIn(document.errorSources, id); }
const Clock* find(const Document& document, ClockId id) { return findIn(document.clocks, id); }
const Capture* find(const Document& document, CaptureId id) { return findIn(document.captures, id); }
const Trial* find(const Document& document, TrialId id) { return findIn(document.trials, id); }

std::vector<const Configuration*> inOrder(const Table<Configuration>& configurations)
{
    return byPosition(configurations);
}

std::vector<const Capture*> inOrder(const Table<Capture>& captures) { return byPosition(captures); }

std::vector<const Trial*> trialsOf(const Document& document, CaptureId capture)
{
    std::vector<const Trial*> trials;
    for (const auto& [id, trial] : document.trials)
        if (trial->capture == capture)
            trials.push_back(trial.get());
    std::ranges::stable_sort(trials, {}, [](const Trial* trial) { return pressFrame(*trial); });
    return trials;
}

std::vector<ProposedPress> unreadAmong(const std::vector<ProposedPress>& proposed, const Document& document,
                                       CaptureId id)
{
    const Capture* capture = find(document, id);
    if (capture->lampReference)
        return {};
    std::vector<timing::FrameNumber> marked;
    for (const auto& [number, trial] : document.trials)
        if (trial->capture == id)
            if (const Reading* reading = countingReading(*trial); reading && reading->press)
                marked.push_back(reading->press->frame);
    std::ranges::sort(marked);
    std::vector<ProposedPress> unread;
    for (const ProposedPress& press : proposed) {
        const auto mark = std::ranges::lower_bound(marked, press.first);
        const bool isRead = mark != marked.end() && *mark <= press.last;
        if (!isRead && !std::ranges::binary_search(capture->noPresses, press.frame))
            unread.push_back(press);
    }
    return unread;
}

std::vector<ProposedPress> unreadPresses(const Document& document, CaptureId id)
{
    const Capture* capture = find(document, id);
    return capture->presses ? unreadAmong(capture->presses->proposed, document, id) : std::vector<ProposedPress>();
}

bool isUnlooked(const Document& document, CaptureId id)
{
    const Capture* capture = find(document, id);
    return !capture->lampReference && !capture->presses && firstRegion(*capture, RegionKind::Lamp)
           && trialsOf(document, id).empty();
}

std::string trialName(const Document& document, TrialId id)
{
    const Trial* trial = find(document, id);
    assert(trial);
    const std::vector<const Trial*> all = trialsOf(document, trial->capture);
    const auto place = std::ranges::find(all, id, &Trial::id) - all.begin();
    return "trial " + std::to_string(place + 1) + " of " + find(document, trial->capture)->name;
}

} // namespace session
