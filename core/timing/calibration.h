#pragma once
#include "core/timing/picture_repeats.h"
#include "core/timing/reference_fit.h"
#include <string>
#include <vector>

namespace timing {

/// What a capture of a blinking lamp shows, one value a camera frame; not finite where a picture is in doubt.
struct CalibrationTraces {
    std::vector<double> lamp;         ///< mean level of the region around the lamp, 0..255
    std::vector<FrameChange> changes; ///< of the whole picture; may be empty
};

/// From traces to the rate: edges, whether pictures repeat, fit.
struct Calibration {
    LampTrace lamp;
    PictureRepeats repeats; ///< by what moves in the picture, else by the lamp's edges
    ReferenceFit fit;       ///< `refused` also says that no lamp was found
    /// Everything that the analyst has to know, one sentence each, the refusal first.
    std::vector<std::string> warnings() const;
};

/// `gaps`: frames known to be missing. `others`: what else is known of the rate, to tell a wrong harmonic by.
Calibration calibrate(const CalibrationTraces& traces, const ReferenceLamp& lamp, const std::vector<Gap>& gaps = {},
                      const std::vector<RateEvidence>& others = {});

/// The same with the edges that the analyst kept.
Calibration calibrate(Calibration found, const std::vector<LampEdge>& kept, const ReferenceLamp& lamp,
                      const std::vector<Gap>& gaps = {}, const std::vector<RateEvidence>& others = {});

} // namespace timing
