#pragma once
#include "core/stats/distributions.h"
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace stats {

enum class LineKind { Scatter, Runs, Phase, Clock, Rows, Lamp, Onset, ScanOut };

/// A cause of error with an identity. Everything that shares it shares its one, unknown error.
struct ErrorSource {
    int key = 0;
    std::string label;
    double u = 0; ///< standard uncertainty, >= 0; relative for a clock and scan-out, ms a row for rows, else ms
    double dof = endlessDof; ///< > 0; endless where the limits are stated rather than estimated
    LineKind kind = LineKind::Clock;
};

/// An offset that all delays share, somewhere within a stated full width (lamp lead, onset rule): u = width / sqrt(12).
ErrorSource rectangularSource(int key, std::string label, double fullWidthMs, LineKind kind);

/// How far one delay moves with a source's error.
struct ErrorShare {
    int source = 0; ///< ErrorSource::key
    double sensitivityMs =
        0; ///< ms per unit of error, signed: the time counted for a clock, rows for a line time, 1 for an offset in ms
};

/// One trial that counts.
struct Observation {
    double delayMs = 0;
    double pressIntervalMs = 0; ///< >= 0; from the frame recorded before the press
    double responseIntervalMs = 0;
    int captureKey = 0;      ///< trials of one capture share its phase
    int runKey = 0;          ///< 0: run not known
    bool phaseSwept = false; ///< the beat of its capture is shown to pass >= 3 cycles (beatCycles())
    std::vector<ErrorShare> errors;
    int blockKey = 0; ///< of an interleaved run sheet: set on all trials of a configuration, whose runs in one block
                      ///< are then one unit; 0: none, each run is a unit
    int pairKey = 0;  ///< the press; trials of other configurations that share it have the same; 0: none
};

/// One line of a budget: a standard uncertainty of the result, uMs = |weight| * u.
struct BudgetLine {
    LineKind kind = LineKind::Scatter;
    std::string label;
    double uMs = 0;
    double dof = endlessDof; ///< 0 where one value shows no scatter
    double weight = 1;       ///< signed: ms of the result for a unit of the cause
    double u = uMs;          ///< of the cause: relative for a clock and scan-out, ms a row for rows, else ms
    int source = 0;          ///< ErrorSource::key; 0: the result's own
};

/// Lines in root sum of squares, with degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4.1).
/// They stay unrounded and enter t as they are: rounding down first would change the factor by a step of its own.
struct Combined {
    double uMs = 0;
    double dof = endlessDof;
};
Combined combine(std::span<const BudgetLine> lines);

/// A result with its interval: estimate +- halfWidth at `level`.
struct Expanded {
    double estimateMs = 0, uMs = 0, dof = endlessDof;
    double level = 0, factor = 0, halfWidthMs = 0;
    double low() const { return estimateMs - halfWidthMs; }
    double high() const { return estimateMs + halfWidthMs; }
};
Expanded expand(double estimateMs, const Combined& combined, double level);

enum class Basis { Trials, Runs };

/// A mean on one basis. With 4 known runs or more every run (or block) weighs alike in the mean, on either basis, so
/// that the mean is one figure and a difference is the difference of the means shown; with fewer, every trial does. On
/// Trials: scatter s^2 sum w^2, w the weights of the trials (s^2/n where alike), s^2 not below the mean of (T_press^2 +
/// T_response^2)/12, n - 1 dof. On Runs (>= 4 runs): scatter SD^2/r of the run means, r - 1 dof, which holds trial
/// scatter and whatever changes from run to run. Trials whose run isn't known are one unit more there. Both then add
/// what no repetition shows: every error source, once, with the sum of its sensitivities weighted as the trials are;
/// and phase, u^2 the sum over captures of w^2 T^2/12, w the weight of the capture's trials in the mean, T^2 the mean
/// of their response interval squared, swept captures adding nothing. Derivation: one capture's reactions all fall at
/// the same place between two camera frames, so the time its counts are late is one unknown, even over T (variance
/// T^2/12), that moves the mean by w times itself; different captures' are independent. Trials spread evenly make it
/// T^2/(12 * captures), all in one T^2/12. On Runs, phase is left out where every capture lies within one run: it then
/// differs from run to run and is in their scatter already.
struct MeanOnBasis {
    Basis basis = Basis::Trials;
    double estimateMs = 0;
    std::vector<BudgetLine> lines;
    std::optional<Expanded> interval; ///< empty for n < 2
};

/// How far the means of runs scatter, beside what the scatter of single trials within them would give alone.
struct RunScatter {
    int units = 0;       ///< runs, or blocks where a configuration has several runs in each
    double sdMs = 0;     ///< of their means
    double withinMs = 0; ///< SD of a trial within its run, pooled over runs, not below the counting floor
    double trialsMs = 0; ///< SD that run means would have from it: within * sqrt(mean of 1/trials)
};
/// Precondition: at least 2 units.
RunScatter runScatter(std::span<const Observation> observations);

struct MeanBudget {
    int n = 0;
    int captures = 0;
    int runs = 0;       ///< known ones
    int withoutRun = 0; ///< trials whose run isn't known
    std::vector<double>
        weights;            ///< of each observation in the mean; the sum is 1, from 4 runs on every run weighs alike
    bool floorUsed = false; ///< the delays scatter less than counting camera frames must: the floor stands in for s^2
    bool theseRunsOnly = true;             ///< fewer than 4 runs: says nothing of set-ups not tried
    std::optional<MeanOnBasis> overTrials; ///< n >= 1
    std::optional<MeanOnBasis> overRuns;   ///< runs >= 4
    std::optional<RunScatter> runScatter;  ///< runs >= 4
    /// The one with the wider interval, to be shown; null for n = 0.
    const MeanOnBasis* shown() const;
};

/// Budget of one configuration's mean delay. Every share names a source that is in `sources`; 0 < level < 1.
MeanBudget meanBudget(std::span<const Observation> observations, std::span<const ErrorSource> sources, double level);

/// Fewest cycles that the beat between refresh and camera passes in `seconds`: |f/F - nearest whole number| * F *
/// seconds, and no more than the same of 2 f/F, as phases that only jump between two places don't average out. The
/// ratio is known to `relativeU` (standard; two of it are allowed for).
double beatCycles(double captureRate, double refreshHz, double relativeU, double seconds);

} // namespace stats
