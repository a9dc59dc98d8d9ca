#pragma once
#include <QString>
#include "core/session/document.h"

namespace ui {

/// How far the reading of one trial is.
enum class TrialState {
    HalfRead, ///< a mark is missing
    ToAccept, ///< complete, the reader hasn't gone on
    Read,
    NoReaction, ///< read: nothing within the limit
    InDoubt,
    ToSettle, ///< readings differ and none is chosen
    Rejected,
};
TrialState stateOf(const session::Trial& trial);
QString word(TrialState state); ///< "half read"
bool needsAttention(TrialState state);
bool isRead(TrialState state); ///< the reader has gone on and the trial counts
/// Read or rejected: nothing is left to do at first reading.
bool isDone(TrialState state);

struct ReadingCount {
    int trials = 0; ///< rejected ones included
    int read = 0;
    int rejected = 0;
    int proposed = 0; ///< presses that no trial has
    int begun() const { return trials - read - rejected; }
    int toRead() const { return begun() + proposed; }
};
ReadingCount countOf(const session::Document& document, session::ConfigurationId id);
ReadingCount countOf(const session::Document& document, session::CaptureId id);
ReadingCount countOf(const session::Document& document);

/// Next trial of the capture that isn't done: by press frame after `from`, else from the start; 0 when all are.
session::TrialId nextToRead(const session::Document& document, session::CaptureId capture, session::TrialId from);

/// Number of the trial in its capture, from 1, by press frame.
int numberInCapture(const session::Document& document, const session::Trial& trial);

} // namespace ui
