#pragma once
#include "core/session/capture.h"
#include "core/session/clock.h"
#include "core/session/configuration.h"
#include "core/session/earlier.h"
#include "core/session/publication.h"
#include "core/session/settings.h"
#include "core/session/trial.h"
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
const Configuration* find(const Document&, ConfigurationId);
const Run* find(const Document&, RunId);
const ErrorSource* find(const Document&, ErrorSourceId);
const Clock* find(const Document&, ClockId);
const Capture* find(const Document&, CaptureId);
const Trial* find(const Document&, TrialId);
const Publication* find(const Document&, PublicationId);
const EarlierSession* find(const Document&, EarlierSessionId);

/// In the order the analyst gave them (position, then number).
std::vector<const Configuration*> inOrder(const Table<Configuration>&);
std::vector<const Capture*> inOrder(const Table<Capture>&);
/// Trials of one capture, by press frame where marked, else by number.
std::vector<const Trial*> trialsOf(const Document&, CaptureId);
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
