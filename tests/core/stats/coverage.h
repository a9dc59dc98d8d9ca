#pragma once
#include <cstdint>

/// How often intervals hold the truth and verdicts mislead, by simulation on one time line per capture: presses at
/// random times, a refresh grid and a camera grid that both run on through the capture. Never a fresh phase for each
/// trial.
namespace coverage {

enum class Shape { Smooth, Skewed, TwoModes };
const char* name(Shape);

struct Case {
    double camera = 240;   ///< camera frames a second as the camera states it
    double refresh = 60;   ///< Hz
    int trials = 10;       ///< of each configuration, spread over its runs
    int runs = 1;          ///< each a capture of its own
    double runShiftMs = 0; ///< SD of what changes from run to run
    Shape shape = Shape::Smooth;
};

/// Shares of sessions. A session is a baseline and two configurations, so two comparisons, all filmed with one clock
/// whose stated standard uncertainty is 0.1 %, its error drawn anew for each session.
struct Rates {
    double meanHeld = 0;       ///< the mean's 95 % interval holds the true mean
    double differenceHeld = 0; ///< the interval of one difference holds it; at 97.5 %, 95 % for both
    double falseVerdict = 0;   ///< longer or shorter in either comparison though all are equal
    double falseSame = 0;      ///< same within the margin, the true difference being the margin
};

Rates simulate(const Case&, int sessions, std::uint64_t seed);

} // namespace coverage
