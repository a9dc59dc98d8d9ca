#pragma once
#include "core/session/history.h"
#include "core/session/journal_file.h"

namespace session {

/// A session at one moment, with what can be undone from there.
struct State {
    std::shared_ptr<const Document> document;
    History history;
    std::int64_t sequence = 0; ///< of the last edit, undo or redo in it
};

/// What a session file and its journal give together.
struct Replayed {
    State state;
    std::int64_t savedSequence = 0; ///< of the state in the file
    std::int64_t lastSequence = 0;  ///< highest in the journal
    bool fits = true;               ///< false: the journal belongs to another state of the file and wasn't used
    std::int64_t goodBytes = 0;     ///< the journal is used up to here
    std::string trouble;            ///< why it isn't used further, without the full stop; empty when all of it is
    bool olderFile = false;         ///< the journal knows a newer file than the one given
};

/// Bytes of the record's payload for a file that was saved with that checksum (32 bytes).
QByteArray savedPayload(const QByteArray& fileHash);

/// From the record where the journal had just what is in the file, everything after is done again; what was done before
/// can be undone. Survives any records: at the first that doesn't fit it stops.
Replayed replay(Document file, const QByteArray& fileHash, const JournalScan& scan);

} // namespace session
