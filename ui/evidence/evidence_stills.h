#pragma once
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_scene.h"
#include "ui/evidence/trial_evidence.h"

namespace ui {

/// The frames around press and response, lamp above and screen below, each with its number and the time since the
/// press; from the crops kept with the marks where the footage isn't there. Beside each other where the picture is
/// wide, else press above response. Throws core::Error (NotFound: neither footage nor crops), core::Cancelled.
ChartScene evidenceStrip(const TrialEvidence& evidence, const ChartStyle& style, session::EvidenceStore* crops,
                         const std::stop_token& stop = {});

/// Whole pictures of press and response. Precondition: `footage`. Throws core::Error, core::Cancelled.
ChartScene evidencePair(const TrialEvidence& evidence, const ChartStyle& style, const std::stop_token& stop = {});

} // namespace ui
