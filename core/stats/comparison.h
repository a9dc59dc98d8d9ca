#pragma once
#include "core/stats/blocks.h"
#include "core/stats/budget.h"
#include <optional>
#include <span>
#include <vector>

namespace stats {

/// Comparisons take an alpha below 0.5.
inline constexpr double highestAlpha = 0.4999;

/// What the interval by a difference's own two sides may miss where blocks are taken out (compare()), a two-sided level
/// of Student's t: alpha (1.75/(k + 1) + 1.2/r), k >= 2 comparisons, r >= 4 runs of either side (blocks of the run
/// sheet, the smaller number); alpha of one. Bonferroni's alpha/k would be less than is needed, the less the fewer
/// runs: the other interval holds most of what this one misses by chance. The two constants are about the most with
/// which all comparisons hold together at 94 %, alpha = 0.05, however unequally 3 to 10 configurations scatter; of
/// alpha = 0.1 at most 1.1 alpha are missed, of 0.01 up to 1.6. They stand on simulation alone
/// (tests/core/stats/COVERAGE.md), on no theory and no other source.
double ownRisk(double alpha, int comparisons, int runs);

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
    int comparisons = 1;                        ///< k >= 1 that the plan has, whether they have trials yet or not
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
/// with which the test at this comparison's level finds a true difference of the margin 4 times out of 5 (noncentral
/// t), and with which either end of `equivalence` keeps within the margin 9 times out of 10. Scatter and phase shrink
/// with the count, shared errors stay; where runs are known both counts hold.
struct Effort {
    std::optional<Needed> toResolve;  ///< a true difference of the margin excludes 0 with 80 % power
    std::optional<Needed> toShowSame; ///< a true difference of 0 is shown to be within the margin with 80 % power
    bool clockLimits = false; ///< shared errors alone exceed what the margin allows: no number of trials will do
};

struct Comparison {
    Verdict verdict = Verdict::NoBaseline;
    bool interim = false;               ///< either side is below the planned number of trials
    std::optional<double> differenceMs; ///< configuration minus baseline, of the means that meanBudget() has
    Basis basis = Basis::Trials;        ///< of the configuration's mean
    Basis baselineBasis = Basis::Trials;
    int partners = 0;            ///< trials that share their press with one of the baseline
    bool pairs = false;          ///< each does: the difference is that of the pairs
    double apartHalfWidthMs = 0; ///< by pairs or with blocks out: what it would be, both sides taken by themselves
    bool blocksOut = false;      ///< what moves whole blocks of the run sheet is taken out of the scatter
    bool ownScatter = false;     ///< and what its own two sides scatter by gives the wider interval
    std::vector<BudgetLine> lines;
    /// The one drawn, and the one the verdict is read off. Its factor is Dunnett's for all comparisons of the plan (by
    /// `ownScatter` Student's), its level what Student's t with this factor covers: what it holds by itself.
    std::optional<Expanded> interval;
    double ownLevel = 0; ///< with blocks out: of the interval by its own two sides, 1 - ownRisk()
    /// By Student's t, same u and dof, at 1 - 2 alpha/k or, where that is lower, the level of the one drawn: never
    /// wider.
    std::optional<Expanded> equivalence;
    int comparisons = 1;                        ///< k
    double rho = 0;                             ///< what Dunnett's factor took any two of them to correlate by
    std::optional<double> smallestResolvableMs; ///< true difference that excludes 0 4 times out of 5 (noncentral t)
    std::optional<Effort> effort;               ///< with a margin
};

/// One side of comparisons.
struct Side {
    std::span<const Observation> observations;
    std::optional<BlockVariance> blockVariance{}; ///< by variancesWithoutBlocks()
};

/// Differences of means. Each side brings its own scatter and phase; every error source enters once with the difference
/// of its two weights, so shared sources cancel as far as they should. Where every trial of either side has one partner
/// on the other, of the same press and run, the pairs' differences are analysed as one side: what moves both alike
/// isn't in their scatter. Else, where both sides have a variance without blocks, the wider of two intervals is taken:
/// by what all configurations together scatter by, (r - 1)(K - 1) degrees of freedom and Dunnett's factor, which is
/// right where they scatter alike; and by the two sides' own scatter, which need not be alike, r - 1 degrees of freedom
/// each and Student's at 1 - ownRisk(). Neither would do: the one holds too seldom where a set-up varies more,
/// the other is wide by chance with few runs. Else a side with >= 4 runs may stand on its trials or its runs; of all
/// combinations the one with the widest interval is taken, as for a mean. All of the plan's comparisons hold together
/// at 1 - alpha by Dunnett's factor for its k, the degrees of freedom after Welch and Satterthwaite, and rho, the
/// smallest lambda_i lambda_j of these comparisons, lambda_i = sqrt(V_0/(V_0 + V_i)), 0 of pairs, at most 1/2.
/// `configurations` are those of one baseline, in order; those without an interval don't enter rho.
std::vector<Comparison> compare(std::span<const Side> configurations, const Side& baseline,
                                std::span<const ErrorSource> sources, const ComparisonPlan& plan);
/// One by itself.
Comparison compare(std::span<const Observation> configuration, std::span<const Observation> baseline,
                   std::span<const ErrorSource> sources, const ComparisonPlan& plan);

/// A mean as its session has it: its budget's lines, and how many trials are in it.
struct SessionMean {
    double estimateMs = 0;
    std::span<const BudgetLine> lines;
    std::size_t trials = 0;
};
/// Two means of one session.
struct SessionPair {
    std::string session; ///< what its lines are called by in the budget
    SessionMean mean, bridge;
};
/// What a configuration of an earlier session differs by from one of this session, by way of a set-up measured in both,
/// the bridge: d = (earlier - its bridge) - (here - its bridge). Whatever moved every delay of a session alike (another
/// display, camera or onset rule) is in both of its means and drops out, as far as it adds; what multiplies doesn't,
/// which is why that is warned about. Law of propagation (JCGM 100:2008, 5.1.2 and F.1.2.3): scatter and phase of all
/// four means are their own, c = +-1; an error source of a session enters once, with c the difference of its two
/// weights there; sources of different sessions are unknown errors of their own. Degrees of freedom after Welch and
/// Satterthwaite (G.4.1) over these lines, interval by Student's t at 1 - alpha: this one by itself, none of those that
/// compare() holds together. `here` empty: the bridge is the configuration of this session that is compared with, so
/// nothing of this session enters. Fewer than 5 trials in any of the means: no interval. Of the plan, alpha, margin are
/// taken.
Comparison acrossSessions(const SessionPair& earlier, const std::optional<SessionPair>& here,
                          const ComparisonPlan& plan);

} // namespace stats
