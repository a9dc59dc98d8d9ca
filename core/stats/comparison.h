#pragma once
#include "core/stats/budget.h"
#include <optional>
#include <span>
#include <vector>

namespace stats {

/// Comparisons take an alpha below 0.5.
inline constexpr double highestAlpha = 0.4999;

/// What the data say of configuration minus baseline. Never "no difference".
enum class Verdict {
    NoBaseline,         ///< the baseline has no trials
    TooFewTrials,       ///< fewer than 5 on either side: the difference, no interval
    Longer,             ///< interval above 0
    Shorter,            ///< interval below 0
    LongerWithinMargin, ///< above 0, and inside +-margin
    ShorterWithinMargin,
    SameWithinMargin, ///< holds 0, and the equivalence interval lies inside +-margin
    NotResolved,
};

struct ComparisonPlan {
    double alpha = 0.05;                        ///< of all comparisons together, between 0 and 0.5
    int comparisons = 1;                        ///< k >= 1 in the session
    std::optional<double> marginMs;             ///< > 0; without one nothing is ever "same"
    std::optional<int> plannedTrials;           ///< per configuration; before it everything is interim
    std::optional<int> plannedBaselineTrials{}; ///< where the baseline has a number of its own
    std::string configuration = "configuration", baseline = "baseline"; ///< what the sides are called in the budget
};

/// Per configuration, at least 5 trials and 4 runs.
struct Needed {
    int trials = 0;
    int runs = 0;
};

/// Effort for the margin (never for the observed difference), or why there is none: the smallest count on each side
/// with (t(reach) + t(chance)) u <= margin, reach and chance 1 - alpha/2k and 0.8 to resolve, 1 - alpha/k and 0.9 to
/// show sameness. Scatter and phase shrink with the count, shared errors stay; where runs are known both counts hold.
struct Effort {
    std::optional<Needed> toResolve;  ///< a true difference of the margin excludes 0 with 80 % power
    std::optional<Needed> toShowSame; ///< a true difference of 0 is shown to be within the margin with 80 % power
    bool clockLimits = false; ///< shared errors alone exceed what the margin allows: no number of trials will do
};

struct Comparison {
    Verdict verdict = Verdict::NoBaseline;
    bool interim = false;               ///< either side is below the planned number of trials
    std::optional<double> differenceMs; ///< configuration minus baseline; the centre of `interval` where there is one
    Basis basis = Basis::Trials;        ///< of the configuration's mean
    Basis baselineBasis = Basis::Trials;
    std::vector<BudgetLine> lines;
    std::optional<Expanded> interval;    ///< level 1 - alpha/k: the one drawn, and the one the verdict is read off
    std::optional<Expanded> equivalence; ///< level 1 - 2 alpha/k, same u and dof
    std::optional<double> smallestResolvableMs; ///< (t(1 - alpha/2k) + t(0.8)) u at the dof of `interval`
    std::optional<Effort> effort;               ///< with a margin
};

/// Difference of two means. Each side brings its scatter and phase; every error source enters once with the difference
/// of its two weights, so shared sources cancel as far as they should. A side with >= 4 runs may stand on its
/// trials or its runs; of all combinations the one with the widest interval is taken, as for a mean.
Comparison compare(std::span<const Observation> configuration, std::span<const Observation> baseline,
                   std::span<const ErrorSource> sources, const ComparisonPlan& plan);

} // namespace stats
