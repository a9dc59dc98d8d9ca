#pragma once
#include "core/analysis/capture_clock.h"
#include "core/timing/rolling_shutter.h"
#include "core/timing/scan_out.h"

namespace analysis {

/// What is added to the delay of one trial, by cause. Each is true within its half-width.
struct Corrections {
    timing::Correction rows;    ///< rolling shutter
    timing::Correction scanOut; ///< to the common height; nothing where none is chosen
    timing::Correction lampLead;
    timing::Correction onset; ///< adds nothing, widens
    timing::Correction all() const { return rows + scanOut + lampLead + onset; }
};

/// Of one trial. Regions that aren't known add nothing for rows.
Corrections correctionsOf(const session::Document&, const session::Capture&, const session::Trial&,
                          const CaptureClock&);

/// How rolling shutter moves this trial's delay. Nothing for a sensor that exposes all rows at once or without a
/// settled clock; empty where a region isn't known.
std::optional<timing::ShutterEffect> shutterEffect(const session::Capture&, const session::Trial&, const CaptureClock&);

/// What brings a configuration's delays to the common height; empty where none is chosen, or refresh or height isn't
/// known.
std::optional<timing::ScanOutEffect> scanOutEffect(const session::Document&, session::ConfigurationId);

/// Relative standard uncertainty of a number that was typed in: rectangular within half of its last digit.
double typedUncertainty(double value);

} // namespace analysis
