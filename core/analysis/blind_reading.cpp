#include "core/analysis/blind_reading.h"
#include "core/analysis/shuffled.h"
#include "core/session/edits.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>
#include <random>

namespace analysis {
namespace {

// Frames around a press: enough before it to see that the lamp is dark, and a draw wide enough that its place says
// nothing.
constexpr timing::FrameCount fewestBefore{24}, fewestDraw{60}, after{24}, one{1};

bool isRereadable(const session::Trial& trial)
{
    const session::Reading* reading = session::countingReading(trial);
    return !trial.reject && reading && reading->press && reading->response
           && std::ranges::all_of(trial.readings, &session::Reading::accepted);
}

/// A trial of each configuration in turn, by share of its own, then the next: the first n are spread evenly.
std::vector<session::TrialId> spread(const session::Document& document, std::mt19937_64& random)
{
    std::map<session::ConfigurationId, std::vector<session::TrialId>> groups;
    for (const session::TrialId id : rereadable(document))
        groups[find(document, id)->configuration].push_back(id);
    std::vector<std::pair<double, session::TrialId>> ranked;
    for (auto& [configuration, trials] : groups) {
        shuffle(trials, random);
        for (std::size_t i = 0; i < trials.size(); ++i)
            ranked.emplace_back((static_cast<double>(i) + 0.5) / static_cast<double>(trials.size()), trials[i]);
    }
    shuffle(ranked, random); // equal ranks in no order
    std::ranges::stable_sort(ranked, {}, &std::pair<double, session::TrialId>::first);
    std::vector<session::TrialId> trials;
    for (const auto& [rank, trial] : ranked)
        trials.push_back(trial);
    return trials;
}

/// Whether that trial is still to be read blind; empty where it has gone.
std::optional<bool> waits(const session::Document& document, const session::RereadPlace& place)
{
    const session::Trial* trial = find(document, place.trial);
    if (!trial)
        return std::nullopt;
    const session::Reading* reading = session::blindReading(*document.settings.reread, *trial);
    return !trial->reject && !(reading && reading->accepted);
}

struct Bounds {
    timing::FrameNumber first, last;
};

/// Between the marks of the trials before and after it in its capture.
Bounds roomFor(const session::Document& document, const session::Trial& trial)
{
    const timing::FrameNumber press = session::countingReading(trial)->press->frame;
    Bounds room{{}, lastFrame(*find(document, trial.capture))};
    for (const session::Trial* other : trialsOf(document, trial.capture)) {
        const session::Reading* reading = session::countingReading(*other);
        if (other->id == trial.id || !reading || !reading->press)
            continue;
        const timing::FrameNumber begins = reading->press->frame,
                                  ends = reading->response ? reading->response->frame : begins;
        if (begins < press)
            room.first = std::max(room.first, std::min(ends + one, press));
        else if (begins > press)
            room.last = std::min(room.last, begins - one);
    }
    return room;
}

} // namespace

std::vector<session::TrialId> rereadable(const session::Document& document)
{
    std::vector<session::TrialId> trials;
    for (const auto& [id, trial] : document.trials)
        if (isRereadable(*trial))
            trials.push_back(id);
    return trials;
}

int rereadCount(double share, int from)
{
    return std::min(from, std::max(fewestReread, static_cast<int>(std::ceil(share * from - 1e-9))));
}

std::string rereadProblem(const session::Document& document)
{
    return rereadable(document).empty() ? "No trial can be read again yet; read and accept some with both marks first."
                                        : std::string();
}

session::Reread drawReread(const session::Document& document, double share, std::int64_t seed)
{
    assert(rereadProblem(document).empty() && share > 0 && share <= 1);
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    std::vector<session::TrialId> trials = spread(document, random);
    trials.resize(static_cast<std::size_t>(rereadCount(share, static_cast<int>(trials.size()))));
    shuffle(trials, random);

    timing::FrameCount longest;
    for (const session::TrialId id : trials) {
        const session::Reading& reading = *session::countingReading(*find(document, id));
        longest = std::max(longest, reading.response->frame - reading.press->frame);
    }
    const timing::FrameCount draw = std::max(fewestDraw, longest), length = fewestBefore + draw + longest + after;
    session::Reread reread;
    reread.seed = seed;
    for (const session::TrialId id : trials) {
        const session::Trial& trial = *find(document, id);
        const Bounds room = roomFor(document, trial);
        const timing::FrameNumber press = session::countingReading(trial)->press->frame;
        const timing::FrameCount drawn{static_cast<std::int64_t>(below(random, static_cast<std::size_t>(draw.value)))};
        const timing::FrameNumber first = press - fewestBefore - drawn, last = first + length - one;
        reread.places.push_back(
            {id, std::clamp(first, room.first, press), std::clamp(last, press, std::max(press, room.last))});
    }
    return reread;
}

RereadState rereadState(const session::Document& document)
{
    RereadState state;
    if (!document.settings.reread)
        return state;
    const std::vector<session::RereadPlace>& places = document.settings.reread->places;
    for (std::size_t i = 0; i < places.size(); ++i) {
        const std::optional<bool> waiting = waits(document, places[i]);
        state.total += waiting.has_value();
        state.done += waiting == false;
        if (waiting == true && !state.next)
            state.next = i;
    }
    return state;
}

std::optional<std::size_t> nextPlace(const session::Document& document, std::size_t from)
{
    if (!document.settings.reread)
        return std::nullopt;
    const std::vector<session::RereadPlace>& places = document.settings.reread->places;
    for (std::size_t step = 0; step < places.size(); ++step)
        if (const std::size_t i = (from + step) % places.size(); waits(document, places[i]) == true)
            return i;
    return std::nullopt;
}

} // namespace analysis
