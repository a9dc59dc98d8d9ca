#include "core/stats/comparison.h"
#include "core/stats/distributions.h"
#include "core/stats/dunnett.h"
#include "core/stats/mean_parts.h"
#include "core/stats/planning.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>

namespace stats {

double ownRisk(double alpha, int comparisons, int runs)
{
    assert(comparisons >= 1 && runs >= runsForScatter);
    if (comparisons == 1)
        return alpha;
    constexpr double byAll = 1.75, byRuns = 1.2; // simulated, tests/core/stats/COVERAGE.md
    return alpha * (byAll / (comparisons + 1) + byRuns / runs);
}

namespace {

constexpr int fewestForVerdict = 5;
constexpr double power = 0.8;
constexpr double mostRho = 0.5;
constexpr int mostUnits = 1'000'000; // trials or runs; beyond it "needed" means nothing to anyone

BudgetLine named(BudgetLine line, const std::string& side, double sign)
{
    line.label = side + ": " + line.label;
    line.weight *= sign;
    return line;
}

/// Every source once, with the difference of its two weights.
std::vector<BudgetLine> sharedLines(const MeanParts& configuration, const MeanParts& baseline,
                                    std::span<const ErrorSource> sources)
{
    std::map<int, double> weights = configuration.weights;
    for (const auto& [source, weight] : baseline.weights)
        weights[source] -= weight;
    return sourceLines(weights, sources);
}

std::vector<BudgetLine> differenceLines(const MeanParts& configuration, const MeanParts& baseline,
                                        std::span<const ErrorSource> sources, const ComparisonPlan& plan)
{
    const bool pairs = baseline.units == 0;
    const std::string side = pairs ? plan.configuration + " minus " + plan.baseline + ", pairs" : plan.configuration;
    std::vector<BudgetLine> lines{named(configuration.scatter, side, 1)};
    if (!pairs)
        lines.push_back(named(baseline.scatter, plan.baseline, -1));
    if (configuration.phase)
        lines.push_back(named(*configuration.phase, side, 1));
    if (baseline.phase)
        lines.push_back(named(*baseline.phase, plan.baseline, -1));
    const std::vector<BudgetLine> shared = sharedLines(configuration, baseline, sources);
    lines.insert(lines.end(), shared.begin(), shared.end());
    return lines;
}

Verdict verdictOf(const Expanded& drawn, const Expanded& equivalence, std::optional<double> marginMs)
{
    const auto inside = [&](const Expanded& interval) {
        return marginMs && interval.low() > -*marginMs && interval.high() < *marginMs;
    };
    if (drawn.low() > 0)
        return inside(drawn) ? Verdict::LongerWithinMargin : Verdict::Longer;
    if (drawn.high() < 0)
        return inside(drawn) ? Verdict::ShorterWithinMargin : Verdict::Shorter;
    return inside(equivalence) ? Verdict::SameWithinMargin : Verdict::NotResolved;
}

/// The difference with `units` trials (or runs) on each side instead of those there are: scatter and phase shrink,
/// captures growing as the trials do; shared errors stay.
Combined outlook(const MeanParts& configuration, const MeanParts& baseline, const std::vector<BudgetLine>& shared,
                 int units)
{
    std::vector<BudgetLine> lines = shared;
    for (const MeanParts* side : {&configuration, &baseline}) {
        const double shrink = std::sqrt(static_cast<double>(side->units) / units);
        lines.push_back({side->scatter.kind, {}, side->scatter.uMs * shrink, static_cast<double>(units - 1)});
        if (side->phase)
            lines.push_back({LineKind::Phase, {}, side->phase->uMs * shrink, endlessDof});
    }
    return combine(lines);
}

/// The bases that a comparison's outlook goes by.
struct Bases {
    std::vector<MeanParts> here, there; ///< trials, then runs; with blocks taken out partsWithoutBlocks() of either.
                                        ///< Of pairs: theirs here, parts without units there
    bool blocksOut = false;
};

/// What an interval that shows sameness may miss, by the one drawn from the same scatter: each of its ends half of
/// that.
double sameRisk(const ComparisonPlan& plan, double drawn) { return std::max(2 * plan.alpha / plan.comparisons, drawn); }

Effort effortFor(const Bases& bases, std::span<const ErrorSource> sources, const ComparisonPlan& plan,
                 const SingleRisk& risk)
{
    const double margin = *plan.marginMs;
    const std::vector<BudgetLine> shared = sharedLines(bases.here.front(), bases.there.front(), sources);
    // Where only one side has runs enough, its run-to-run scatter is the best guess for the other.
    const bool runsKnown = bases.blocksOut || bases.here.size() > 1 || bases.there.size() > 1;
    const std::vector<MeanParts>& runsHere = bases.here.size() > 1 ? bases.here : bases.there;
    const std::vector<MeanParts>& runsThere = bases.there.size() > 1 ? bases.there : bases.here;
    const MeanParts& runHere = bases.blocksOut ? bases.here.front() : runsHere.back();
    const MeanParts& runThere = bases.blocksOut ? bases.there.front() : runsThere.back();

    const auto resolves = [&](const Combined& u, double mayMiss) {
        return u.uMs == 0 || powerOf(margin, u.uMs, u.dof, mayMiss) >= power;
    };
    const auto showsSame = [&](const Combined& u, double mayMiss) {
        if (u.uMs == 0)
            return true;
        const double bound = coverageFactor(1 - sameRisk(plan, mayMiss), u.dof);
        // Both ends must hold, so half the risk goes to each.
        return noncentralTUpper(bound, u.dof, margin / u.uMs) >= 1 - (1 - power) / 2;
    };

    Effort effort;
    const auto needed = [&](const auto& enough) -> std::optional<Needed> {
        const auto together = [&](const Combined& u) { return enough(u, risk.at(u.dof)); };
        if (const Combined alone = combine(shared); alone.uMs > 0 && !together(alone)) {
            effort.clockLimits = true;
            return std::nullopt;
        }
        std::optional<int> trials = 0;
        if (!bases.blocksOut)
            trials = smallestCount(fewestForVerdict, mostUnits, [&](int count) {
                return together(outlook(bases.here.front(), bases.there.front(), shared, count));
            });
        if (!trials || !runsKnown)
            return trials ? std::optional(Needed{*trials, runsForScatter}) : std::nullopt;
        const auto runs = smallestCount(runsForScatter, mostUnits, [&](int count) {
            return together(outlook(runHere, runThere, shared, count))
                   && (!bases.blocksOut
                       || enough(outlook(bases.here.back(), bases.there.back(), shared, count),
                                 ownRisk(plan.alpha, plan.comparisons, count)));
        });
        if (!runs)
            return std::nullopt;
        const double trialsPerRun =
            static_cast<double>(runHere.trials + runThere.trials) / (runHere.units + runThere.units);
        return Needed{std::max(*trials, static_cast<int>(std::ceil(*runs * trialsPerRun))), *runs};
    };
    effort.toResolve = needed(resolves);
    effort.toShowSame = needed(showsSame);
    return effort;
}

struct Pairs {
    std::vector<Observation> all; ///< a pair's difference as one trial; empty unless each trial has one partner
    int partners = 0;
};

Pairs pairsOf(std::span<const Observation> here, std::span<const Observation> there)
{
    std::map<int, std::vector<const Observation*>> ofPress;
    for (const Observation& o : there)
        if (o.pairKey != 0)
            ofPress[o.pairKey].push_back(&o);
    Pairs pairs;
    for (const Observation& mine : here) {
        const auto found = ofPress.find(mine.pairKey);
        if (found == ofPress.end() || found->second.size() != 1 || found->second.front()->runKey != mine.runKey)
            continue;
        const Observation& other = *found->second.front();
        Observation pair = mine;
        pair.delayMs -= other.delayMs;
        pair.pressIntervalMs = 0; // one press for both; each reaction is counted, and has a phase of its own
        pair.responseIntervalMs = std::hypot(mine.responseIntervalMs, other.responseIntervalMs);
        pair.phaseSwept = mine.phaseSwept && other.phaseSwept;
        pair.blockKey = 0;
        for (const ErrorShare& share : other.errors)
            pair.errors.push_back({share.source, -share.sensitivityMs});
        pairs.all.push_back(std::move(pair));
        ofPress.erase(found); // a second one of this press has no partner left
    }
    pairs.partners = static_cast<int>(pairs.all.size());
    if (pairs.all.size() != here.size() || here.size() != there.size())
        pairs.all.clear();
    return pairs;
}

/// One way to judge a difference.
struct Stand {
    Combined combined;
    std::vector<BudgetLine> lines;
    Basis basis = Basis::Trials, baselineBasis = Basis::Trials;
    double estimateMs = 0;
    double lambda = 0;
};

Stand standOn(const MeanParts& mine, const MeanParts& base, std::span<const ErrorSource> sources,
              const ComparisonPlan& plan)
{
    Stand stand;
    stand.lines = differenceLines(mine, base, sources, plan);
    stand.combined = combine(stand.lines);
    stand.basis = mine.basis;
    stand.baselineBasis = base.units > 0 ? base.basis : mine.basis;
    stand.estimateMs = mine.estimateMs - base.estimateMs;
    const double all = mine.ownVariance() + base.ownVariance();
    stand.lambda = all > 0 ? std::sqrt(base.ownVariance() / all) : 0;
    return stand;
}

/// What the interval is the wider of, once the factor for all comparisons is known.
struct Stands {
    Stand joint;              ///< by Dunnett's factor
    std::optional<Stand> own; ///< with blocks taken out: by its own scatter and Student's
    double ownMayMiss = 0;    ///< ownRisk()
};

Stands standsOf(const Bases& bases, std::span<const ErrorSource> sources, const ComparisonPlan& plan)
{
    if (bases.blocksOut)
        return {standOn(bases.here.front(), bases.there.front(), sources, plan),
                standOn(bases.here.back(), bases.there.back(), sources, plan),
                ownRisk(plan.alpha, plan.comparisons, std::min(bases.here.back().units, bases.there.back().units))};
    Stands stands;
    double widest = -1;
    for (const MeanParts& mine : bases.here)
        for (const MeanParts& base : bases.there) {
            Stand stand = standOn(mine, base, sources, plan);
            const double half =
                stand.combined.uMs * coverageFactor(1 - plan.alpha / plan.comparisons, stand.combined.dof);
            if (half <= widest)
                continue;
            widest = half;
            stands.joint = std::move(stand);
        }
    return stands;
}

const Expanded& wider(const Expanded& one, const Expanded& other)
{
    return other.halfWidthMs > one.halfWidthMs ? other : one;
}

/// What one comparison stands on before the factor for all is known.
struct Ground {
    Comparison comparison;
    std::optional<Bases> bases; ///< with trials enough for an interval
    Stands stands;
    std::optional<Stands> apart; ///< of pairs, and where blocks are taken out: both sides by themselves
};

Ground groundOf(const Side& configuration, const Side& baseline, std::span<const ErrorSource> sources,
                const ComparisonPlan& plan)
{
    Ground ground;
    Comparison& result = ground.comparison;
    const std::size_t here = configuration.observations.size(), there = baseline.observations.size();
    const auto below = [](std::size_t trials, const std::optional<int>& planned) {
        return planned && trials < static_cast<std::size_t>(*planned);
    };
    result.comparisons = plan.comparisons;
    result.interim = below(here, plan.plannedTrials)
                     || below(there, plan.plannedBaselineTrials ? plan.plannedBaselineTrials : plan.plannedTrials);
    if (there == 0)
        return ground;
    result.verdict = Verdict::TooFewTrials;
    if (here == 0)
        return ground;
    Bases bases{meanParts(configuration.observations), meanParts(baseline.observations), false};
    result.differenceMs = bases.here.front().estimateMs - bases.there.front().estimateMs;
    if (std::min(here, there) < static_cast<std::size_t>(fewestForVerdict))
        return ground;

    if (configuration.blockVariance && baseline.blockVariance) {
        ground.apart = standsOf(bases, sources, plan);
        bases = {partsWithoutBlocks(configuration.observations, *configuration.blockVariance),
                 partsWithoutBlocks(baseline.observations, *baseline.blockVariance), true};
    }
    ground.stands = standsOf(bases, sources, plan);
    const Pairs pairs = pairsOf(configuration.observations, baseline.observations);
    result.partners = pairs.partners;
    if (!pairs.all.empty()) {
        ground.apart = std::move(ground.stands);
        result.pairs = true;
        bases = {meanParts(pairs.all), {}, false};
        bases.there.resize(bases.here.size());
        ground.stands = standsOf(bases, sources, plan);
    }
    result.blocksOut = bases.blocksOut;
    ground.bases = std::move(bases);
    return ground;
}

/// The smallest lambda_i lambda_j, of one its own square; at most 1/2, which fixed alone would be too much where
/// set-ups scatter unequally.
double rhoOf(std::span<const Ground> grounds)
{
    std::vector<double> lambdas;
    for (const Ground& ground : grounds)
        if (ground.bases)
            lambdas.push_back(ground.stands.joint.lambda);
    std::ranges::sort(lambdas);
    if (lambdas.empty())
        return mostRho;
    return std::min(mostRho, lambdas.front() * lambdas[lambdas.size() > 1 ? 1 : 0]);
}

/// `risk` is the plan's at this rho; null without a margin.
Comparison finished(Ground ground, double rho, std::span<const ErrorSource> sources, const ComparisonPlan& plan,
                    const SingleRisk* risk)
{
    Comparison& result = ground.comparison;
    if (!ground.bases)
        return result;
    const auto dunnett = [&](const Stand& stand) {
        const double factor = dunnettFactor(1 - plan.alpha, stand.combined.dof, plan.comparisons, rho);
        const double single = plan.comparisons == 1 // rounding may not touch one alone
                                  ? plan.alpha
                                  : 2 * tCdf(-factor, stand.combined.dof);
        return Expanded{stand.estimateMs, stand.combined.uMs,         stand.combined.dof, 1 - single,
                        factor,           factor * stand.combined.uMs};
    };
    const auto drawn = [](const Stands& stands, const Expanded& joint) {
        return stands.own ? wider(joint, expand(stands.own->estimateMs, stands.own->combined, 1 - stands.ownMayMiss))
                          : joint;
    };
    Stands& stands = ground.stands;
    const Expanded joint = dunnett(stands.joint);
    result.rho = rho;
    result.interval = drawn(stands, joint);
    result.ownScatter = stands.own && result.interval->uMs == stands.own->combined.uMs;
    Stand& stand = result.ownScatter ? *stands.own : stands.joint;
    if (ground.apart)
        result.apartHalfWidthMs = drawn(*ground.apart, dunnett(ground.apart->joint)).halfWidthMs;
    result.differenceMs = stand.estimateMs;
    result.equivalence = expand(stand.estimateMs, stands.joint.combined, 1 - sameRisk(plan, 1 - joint.level));
    if (stands.own) {
        result.ownLevel = 1 - stands.ownMayMiss;
        result.equivalence = wider(
            *result.equivalence, expand(stand.estimateMs, stands.own->combined, 1 - sameRisk(plan, stands.ownMayMiss)));
    }
    result.verdict = verdictOf(*result.interval, *result.equivalence, plan.marginMs);
    // Of two intervals both have to tell it, which takes about what one by the runs' own degrees of freedom does.
    Combined found = stand.combined;
    if (stands.own && !result.ownScatter)
        found = outlook(ground.bases->here.front(), ground.bases->there.front(),
                        sharedLines(ground.bases->here.front(), ground.bases->there.front(), sources),
                        ground.bases->here.front().units);
    result.smallestResolvableMs = // what it may miss hardly depends on the degrees of freedom
        shiftFound(found.dof, 1 - result.interval->level, power) * found.uMs;
    result.basis = stand.basis;
    result.baselineBasis = stand.baselineBasis;
    result.lines = std::move(stand.lines);
    if (risk)
        result.effort = effortFor(*ground.bases, sources, plan, *risk);
    return result;
}

} // namespace

std::vector<Comparison> compare(std::span<const Side> configurations, const Side& baseline,
                                std::span<const ErrorSource> sources, const ComparisonPlan& plan)
{
    assert(plan.alpha > 0 && plan.alpha < 0.5 && plan.comparisons >= 1 && (!plan.marginMs || *plan.marginMs > 0));
    std::vector<Ground> grounds;
    for (const Side& configuration : configurations)
        grounds.push_back(groundOf(configuration, baseline, sources, plan));
    const double rho = rhoOf(grounds);
    std::optional<SingleRisk> risk; // the same for all, and quadrature twice
    if (plan.marginMs && std::ranges::any_of(grounds, [](const Ground& ground) { return ground.bases.has_value(); }))
        risk.emplace(plan.alpha, plan.comparisons, rho);
    std::vector<Comparison> comparisons;
    for (Ground& ground : grounds)
        comparisons.push_back(finished(std::move(ground), rho, sources, plan, risk ? &*risk : nullptr));
    return comparisons;
}

namespace {

/// Of the pair's difference: own lines as they are, every source once.
void addPairLines(std::vector<BudgetLine>& lines, const SessionPair& pair, double sign)
{
    std::map<int, BudgetLine> shared;
    for (const auto& [mean, side] : {std::pair(&pair.mean, sign), std::pair(&pair.bridge, -sign)})
        for (BudgetLine line : mean->lines) {
            line.label = pair.session + ": " + line.label;
            line.weight *= side;
            if (line.source == 0)
                lines.push_back(std::move(line));
            else if (const auto [there, added] = shared.emplace(line.source, line); !added)
                there->second.weight += line.weight;
        }
    for (auto& [source, line] : shared) {
        line.uMs = std::abs(line.weight) * line.u;
        lines.push_back(std::move(line));
    }
}

} // namespace

Comparison acrossSessions(const SessionPair& earlier, const std::optional<SessionPair>& here,
                          const ComparisonPlan& plan)
{
    Comparison result;
    result.verdict = Verdict::TooFewTrials;
    double difference = earlier.mean.estimateMs - earlier.bridge.estimateMs;
    std::size_t fewest = std::min(earlier.mean.trials, earlier.bridge.trials);
    addPairLines(result.lines, earlier, 1);
    if (here) {
        difference -= here->mean.estimateMs - here->bridge.estimateMs;
        fewest = std::min({fewest, here->mean.trials, here->bridge.trials});
        addPairLines(result.lines, *here, -1);
    }
    result.differenceMs = difference;
    if (fewest < static_cast<std::size_t>(fewestForVerdict))
        return result;
    const Combined combined = combine(result.lines);
    result.interval = expand(difference, combined, 1 - plan.alpha);
    result.equivalence = expand(difference, combined, 1 - 2 * plan.alpha);
    result.verdict = verdictOf(*result.interval, *result.equivalence, plan.marginMs);
    result.smallestResolvableMs = shiftFound(combined.dof, plan.alpha, power) * combined.uMs;
    return result;
}

Comparison compare(std::span<const Observation> configuration, std::span<const Observation> baseline,
                   std::span<const ErrorSource> sources, const ComparisonPlan& plan)
{
    const Side one{configuration};
    return compare(std::span(&one, 1), Side{baseline}, sources, plan).front();
}

} // namespace stats
