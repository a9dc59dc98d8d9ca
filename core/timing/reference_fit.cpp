#include "core/timing/reference_fit.h"
#include "core/timing/edge_line.h"
#include "core/timing/line_fit.h"
#include "core/timing/phase_dither.h"
#include "core/timing/short_number.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>

namespace timing {
namespace {

constexpr std::size_t fewestForCheck = 5; ///< edges; with fewer any line fits
constexpr std::size_t mostEdges = 20'000; ///< beyond them more edges add nothing but waiting
constexpr double mostUnplaced = 0.2;      ///< share of edges that aren't at a whole flash
constexpr double clearPlace = 0.3;        ///< of a flash that an edge may lie off, beside the frames' own 1
constexpr double tellingWidening = 2;     ///< an allowance for a hidden fault that widens the range by more is told
constexpr double furtherLosses = 4;       ///< frames that may have been lost unnoticed beside those that show
constexpr double fewestForRoughness = 12; ///< edges
constexpr double roughest =
    0.37; ///< frames: uniform rounding leaves 0.29, and no more than 0.33 by chance among some thousand films
constexpr double factorReach = 0.04; ///< a ratio so near a simple one is taken for it

std::string counted(std::int64_t count, const char* what)
{
    return std::to_string(count) + " " + what + (count == 1 ? "" : "s");
}

/// Edges with their places in capture intervals and the flash each belongs to.
class Flashes {
public:
    Flashes(const std::vector<LampEdge>& edges, const FitOptions& options)
    {
        const MissingFrames missing(options.gaps);
        for (std::size_t i = 0; i < std::min(edges.size(), mostEdges); ++i) {
            const LampEdge& edge = edges[i];
            EdgeBar bar;
            bar.group = edge.kind == EdgeKind::On ? 0 : 1;
            bar.edge = i;
            bar.place = static_cast<double>((edge.frame + missing.upTo(edge.frame)).value);
            bar.low = static_cast<double>((edge.before + missing.upTo(edge.before)).value) - edge.early
                      - (options.framesPerPicture - 1);
            bar.high = bar.place + edge.late + (options.blended ? options.framesPerPicture - 1 : 0);
            m_bars.push_back(bar);
        }
        for (const int group : {0, 1})
            numberGroup(group);
        std::erase_if(
            m_bars, [this](const EdgeBar& bar) { return std::ranges::find(m_unplaced, bar.edge) != m_unplaced.end(); });
    }

    const std::vector<EdgeBar>& bars() const { return m_bars; }
    const std::vector<std::size_t>& unplaced() const { return m_unplaced; }

private:
    /// Numbers from 0 in each group; a flash that wasn't seen leaves its number out.
    void numberGroup(int group)
    {
        std::vector<EdgeBar*> own;
        for (EdgeBar& bar : m_bars)
            if (bar.group == group)
                own.push_back(&bar);
        if (own.size() < 2)
            return;
        std::vector<double> steps;
        for (std::size_t i = 1; i < own.size(); ++i)
            steps.push_back(own[i]->place - own[i - 1]->place);
        // Of few steps the lower one: flashes that weren't seen make steps longer, never shorter.
        const auto middle = steps.begin() + (steps.size() - 1) / 2;
        std::nth_element(steps.begin(), middle, steps.end());
        double period = std::max(*middle, 1.0);
        // The median of whole frames is up to half a frame off; steps near it give the mean.
        double sum = 0, count = 0;
        for (std::size_t i = 1; i < own.size(); ++i)
            if (const double step = own[i]->place - own[i - 1]->place; std::abs(step - period) <= 1.5) {
                sum += step;
                ++count;
            }
        if (count > 0)
            period = sum / count;
        const EdgeBar* last = own.front();
        for (std::size_t i = 1; i < own.size(); ++i) {
            const double flashes = (own[i]->place - last->place) / period;
            const double whole = std::round(flashes);
            if (whole < 1 || std::abs(flashes - whole) > clearPlace + std::min(1 / period, 0.15)) {
                m_unplaced.push_back(own[i]->edge);
                continue;
            }
            own[i]->n = last->n + whole;
            last = own[i];
        }
    }

