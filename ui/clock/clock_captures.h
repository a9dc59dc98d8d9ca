#pragma once
#include "core/session/document.h"

namespace ui {

class ChoiceBox;

/// In their order.
using Captures = std::vector<const session::Capture*>;

/// Captures of which at least a piece runs on the clock.
Captures capturesOn(const session::Document& document, session::ClockId clock);
/// The box lists them. `chosen` stays where it is one of them, else it becomes the first; 0 where there is none.
void offerCaptures(ChoiceBox& box, const Captures& captures, session::CaptureId& chosen);

} // namespace ui
