#pragma once
#include "core/session/document.h"
#include "core/timing/picture_repeats.h"

namespace reading {

/// What the session keeps of a look at a capture's pictures. `byLamp`: from a lamp that blinks just below half the
/// claimed rate.
session::PictureFinding findingOf(const timing::PictureRepeats&, bool byLamp);

/// Pictures repeat or are made up: whoever reads the capture has to know at once.
bool isAlarming(const session::PictureFinding&);

/// What a clock says besides pictures; empty when it says nothing.
std::optional<double> claimedRate(const session::Document&, session::ClockId);

} // namespace reading
