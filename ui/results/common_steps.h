#pragma once
#include "ui/model/session_model.h"
#include "core/analysis/results.h"

class QKeyEvent;

namespace ui {

/// Comparisons seen before the planned number of trials is reached are early looks, which the method note counts.
/// Recorded once a reader and day: going back and forth between pages is the same look. Does nothing where nothing can
/// be seen yet.
void recordEarlyLook(SessionModel& model, const analysis::Results& results);

/// Ctrl+E, on the pages that lead to publishing.
bool isPublishKey(const QKeyEvent& event);

} // namespace ui
