#pragma once
#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace stats {

/// Chance that a two-sided t test at `alpha` finds a true difference of `delta` whose estimate has standard uncertainty
/// `u` > 0 on `dof` > 0 degrees of freedom; both tails counted (noncentral t).
double powerOf(double delta, double u, double dof, double alpha);

/// True difference over its standard uncertainty that the test at `alpha` finds with `power`, 0.5 <= power < 1.
double shiftFound(double dof, double alpha, double power);

/// Smallest count from `fewest` to `most` that meets `enough`, which must stay met once it is. Empty: none does.
std::optional<int> smallestCount(int fewest, int most, const std::function<bool(int)>& enough);

/// Spread that trials show from run to run and within a run, from a pilot or by the model below.
struct Spread {
    double withinSdMs = 0;        ///< of trials in one run, > 0
    double betweenSdMs = 0;       ///< of true run means, >= 0
    double captureIntervalMs = 0; ///< >= 0; one capture a run, whose phase adds T^2/12 to the variance of its mean
};

/// Without a pilot: input phase anywhere in a refresh interval (its SD R/sqrt(12)), counting camera frames (T/sqrt(6)),
/// and what the analyst expects besides.
Spread modelledSpread(double refreshIntervalMs, double captureIntervalMs, double extraSdMs, double betweenSdMs);

/// The same trials filmed with another capture interval: what counting camera frames adds (T^2/6 within, and T^2/12
/// between where the phase isn't kept apart) is exchanged. An approximation that asks for delays spread over half a
/// camera frame or more.
Spread withCamera(const Spread&, double intervalMs, double otherIntervalMs);

struct PilotRun {
    int configuration = 0;
    std::vector<double> delaysMs; ///< not empty
};
struct Pilot {
    double withinSdMs = 0; ///< pooled over all runs
    double withinDof = 0;
    std::optional<double> betweenSdMs; ///< phase of the captures in it; empty where no configuration has two runs
    double betweenDof = 0;
};
/// Nested analysis of variance: MS within = s_w^2, MS between runs of one configuration = s_w^2 + n0 s_b^2, and 0 where
/// that comes out negative (Searle, Casella & McCulloch, Variance Components, 1992, ch. 3). Empty without two trials in
/// any run.
std::optional<Pilot> pilotSpread(std::span<const PilotRun>);

struct Goal {
    double marginMs = 0; ///< true difference to be found, > 0
    double alpha = 0.05; ///< of all comparisons together, below 0.5
    int comparisons = 1; ///< with the one baseline, >= 1
    double power = 0.8;  ///< of each, 0.5 or more, below 1
};

struct PlannedEffort {
    int runs = 0; ///< of each configuration, at least 4
    int baselineRuns =
        0; ///< sqrt(comparisons) times as many, rounded up: what serves most comparisons best (Dunnett 1955)
    int trialsPerRun = 0;
    double power = 0; ///< reached with these
};

/// Effort for all comparisons to hold together by Dunnett's factor (dunnett.h, SingleRisk) with the rho that these runs
/// give. Fewest runs of `trialsPerRun` >= 1 trials that reach the goal, the scatter of run means judged on runs - 1
/// degrees of freedom a side (Welch and Satterthwaite). `sharedUMs` >= 0 is the standard uncertainty of the difference
/// that no repetition takes away (capture rate, rows). Empty where 100,000 runs don't reach it.
std::optional<PlannedEffort> runsNeeded(const Goal&, const Spread&, int trialsPerRun, double sharedUMs = 0);

/// The same for as many trials a run, 2 to 200, as take least time in all; a run takes as long as its trials and
/// `runCost` >= 0 more.
std::optional<PlannedEffort> leastEffort(const Goal&, const Spread&, double runCost, double sharedUMs = 0);
/// Time for all of it, in trials.
double timeOf(const PlannedEffort&, int comparisons, double runCost);

/// True difference that the given runs find with the goal's power; its margin isn't looked at. Both sides have at least
/// 2 runs.
double smallestFound(const Goal&, const Spread&, const PlannedEffort&, double sharedUMs = 0);

/// The most that `sharedUMs` may be for any number of runs to reach the goal.
double mostShared(const Goal&);

} // namespace stats
