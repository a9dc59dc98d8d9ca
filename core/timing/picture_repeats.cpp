#include "core/timing/picture_repeats.h"
#include "core/timing/short_number.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace timing {
namespace {

constexpr double leastStray = 0.15; ///< pictures of their own must stray from an even way for blends to stand out
constexpr double leastBlink = 8;    ///< levels between lit and dark; less is no lamp that could be told from noise
constexpr std::size_t fewestEdges = 6;
constexpr double beatReach = 0.3; ///< relative

/// How far level k lies from the middle of its neighbours.
double offMiddle(const std::vector<double>& levels, std::size_t k)
{
    return std::abs(levels[k] - (levels[k - 1] + levels[k + 1]) / 2);
}

/// The one place of a period that all changes of a light fall on; 1 where there is none, or where the light's own
/// rhythm leaves one place too. `steps`: frames from each change to the next of its kind.
int periodOf(const std::vector<std::int64_t>& changes, const std::vector<std::int64_t>& steps)
{
    if (changes.size() < 2 * fewestEdges || steps.empty())
        return 1;
    const auto [low, high] = std::ranges::minmax_element(steps);
    for (int period = 5; period >= 2; --period) {
        // Steps that vary by a whole period do so because no frame between could show the change.
        const bool onePlace =
            std::ranges::all_of(changes, [&](std::int64_t k) { return k % period == changes.front() % period; });
        if (onePlace && *high - *low >= period)
            return period;
    }
    return 1;
}

} // namespace

int PictureRepeats::framesPerPicture() const
{
    // Places of empty pictures within the period aren't told apart here: all of them may lie in one row.
    return verdict == Verdict::Periodic || verdict == Verdict::Blended ? period - adding + 1 : 1;
}

std::string PictureRepeats::sentence(std::optional<double> rate) const
{
    const std::string really = rate ? shortNumber(*rate * adding / period) + " a second"
                                    : std::to_string(adding) + "/" + std::to_string(period) + " of its rate";
    switch (verdict) {
    case Verdict::CantTell:
        return "Whether every camera frame shows something new can't be told: too little moves, or compression took "
               "the noise that would show it.";
    case Verdict::AllAdd: return "Where something moves, every camera frame shows something new.";
    case Verdict::Periodic:
        return "Of every " + std::to_string(period) + " camera frames only " + std::to_string(adding)
               + (adding == 1 ? " shows" : " show") + " something new: this mode may really capture at " + really + ".";
    case Verdict::Blended:
        return "One of every " + std::to_string(period)
               + " camera frames is a blend of its neighbours: this mode may really capture at " + really + ".";
    case Verdict::Irregular:
        return std::to_string(repeats.size()) + " of " + std::to_string(judged)
               + " camera frames that can be judged repeat the one before, the first of them frame "
               + std::to_string(repeats.front().value) + ".";
    }
    return {};
}

PictureRepeats findRepeatsByBlinking(const std::vector<double>& levels, double flashesAFrame)
{
    PictureRepeats result;
    if (levels.size() <= fewestJudged || !std::ranges::all_of(levels, [](double l) { return std::isfinite(l); }))
        return result;
    std::vector<double> sorted = levels;
    std::sort(sorted.begin(), sorted.end());
    const double low = sorted[sorted.size() / 20], high = sorted[sorted.size() - 1 - sorted.size() / 20];
    if (high - low < leastBlink)
        return result;
    std::vector<std::int64_t> changes, steps;
    for (std::size_t k = 1; k < levels.size(); ++k)
        if ((levels[k] > (low + high) / 2) != (levels[k - 1] > (low + high) / 2))
            changes.push_back(static_cast<std::int64_t>(k));
    for (std::size_t i = 2; i < changes.size(); ++i)
        steps.push_back(changes[i] - changes[i - 2]);
    const double share = static_cast<double>(changes.size()) / static_cast<double>(levels.size() - 1);
    if (share > 0.8 * 2 * flashesAFrame) {
        result.verdict = PictureRepeats::Verdict::AllAdd;
        result.judged = std::ssize(levels);
        return result;
    }
    // What is left of the to and fro is the beat of the lamp with the real rate.
    if (const int period = periodOf(changes, steps); period > 1)
        result = {PictureRepeats::Verdict::Periodic, period, 1, {}, std::ssize(levels)};
    else if (changes.size() >= fewestEdges && std::abs(share / std::abs(1 - 2 * flashesAFrame) - 1) < beatReach)
        result = {PictureRepeats::Verdict::Blended, 2, 1, {}, std::ssize(levels)};
    return result;
}

PictureRepeats findRepeatsAtEdges(const std::vector<double>& levels, const LampTrace& lamp)
{
    PictureRepeats result;
    if (lamp.edges.size() < 2 * fewestEdges)
        return result;
    // Blends: odd or even frames next to edges are the mean of their neighbours, the others are not.
    std::array<double, 2> stray{}, count{};
    for (const LampEdge& edge : lamp.edges)
        for (const std::int64_t k : {edge.frame.value - 1, edge.frame.value}) {
            if (k < 1 || k + 1 >= std::ssize(levels))
                continue;
            const double off = offMiddle(levels, static_cast<std::size_t>(k)) / (lamp.lit - lamp.dark);
            stray[k % 2] += std::isfinite(off) ? off : 0;
            count[k % 2] += 1;
        }
    const double nearMiddle = 0.02 + 2 * lamp.noise / (lamp.lit - lamp.dark);
    for (const std::size_t blend : {std::size_t{0}, std::size_t{1}}) {
        if (count[blend] < fewestEdges || count[1 - blend] < fewestEdges || stray[blend] >= nearMiddle * count[blend])
            continue;
        if (stray[1 - blend] > std::max(2 * nearMiddle, leastStray) * count[1 - blend])
            return {PictureRepeats::Verdict::Blended, 2, 1, {}, static_cast<std::int64_t>(count[0] + count[1])};
    }
    std::vector<std::int64_t> changes, steps;
    std::array<std::optional<std::int64_t>, 2> last;
    for (const LampEdge& edge : lamp.edges) {
        auto& before = last[edge.kind == EdgeKind::On ? 0 : 1];
        if (before)
            steps.push_back(edge.frame.value - *before);
        before = edge.frame.value;
        changes.push_back(edge.frame.value);
    }
    if (const int period = periodOf(changes, steps); period > 1)
        return {PictureRepeats::Verdict::Periodic, period, 1, {}, std::ssize(changes)};
    return result;
}

} // namespace timing
