#pragma once
#include "core/reading/hints.h"

namespace reading {

/// Onsets of the lamp, ascending: each the first frame that is partly lit (of a lamp that goes out: partly dark), the
/// earliest the press can have been. The room's light is divided out where its surroundings show it. A lamp has two
/// levels, told apart within some thousand frames, so that it may dim instead of going out and may drift; pulse width
/// is bridged, a button that fires by itself has one press a burst. None of a lamp that blinks evenly throughout: that
/// is a reference.
std::vector<Hint> lampOnsets(const media::Trace& lamp, session::LampEvent event);

} // namespace reading
