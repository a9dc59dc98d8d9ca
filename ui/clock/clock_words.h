#pragma once
#include "core/session/document.h"
#include "ui/look/shapes.h"
#include <QString>

namespace ui {

/// Best first: by origin, then by uncertainty.
std::vector<const session::ClockEvidence*> rankedEvidence(const session::Clock& clock);

/// "reference", "declared", ... as the table and the sentences name it.
QString originWord(timing::Origin origin);
QString rateOf(const session::ClockEvidence& evidence); ///< capture rate with the decimals its uncertainty supports
QString stateWord(session::ClockState state);           ///< "settled", "proposed", "in dispute", "unknown"
Shape stateShape(session::ClockState state);

/// What hangs on a clock.
struct ClockUse {
    int captures = 0;
    int trials = 0;                 ///< in these captures
    std::int64_t typicalFrames = 0; ///< median count of its read trials; 50 ms worth of frames where none is read; >= 1
};
ClockUse clockUse(const session::Document& document, const session::Clock& clock);

/// The consequence first: what the state of the clock means for its trials, in ms of a typical delay.
struct ClockWords {
    QString sentence;
    QString second; ///< what happens until it is settled
};
ClockWords clockWords(const session::Document& document, const session::Clock& clock);

/// How one piece of evidence stands to the one in use: what the clock is settled with, else the best of it.
struct Standing {
    bool disputed = false;
    QString words; ///< "best evidence, proposed", "in use", "agrees: 0.10 % faster", "in dispute: 1.3 % faster"
};
Standing standing(const session::Clock& clock, const session::ClockEvidence& evidence);

} // namespace ui
