#pragma once
#include "core/session/capture.h"
#include "core/session/clock.h"
#include "core/session/configuration.h"
#include "core/session/earlier.h"
#include "core/session/publication.h"
#include "core/session/settings.h"
#include "core/session/trial.h"
#include <algorithm>
#include <map>
#include <memory>

namespace session {

/// Things of one kind by number, ascending. Shared and immutable, so that a snapshot costs pointers only.
template <class T> using Table = std::map<decltype(T::id), std::shared_ptr<const T>>;

/// The whole session as a value. Changed only by edits (edit.h); every edit makes a new one.
struct Document {
    Settings settings;
    Table<Configuration> configurations;
    Table<Run> runs;
    Table<ErrorSource> errorSources;
    Table<Clock> clocks;
    Table<Capture> captures;
    Table<Trial> trials;
    Table<Publication> publications;
    Table<EarlierSession> earlierSessions;
    std::int64_t nextId = 1; ///< shared by all kinds, so that a number means one thing in the whole session
};
bool operator==(const Document&, const Document&); ///< by content, not by sharing

/// Null when there is none of that number.
template <class T> const T* find(const Table<T>& table, decltype(T::id) id)
{
    const auto found = table.find(id);
    return found == table.end() ? nullptr : found->second.get();
}
inline const Configuration* find(const Document& in, ConfigurationId id) { return find(in.configurations, id); }
inline const Run* find(const Document& in, RunId id) { return find(in.runs, id); }
inline const ErrorSource* find(const Document& in, ErrorSourceId id) { return find(in.errorSources, id); }
inline const Clock* find(const Document& in, ClockId id) { return find(in.clocks, id); }
inline const Capture* find(const Document& in, CaptureId id) { return find(in.captures, id); }
inline const Trial* find(const Document& in, TrialId id) { return find(in.trials, id); }
inline const Publication* find(const Document& in, PublicationId id) { return find(in.publications, id); }
inline const EarlierSession* find(const Document& in, EarlierSessionId id) { return find(in.earlierSessions, id); }

/// The first of that name; null when there is none.
template <class T> const T* findNamed(const Table<T>& table, const std::string& name)
{
    const auto found = std::ranges::find_if(table, [&](const auto& item) { return item.second->name == name; });
    return found == table.end() ? nullptr : found->second.get();
}

/// Configurations or captures in the order the analyst gave them (position, then number).
template <class T> std::vector<const T*> inOrder(const Table<T>& table)
{
    std::vector<const T*> ordered;
    for (const auto& [id, thing] : table)
        ordered.push_back(thing.get());
    std::ranges::stable_sort(ordered, {}, &T::position);
    return ordered;
}
/// Trials of one capture, by press frame where marked, else by number.
std::vector<const Trial*> trialsOf(const Document&, CaptureId);
/// The same of all captures that have some, in one pass.
std::map<CaptureId, std::vector<const Trial*>> trialsByCapture(const Document&);
/// Of presses proposed in the capture those that no trial has, rejected ones included, and the analyst hasn't dropped;
/// none of a lamp reference.
std::vector<ProposedPress> unreadAmong(const std::vector<ProposedPress>&, const Document&, CaptureId);
/// Of those that are on record; none where nobody looked.
std::vector<ProposedPress> unreadPresses(const Document&, CaptureId);
/// It has a lamp region, isn't a lamp reference, and nobody has seen yet whether there are presses.
bool isUnlooked(const Document&, CaptureId);
/// As the analyst knows it: "trial 3 of run01", counted as trialsOf() lists them. Precondition: it is in the document.
std::string trialName(const Document&, TrialId);

/// What contradicts itself (dangling numbers, regions outside the picture, texts too long for the file, ...): one
/// sentence after the place as JSON pointer of the file format, or empty when all is consistent.
std::string contradiction(const Document&);

} // namespace session
