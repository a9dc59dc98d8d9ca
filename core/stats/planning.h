#pragma once
#include <optional>

namespace stats {

/// Chance that a two-sided t test at `alpha` finds a true difference of `delta` whose estimate has standard uncertainty `u`
/// > 0 on `dof` > 0 degrees of freedom; both tails counted (noncentral t).
double powerOf(double delta, double u, double dof, double alpha);

/// Spread that trials show from run to run and within a run, from a pilot or by the model below.
struct Spread {
    double withinSdMs = 0;         ///< of trials in one run, > 0
    double betweenSdMs = 0;        ///< of true run means, >= 0
    double captureIntervalMs = 0;  ///< >= 0; one capture a run, whose phase adds T^2/12 to the variance of its mean
};

/// Without a pilot: input phase anywhere in a refresh interval (its SD R/sqrt(12)), counting camera frames (T/sqrt(6)), and
/// what the analyst expects besides.
Spread modelledSpread(double refreshIntervalMs, double captureIntervalMs, double extraSdMs, double betweenSdMs);

struct Goal {
    double marginMs = 0;   ///< true difference to be found, > 0
    double alpha = 0.05;   ///< of all comparisons together, below 0.5
    int comparisons = 1;   ///< with the one baseline, >= 1
    double power = 0.8;    ///< of each, between 0.5 and 1
};

struct PlannedEffort {
    int runs = 0;          ///< of each configuration, at least 4
    int baselineRuns = 0;  ///< sqrt(comparisons) times as many, rounded up: what serves most comparisons best (Dunnett 1955)
    int trialsPerRun = 0;
    double power = 0;      ///< reached with these
};

/// Fewest runs of `trialsPerRun` >= 1 trials that reach the goal, the scatter of run means judged on runs - 1 degrees of
/// freedom a side (Welch and Satterthwaite). `sharedUMs` >= 0 is the standard uncertainty of the difference that no
/// repetition takes away (capture rate, rows). Empty where 100,000 runs don't reach it.
std::optional<PlannedEffort> runsNeeded(const Goal&, const Spread&, int trialsPerRun, double sharedUMs = 0);

} // namespace stats
