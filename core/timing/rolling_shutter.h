#pragma once
#include "core/timing/delay.h"

namespace timing {

/// Which rows of the native, unturned picture are exposed first.
enum class ReadoutOrder { Unknown, FirstRowFirst, LastRowFirst };

/// Line time of a camera mode: from a row's exposure to the next one's.
struct LineTime {
    Milliseconds aRow{0};                ///< > 0
    Milliseconds standardUncertainty{0}; ///< >= 0; the value is taken to lie evenly within sqrt(3) times that
    ReadoutOrder order = ReadoutOrder::Unknown;
};

/// How rolling shutter moves one delay, and what of it stays unknown. All delays of a mode share the one error,
/// `uPerRow` being its standard uncertainty in ms a row; `rows` says how far it moves this delay.
struct ShutterEffect {
    Correction correction;
    double uPerRow = 0; ///< >= 0
    double rows = 0;    ///< signed
};

/// A frame's time is that of its first-read row, so an event in a row that is read `n` line times later is stamped as
/// much too early: delay += (row_screen - row_lamp) * line time, rows in readout order. `rowsDown`: middle row of the
/// screen region less middle row of the lamp, in the native picture. Order unknown: either sign, so nothing is added
/// and the whole is uncertain.
ShutterEffect knownLineTime(const LineTime& lineTime, double rowsDown);

/// Nothing known: rows are read within one capture interval, so a line time lies evenly between -interval/height and
/// +interval/height. Preconditions: `interval` > 0, `height` >= 1.
ShutterEffect unknownLineTime(Milliseconds interval, int height, double rowsDown);

} // namespace timing
