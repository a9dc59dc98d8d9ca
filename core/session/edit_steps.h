#pragma once
#include "core/error.h"
#include "core/session/edits.h"
#include "core/session/place.h"
#include <string>

/// What the functions in edits.h have in common.
namespace session {

[[noreturn]] inline void refuse(const std::string& sentence)
{
    throw core::Error(core::ErrorKind::Refused, asSentence(sentence));
}

inline std::string named(const Configuration& configuration) { return "configuration " + inQuotes(configuration.name); }
inline std::string named(const Run& run) { return "run " + inQuotes(run.name); }
inline std::string named(const Clock& clock) { return "clock " + inQuotes(clock.name); }
inline std::string named(const Capture& capture) { return "capture " + inQuotes(capture.name); }
inline std::string named(const EarlierSession& earlier) { return "earlier session " + inQuotes(earlier.title); }

inline const char* kindName(ConfigurationId) { return "configuration"; }
inline const char* kindName(RunId) { return "run"; }
inline const char* kindName(ClockId) { return "clock"; }
inline const char* kindName(CaptureId) { return "capture"; }
inline const char* kindName(TrialId) { return "trial"; }
inline const char* kindName(EarlierSessionId) { return "earlier session"; }

/// The thing of that number, or a refusal.
template <class IdType> const auto& need(const Document& document, IdType id)
{
    const auto* found = find(document, id);
    if (!found)
        refuse(std::string("there is no ") + kindName(id) + " " + std::to_string(id.value) + " in this session");
    return *found;
}

/// How many things in the table `uses` holds for.
template <class T, class Uses> std::size_t countOf(const Table<T>& table, Uses uses)
{
    std::size_t count = 0;
    for (const auto& [id, entity] : table)
        count += uses(*entity) ? 1 : 0;
    return count;
}

/// A field that was cleared is a field that isn't there.
inline void dropEmpty(Texts& texts)
{
    std::erase_if(texts, [](const auto& item) { return item.second.empty(); });
}

/// Refuses where trials are read in it: "capture “run01” can't be joined".
inline void requireUnread(const std::string& refusal, std::size_t trials)
{
    if (trials > 0)
        refuse(refusal + " while " + counted(trials, "trial") + (trials == 1 ? " is" : " are") + " read in it; remove "
               + (trials == 1 ? "that" : "those") + " first");
}

/// An edit that changes this one thing.
inline Edit changing(const Document& document, std::string label, const Entity& thing,
                     EditKind kind = EditKind::Analysts)
{
    EditBuilder builder(document, std::move(label), kind);
    builder.put(thing);
    return std::move(builder).finish();
}

/// The capture, and its trials of which no reading is accepted yet.
void tagWithTrials(EditBuilder&, Capture, ConfigurationId, RunId);
/// A new run of that name, a number added where it is taken.
RunId putNewRun(EditBuilder&, const std::string& name);
/// Another reading of the trial by the session's reader; refused while one isn't accepted.
Reading& beginReading(EditBuilder&, Trial&, bool blind);
/// As setMark() does it.
void putMark(Reading&, MarkKind, const Mark&, std::string view);
/// The run of that line of the sheet, added where it is missing; refused where the line isn't there.
RunId runOfLine(EditBuilder&, std::size_t line);
/// What shareClock() does.
void putOnClock(EditBuilder&, ClockId, const std::vector<CaptureId>&);
/// What Capture says of `clock` and `pieces`, after pieces changed: a single piece is none, and the capture's clock is
/// one of theirs.
void keepPieceRules(Capture&);
/// Takes out error sources among `candidates` that no clock refers to any more.
void dropUnusedSources(EditBuilder&, const std::vector<ClockEvidence>& candidates);
/// Takes the clock out with the error sources that only it used.
void dropClock(EditBuilder&, ClockId);
/// Takes the clock out when no capture runs on it any more and no work went into it: it was neither settled, nor
/// declared, nor calibrated.
void dropIdleClock(EditBuilder&, ClockId);
/// Of that name, a number added where it is taken; not in the document yet.
Clock newClock(EditBuilder&, const std::string& name);
/// Gives pieces that have no clock yet theirs (see NewCapture): `evidence` one list a piece, or none. The slowest get
/// `capture.clock`.
void putPiecesOnClocks(EditBuilder&, Capture&, const std::vector<std::vector<timing::RateEvidence>>& evidence);
/// Adds the statement with error sources of its own, unless the clock holds the same statement already.
void addStatement(EditBuilder&, Clock&, const timing::RateEvidence&);
/// dropIdleClock() and followPictures() of clocks that a capture ran on before.
void leaveClocks(EditBuilder&, const std::vector<ClockId>&);
/// Makes the clock say what the pictures of its captures show: after these, its captures or its other evidence changed.
void followPictures(EditBuilder&, ClockId);

} // namespace session
