#pragma once
#include "core/timing/reference_fit.h"
#include "core/timing/rolling_shutter.h"
#include <optional>
#include <string>
#include <vector>

namespace timing {

/// Mean brightness of each row of one picture, first row first, over some columns that an evenly lit surface fills.
struct RowProfile {
    FrameNumber frame;
    std::vector<double> levels; ///< any unit, >= 0; as many in every profile of a capture
};

/// Rates that tell the direction of readout, and whether the bands found can be those of the light.
struct BandContext {
    int height = 0;                    ///< rows of the whole native picture, >= as many as in a profile
    std::optional<double> captureRate; ///< camera frames a second, > 0
    double captureRateU = 0;           ///< relative, standard
};

/// Line time from the bands that a pulsed light leaves in the pictures of a rolling shutter: P rows from band to band
/// make line time = 1 / (frequency * P).
struct LineTimeFit {
    std::optional<Seconds> lineTime; ///< empty where `refused` says why
    Seconds standardUncertainty{0};  ///< of fit and light together
    double rowsPerBand = 0;          ///< P
    double fitUncertainty = 0;       ///< relative, standard
    double lightUncertainty = 0;     ///< relative, standard: tolerance / sqrt(3)
    double explained = 0;            ///< share of the rows' variance that the bands explain, 0 to 1
    int pictures = 0;                ///< used
    ReadoutOrder order = ReadoutOrder::Unknown;
    std::vector<std::string> remarks; ///< one sentence each
    std::string refused;              ///< one sentence
};

/// Each picture is brought to its brightness over the mean of all pictures, which takes out what stands still. Then
/// 1, cos and sin of 2 pi y / P and of twice and thrice that are fitted to every picture by least squares (Eigen, QR)
/// with one P for all. The uncertainty of P is the larger of what the residuals give and what the P of single pictures
/// scatter by. The order follows from how far the bands move from a frame to the next one: frequency / capture rate, or
/// as much the other way. At least 5 profiles of at least 32 rows; frames in ascending order.
LineTimeFit fitLineTime(const std::vector<RowProfile>& profiles, const ReferenceLamp& light,
                        const BandContext& context);

} // namespace timing
