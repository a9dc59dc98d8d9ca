#pragma once
#include <cstdint>
#include <optional>

namespace timing {

/// How well the edges of a lamp spread over the frame interval, which is what makes a reference fit sharp.
/// `framesAFlash` = capture rate / lamp frequency, `flashes` >= 1.
/// Largest part of the interval that no edge falls in: about 1 / flashes where phases dither, 1 / q where the lamp's
/// frequency is p / q of the rate.
double largestPhaseGap(double framesAFlash, std::int64_t flashes);

/// True when more than half of what dithering gives is lost: the lamp's frequency is near a simple fraction of the
/// rate.
bool lacksDither(double framesAFlash, std::int64_t flashes);

/// True when it takes more than a dozen flashes until the edges have spread over most of the interval: then a lost
/// frame doesn't show where it is lost, and several may pass for another rate. `doubt` >= 0, frames a flash: true when
/// that holds anywhere within `framesAFlash` +- doubt.
bool dithersSlowly(double framesAFlash, double doubt = 0);

/// A frequency within 15 % of `frequency` with few digits whose phases dither over `flashes`, also when the capture
/// rate is off by 0.1 %. Empty when there is none (too few frames a flash).
std::optional<double> betterFrequency(double captureRate, double frequency, std::int64_t flashes);

/// Relative standard uncertainty that the bounds of a fit give on average over the lamp's phases, the lamp's own left
/// out. Edges On and Off both used, half the interval lit. Preconditions: captureRate > 2 * frequency > 0, flashes
/// >= 2.
double expectedFitUncertainty(double captureRate, double frequency, std::int64_t flashes);

/// What to film for a wanted relative standard uncertainty of the rate.
struct ReferencePlan {
    double frequency = 0;     ///< Hz: the one asked about
    std::int64_t flashes = 0; ///< 0: this lamp can't give it, its own tolerance is too wide
    double seconds = 0;
    double uncertainty = 0; ///< relative, standard, lamp included, then
};
/// Lamp within `frequency` * (1 +- tolerance). Looks up to 100 000 flashes. Preconditions as above; `wanted` > 0.
ReferencePlan planReference(double captureRate, double frequency, double tolerance, double wanted);

} // namespace timing
