#include "core/session/document.h"
#include <algorithm>
#include <cassert>
#include <limits>

namespace session {

namespace {

template <class T> bool sameTable(const Table<T>& a, const Table<T>& b)
{
    return std::ranges::equal(a, b, [](const auto& x, const auto& y) {
        return x.second == y.second || *x.second == *y.second; // most things are shared between snapshots
    });
}

/// Trials without a press come last.
void sortByPress(std::vector<const Trial*>& trials)
{
    constexpr timing::FrameNumber last{std::numeric_limits<std::int64_t>::max()};
    std::ranges::stable_sort(trials, {}, [&](const Trial* trial) { return pressOf(*trial).value_or(last); });
}

} // namespace

bool operator==(const Document& a, const Document& b)
{
    return a.nextId == b.nextId && a.settings == b.settings && sameTable(a.configurations, b.configurations)
           && sameTable(a.runs, b.runs) && sameTable(a.errorSources, b.errorSources) && sameTable(a.clocks, b.clocks)
           && sameTable(a.captures, b.captures) && sameTable(a.trials, b.trials)
           && sameTable(a.publications, b.publications) && sameTable(a.earlierSessions, b.earlierSessions);
}

std::vector<const Trial*> trialsOf(const Document& document, CaptureId capture)
{
    std::vector<const Trial*> trials;
    for (const auto& [id, trial] : document.trials)
        if (trial->capture == capture)
            trials.push_back(trial.get());
    sortByPress(trials);
    return trials;
}

std::map<CaptureId, std::vector<const Trial*>> trialsByCapture(const Document& document)
{
    std::map<CaptureId, std::vector<const Trial*>> byCapture;
    for (const auto& [id, trial] : document.trials)
        byCapture[trial->capture].push_back(trial.get());
    for (auto& [capture, trials] : byCapture)
        sortByPress(trials);
    return byCapture;
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
            if (const auto press = pressOf(*trial))
                marked.push_back(*press);
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