    std::vector<EdgeBar> m_bars; ///< ascending
    std::vector<std::size_t> m_unplaced;
};

/// A line for each kind of edge, of one slope, through `y` of each bar over its flash.
template <class Y> std::optional<LineFit> linesThrough(const std::vector<EdgeBar>& bars, const Y& yOf)
{
    std::vector<double> x, y;
    std::vector<int> group;
    const bool both = std::ranges::any_of(bars, [](const EdgeBar& b) { return b.group == 0; });
    for (const EdgeBar& bar : bars) {
        x.push_back(bar.n);
        y.push_back(yOf(bar));
        group.push_back(both ? bar.group : 0);
    }
    return fitLines(x, y, group);
}

std::optional<LineFit> leastSquares(const std::vector<EdgeBar>& bars)
{
    return linesThrough(bars, [](const EdgeBar& bar) { return bar.place; });
}

/// Standard deviation left when the rate may change evenly along the capture, and by what part it changes from end to
/// end.
struct Bend {
    double residualSd = std::numeric_limits<double>::infinity(); ///< as long as it can't be told
    double change = 0;
};

Bend bent(const std::vector<EdgeBar>& bars, const LineFit& line)
{
    if (bars.size() < 8 || !(line.slope > 0))
        return {};
    // What a parabola, itself freed of a line, takes from the line's residuals.
    const auto freed = linesThrough(bars, [](const EdgeBar& bar) { return bar.n * bar.n; });
    if (!freed)
        return {};
    double mixed = 0, own = 0, squares = 0;
    for (std::size_t i = 0; i < bars.size(); ++i) {
        mixed += freed->residuals[i] * line.residuals[i];
        own += freed->residuals[i] * freed->residuals[i];
    }
    const double curve = own > 0 ? mixed / own : 0;
    for (std::size_t i = 0; i < bars.size(); ++i)
        squares += std::pow(line.residuals[i] - curve * freed->residuals[i], 2);
    const auto [first, last] = std::ranges::minmax(bars, {}, &EdgeBar::n);
    const double span = last.n - first.n;
    return {std::sqrt(squares / static_cast<double>(bars.size() - 4)), 2 * curve * span / line.slope};
}

void remark(ReferenceFit& fit, FitRemark::Kind kind, std::optional<FrameNumber> frame, std::int64_t count,
            std::string sentence)
{
    fit.remarks.push_back({kind, frame, count, std::move(sentence)});
}

void remarkWrong(ReferenceFit& fit, const LampEdge& edge)
{
    remark(fit, FitRemark::Kind::WrongEdge, edge.frame, 1,
           "The edge at frame " + std::to_string(edge.frame.value)
               + " lies off the line that the others keep and is left out; look at it again.");
}

void remarkBreak(ReferenceFit& fit, const Repair::Break& found)
{
    const LampEdge& behind = fit.edges[found.edge].edge;
    const std::string near = "near frame " + std::to_string(behind.frame.value);
    const std::int64_t count = std::abs(found.by);
    if (found.by > 0)
        remark(fit, FitRemark::Kind::LostFrames, behind.frame, count,
               "From " + near + " on all edges come early by " + counted(count, "frame") + ": "
                   + (count == 1 ? "one was" : "so many were")
                   + " lost there; the rate allows for it, delays across it don't until it is noted as missing.");
    else
        remark(fit, FitRemark::Kind::AddedFrames, behind.frame, count,
               "From " + near + " on all edges come late by " + counted(count, "frame")
                   + ": as many repeat others or were put in there; delays across it are too long.");
}

/// Every frame of an edge leaves the same rest: the pictures between show nothing new. By chance 1 in modulus^(edges -
/// 1).
int coarseModulus(const std::vector<EdgeBar>& bars)
{
    for (const int modulus : {5, 4, 3, 2}) {
        const auto rest = [&](const EdgeBar& bar) { return static_cast<std::int64_t>(bar.place) % modulus; };
        if (std::ranges::all_of(bars, [&](const EdgeBar& bar) { return rest(bar) == rest(bars.front()); }))
            return modulus;
    }
    return 1;
}

void remarkCoarse(ReferenceFit& fit, int modulus, bool lampMayDoIt)
{
    const std::string all = "All edges fall on every " + std::to_string(modulus) + ". camera frame";
    remark(fit, FitRemark::Kind::CoarseFrames, std::nullopt, modulus,
           lampMayDoIt ? all
                             + ", as the lamp's own rhythm may have it; but if the pictures between only repeat "
                               "others, it looks the same, and the uncertainty allows for that."
                       : all + ": the pictures between add nothing, so this mode may really capture at 1/"
                             + std::to_string(modulus) + " of the rate.");
}

/// A lost frame among edges at equal distances would make one distance shorter.
bool stepsAreEqual(const std::vector<EdgeBar>& bars)
{
    for (const int group : {0, 1}) {
        const EdgeBar* last = nullptr;
        std::optional<double> same;
        for (const EdgeBar& bar : bars) {
            if (bar.group != group)
                continue;
            if (last) {
                const double step = (bar.place - last->place) / (bar.n - last->n);
                if (same && *same != step)
                    return false;
                same = step;
            }
            last = &bar;
        }
    }
    return true;
}

std::vector<EdgeBar> widened(std::vector<EdgeBar> bars, double early, double late)
{
    for (EdgeBar& bar : bars) {
        bar.low -= early;
        bar.high += late;
    }
    return bars;
}

/// Standard deviation of places off the line, in frames; bars across a known gap say nothing. 0 where there are too
/// few.
double roughness(const ReferenceFit& fit, const std::vector<EdgeBar>& bars, double frames)
{
    double squares = 0, count = 0;
    for (const EdgeBar& bar : bars) {
        const FittedEdge& edge = fit.edges[bar.edge];
        if (bar.high - bar.low > frames + edge.edge.early + edge.edge.late + 0.5)
            continue;
        squares += edge.residual * edge.residual;
        ++count;
    }
    return count >= fewestForRoughness ? std::sqrt(squares / count) : 0;
}

void remarkDither(ReferenceFit& fit, const ReferenceLamp& lamp, std::int64_t flashes)
{
    if (flashes < 10 || !lacksDither(*fit.rate / lamp.frequency, flashes))
        return;
    std::string sentence = "The lamp's " + shortNumber(lamp.frequency)
                           + " Hz is near a simple fraction of the capture rate, so its edges fall on the same "
                             "places within a frame and sharpen the rate little";
    if (const auto better = betterFrequency(*fit.rate, lamp.frequency, flashes))
        sentence += "; " + shortNumber(*better) + " Hz would do better in the same time";
    remark(fit, FitRemark::Kind::NoDither, std::nullopt, 0, sentence + ".");
}

void remarkFactor(ReferenceFit& fit, const ReferenceLamp& lamp, const std::vector<RateEvidence>& others)
{
    for (const RateEvidence& other : others) {
        const double ratio = *fit.rate / other.rate;
        const double large = std::max(ratio, 1 / ratio);
        const std::string claimed = shortNumber(other.rate) + " a second (" + label(other.origin) + ")";
        for (const double simple : {1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0})
            if (std::abs(large / simple - 1) < factorReach) {
                const double really = ratio > 1 ? lamp.frequency / simple : lamp.frequency * simple;
                remark(fit, FitRemark::Kind::Factor, std::nullopt, 0,
                       "The rate is " + shortNumber(simple) + (ratio > 1 ? " times " : " times below ") + claimed
                           + ": either the lamp really blinks at " + shortNumber(really) + " Hz, or "
                           + (ratio > 1 ? "flashes go by unseen, or the claim is for slowed footage."
                                        : "pictures were made up or repeated between real ones."));
                return;
            }
        const double apparent =
            other.rate * lamp.frequency / *fit.rate; // Hz that the lamp seems to blink at, if the claim holds
        const double nearest = std::round(lamp.frequency / other.rate) * other.rate;
        if (large > 1.1 && nearest > 0 && std::abs(std::abs(lamp.frequency - nearest) / apparent - 1) < factorReach) {
            remark(fit, FitRemark::Kind::Factor, std::nullopt, 0,
                   "If " + claimed + " holds, the lamp at " + shortNumber(lamp.frequency)
                       + " Hz blinks too fast to be followed and its beat was taken for it; "
                         "let it blink below "
                       + shortNumber(other.rate / 3) + " Hz.");
            return;
        }
    }
}

void setRate(ReferenceFit& fit, const ReferenceLamp& lamp, const SlopeRange& slopes)
{
    fit.lowest = slopes.lowest * lamp.frequency;
    fit.highest = slopes.highest * lamp.frequency;
    fit.rate = (fit.lowest + fit.highest) / 2;
    fit.fitUncertainty = (fit.highest - fit.lowest) / 2 / *fit.rate / std::sqrt(3.0);
    fit.lampUncertainty = lamp.tolerance / std::sqrt(3.0);
}

void useLine(ReferenceFit& fit, const ReferenceLamp& lamp, const std::vector<EdgeBar>& bars)
{
    const auto line = leastSquares(bars);
    for (std::size_t i = 0; i < bars.size(); ++i) {
        FittedEdge& edge = fit.edges[bars[i].edge];
        edge.used = true;
        edge.residual = line ? line->residuals[i] : 0;
    }
    if (line && line->degreesOfFreedom > 0)
        fit.leastSquares = ReferenceFit::LeastSquares{line->slope * lamp.frequency,
                                                      line->slopeUncertainty * lamp.frequency, line->residualSd};
}

/// Slopes with so many frames more lost or added than show. Where the edges spread slowly over the frame, they leave no
/// trace.
SlopeRange allowingFor(double frames, const SlopeRange& slopes, const std::vector<EdgeBar>& bars)
{
    const double doubt = frames / bars.back().n;
    const bool hides = dithersSlowly((slopes.lowest + slopes.highest) / 2, doubt);
    return hides ? SlopeRange{slopes.lowest - doubt, slopes.highest + doubt} : slopes;
}

/// Frames were lost or added: more may have been, unseen.
void allowForMore(ReferenceFit& fit, const ReferenceLamp& lamp, Repair& repair)
{
    double off = furtherLosses;
    for (const Repair::Break& found : repair.breaks)
        off += std::abs(found.by);
    const SlopeRange wider = allowingFor(off, repair.slopes, repair.bars);
    if (wider.width() == repair.slopes.width())
        return;
    std::string sentence = "Frames were lost or added, and the edges spread too slowly over the frame to show how many "
                           "and where: the uncertainty allows for "
                           + counted(static_cast<std::int64_t>(off), "frame");
    const double framesAFlash = (wider.lowest + wider.highest) / 2;
    if (const auto better = betterFrequency(framesAFlash * lamp.frequency, lamp.frequency, 40))
        sentence += "; film again at " + shortNumber(*better) + " Hz";
    remark(fit, FitRemark::Kind::HiddenLoss, std::nullopt, static_cast<std::int64_t>(off), sentence + ".");
    repair.slopes = wider;
}

/// Why no line passes all bars, and what is left when that is undone; empty with `refused` when nothing explains it.
std::optional<Repair> explained(ReferenceFit& fit, const ReferenceLamp& lamp, const std::vector<EdgeBar>& bars,
                                const Passage& passed)
{
    const auto edgeOf = [&](const EdgeBar& bar) -> const LampEdge& { return fit.edges[bar.edge].edge; };
    Repair repair = repaired(bars);
    const auto line = leastSquares(bars);
    const auto straight = repair.complete ? leastSquares(repair.bars) : std::nullopt;
    const Bend bend = line ? bent(bars, *line) : Bend{};
    // A parabola that leaves no more than dithering does, where a line needs several repairs or stays rougher.
    const bool drifts = bend.residualSd < 0.45
                        && (!straight || repair.breaks.size() + repair.wrong.size() >= 2
                            || bend.residualSd < 0.8 * straight->residualSd);
    if (drifts) {
        useLine(fit, lamp, bars);
        const std::string first = std::to_string(edgeOf(bars.front()).frame.value),
                          last = std::to_string(edgeOf(bars.back()).frame.value);
        remark(fit, FitRemark::Kind::Drift, edgeOf(bars.front()).frame, 0,
               "The rate changes evenly by " + shortNumber(100 * bend.change, "%.2g") + " % from the first edge (frame "
                   + first + ") to the last (frame " + last + ").");
        fit.refused =
            "The camera's rate drifts while it films, so that no one rate holds; let it warm up and film again.";
        return std::nullopt;
    }
    if (!repair.complete) {
        useLine(fit, lamp, bars);
        fit.refused = "No one rate passes through all edges: the line breaks at frame "
                      + std::to_string(edgeOf(bars[passed.held]).frame.value)
                      + " and neither lost frames nor wrong edges explain it; check the edges there.";
        return std::nullopt;
    }
    if (!repair.breaks.empty())
        allowForMore(fit, lamp, repair);
    for (const Repair::Break& found : repair.breaks)
        remarkBreak(fit, found);
    for (const EdgeBar& wrong : repair.wrong)
        remarkWrong(fit, edgeOf(wrong));
    return repair;
}

} // namespace

double ReferenceFit::standardUncertainty() const
{
    return rate ? *rate * std::hypot(fitUncertainty, lampUncertainty) : 0;
}
double ReferenceFit::low95() const { return rate ? *rate - 2 * standardUncertainty() : 0; }
double ReferenceFit::high95() const { return rate ? *rate + 2 * standardUncertainty() : 0; }

std::size_t ReferenceFit::usedEdges() const
{
    return static_cast<std::size_t>(std::ranges::count_if(edges, [](const FittedEdge& e) { return e.used; }));
}

bool ReferenceFit::has(FitRemark::Kind kind) const
{
    return std::ranges::any_of(remarks, [&](const FitRemark& r) { return r.kind == kind; });
}

RateEvidence ReferenceFit::evidence(const ReferenceLamp& lamp) const
{
    assert(rate);
    RateEvidence evidence;
    evidence.origin = Origin::Reference;
    evidence.rate = *rate;
    evidence.relativeUncertainty = std::hypot(fitUncertainty, lampUncertainty);
    evidence.note = "lamp of " + shortNumber(lamp.frequency, "%.8g") + " Hz within \u00b1"
                    + shortNumber(lamp.tolerance * 1e6, "%.3g") + " ppm, "
                    + counted(static_cast<std::int64_t>(usedEdges()), "edge");
    return evidence;
}

ReferenceFit fitReference(const std::vector<LampEdge>& edges, const ReferenceLamp& lamp, const FitOptions& options)
{
    assert(lamp.frequency > 0 && std::isfinite(lamp.frequency) && lamp.tolerance >= 0 && lamp.tolerance < 1
           && options.framesPerPicture >= 1);
    ReferenceFit fit;
    for (const LampEdge& edge : edges)
        fit.edges.push_back({edge, 0, 0, false});
    const Flashes flashes(edges, options);
    for (const EdgeBar& bar : flashes.bars())
        fit.edges[bar.edge].flash = static_cast<std::int64_t>(bar.n);
    const auto count = [&](int group) {
        return std::ranges::count_if(flashes.bars(), [&](const EdgeBar& b) { return b.group == group; });
    };
    if (count(0) < 2 && count(1) < 2) {
        fit.refused = "The lamp has to light or go out at least twice to show a rate; film longer.";
        return fit;
    }
    if (static_cast<double>(flashes.unplaced().size()) > mostUnplaced * static_cast<double>(edges.size())) {
        fit.refused = "The light doesn't blink evenly: " + std::to_string(flashes.unplaced().size()) + " of "
                      + std::to_string(edges.size()) + " edges are at no whole flash; check the region and the edges.";
        return fit;
    }
    for (const std::size_t wrong : flashes.unplaced())
        remarkWrong(fit, edges[wrong]);

    std::vector<EdgeBar> bars = flashes.bars();
    Passage passed = passage(bars);
    if (bars.size() >= 2 * fewestForCheck && options.framesPerPicture == 1 && !options.allPicturesAdd)
        if (const int modulus = coarseModulus(bars); modulus > 1) {
            // Blends of neighbours show a change a frame early, too.
            const std::vector<EdgeBar> wide = widened(bars, modulus - 1, modulus % 2 == 0 ? 1 : 0);
            if (const Passage again = passage(wide); again.isWhole(wide)) {
                remarkCoarse(fit, modulus, passed.isWhole(bars));
                bars = wide;
                passed = again;
            }
        }
    SlopeRange slopes = passed.slopes;
    const bool repaired = !passed.isWhole(bars);
    if (repaired) {
        const auto repair = explained(fit, lamp, bars, passed);
        if (!repair)
            return fit;
        bars = repair->bars;
        slopes = repair->slopes;
    }
    if (!(slopes.highest < 1e300) || !(slopes.lowest > 0)) {
        fit.refused = "The edges leave the rate open; film more flashes.";
        return fit;
    }
    useLine(fit, lamp, bars);
    const bool coarse = fit.has(FitRemark::Kind::CoarseFrames);
    if (const double rough = roughness(fit, bars, options.framesPerPicture);
        !coarse && rough > roughest * options.framesPerPicture) {
        const std::string strays = "The edges stray " + shortNumber(rough, "%.2f")
                                   + " camera frames from an even rhythm, where whole frames make it 0.29";
        const std::vector<EdgeBar> wide = widened(bars, 1, 1);
        const Passage again = passage(wide);
        if (repaired || rough > 2 * roughest * options.framesPerPicture || !again.isWhole(wide)) {
            fit.refused = strays
                          + "; frames may be blends or repeats of others, so look at the pictures around the edges and "
                            "film at another lamp frequency.";
            return fit;
        }
        remark(fit, FitRemark::Kind::Rough, std::nullopt, 0,
               strays
                   + ": frames may be blends of others or lost, and the uncertainty allows for one frame either way.");
        bars = wide;
        slopes = allowingFor(furtherLosses, again.slopes, wide);
    }
    if (bars.size() < fewestForCheck) {
        remark(fit, FitRemark::Kind::FewEdges, std::nullopt, std::ssize(bars),
               "With " + std::to_string(bars.size())
                   + " edges a lost frame or a wrong edge can't be seen; film more flashes.");
    } else {
        // Equal steps show that none was lost between them. Else one fault is always allowed for: it costs a few per
        // cent where phases dither.
        const SlopeRange wider = stepsAreEqual(bars) ? slopes : widenedByOneFault(bars, slopes);
        if (wider.width() > tellingWidening * slopes.width() && !fit.has(FitRemark::Kind::HiddenLoss))
            remark(fit, FitRemark::Kind::HiddenLoss, std::nullopt, 1,
                   "One lost or repeated frame would go unnoticed among these edges; the uncertainty allows for it.");
        slopes = wider;
    }
    setRate(fit, lamp, slopes);
    std::int64_t most = 0;
    for (const EdgeBar& bar : bars)
        most = std::max(most, static_cast<std::int64_t>(bar.n) + 1);
    remarkDither(fit, lamp, most);
    remarkFactor(fit, lamp, options.otherEvidence);
    return fit;
}

ReferenceFit fitTwoEvents(FrameCount frames, Seconds seconds, double tolerance)
{
    assert(frames.value >= 1 && seconds.count() > 0 && std::isfinite(seconds.count()) && tolerance >= 0
           && tolerance < 1);
    ReferenceFit fit;
    const auto n = static_cast<double>(frames.value);
    setRate(fit, {1 / seconds.count(), tolerance}, {n - 1, n + 1});
    remark(fit, FitRemark::Kind::FewEdges, std::nullopt, 2,
           "Two events can't show a lost frame or a wrong mark between them; a blinking lamp can.");
    return fit;
}

} // namespace timing
