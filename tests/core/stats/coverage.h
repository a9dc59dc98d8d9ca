#pragma once
#include <cstdint>
#include <span>

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

/// A campaign: a baseline and other configurations, one run of each in every block of the run sheet.
struct FamilyCase {
    double camera = 480, refresh = 144;
    int configurations = 4; ///< the baseline too
    int runs = 4, trialsPerRun = 4;
    double runShiftMs = 1;    ///< SD of what changes from run to run
    double oneShiftMs = 1;    ///< the same of the last configuration, say a wireless one
    bool oddBaseline = false; ///< of the baseline instead
    double blockShiftMs = 0;  ///< SD of what moves a whole block
    bool interleaved = true;  ///< the sheet has complete blocks; else each configuration is filmed in one stretch
    bool unbalanced =
        false;             ///< trials a run vary, 1 to twice as many less 1, and the baseline has a run more in block 1
    double clockU = 0.001; ///< relative; each configuration has a clock of its own where `ownClocks`
    bool ownClocks = false;
    Shape shape = Shape::Smooth;
};

/// By the rule in use, by the one before it (Bonferroni's level, blocks left in), and by one that no data allow: the
/// scatter of estimates is known, here from all campaigns of the case, and alike for all configurations.
struct Ruled {
    double now = 0, before = 0, known = 0;
};
struct FamilyRates {
    Ruled held;        ///< share of campaigns in which the intervals of all differences hold the truth; not of known
    Ruled halfWidthMs; ///< median
};

/// Configurations are 0, 1, 2, ... ms longer than the baseline.
FamilyRates simulateFamily(const FamilyCase&, int sessions, std::uint64_t seed);

/// Trials of a configuration with which 80 % of the differences are told where each other configuration is 4 ms longer
/// than the baseline: by whole runs from the fewest that have an interval on, between two of them in a straight line.
/// 0: 60 runs don't do.
Ruled trialsNeeded(FamilyCase, int sessions, std::uint64_t seed);

/// Share of campaigns in which all differences to the baseline, the first, hold together: normal run means in `runs`
/// blocks, taken out, that scatter by these SDs. Without benches, and with the wider of two intervals written out here,
/// for compare() takes thousands of times as long as figures good to a tenth of a point allow.
double heldUnequally(std::span<const double> sds, int runs, int campaigns, std::uint64_t seed);

} // namespace coverage
