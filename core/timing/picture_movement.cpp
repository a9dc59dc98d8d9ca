#include "core/timing/picture_repeats.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

namespace timing {
namespace {

// What moves.
constexpr int side = 12;              ///< frames before and after, over which a cell has to move
constexpr float leastMovement = 1.2f; ///< levels that an adding frame changes a moving cell by; codecs leave less out
constexpr float aboveNoise = 3;       ///< and so many times what quiet cells change by
constexpr int fewestMoving = 2;       ///< cells
constexpr float stillBelow = 0.25f, addsAbove = 0.6f; ///< of a moving cell's usual change
constexpr float addingCells = 0.1f; ///< share of the moving cells that has to go on: a screen may fill most of them
constexpr float addingEverywhere = 0.5f; ///< the same where all of the picture moves
// The sensor's noise, which is new in every frame that was captured.
constexpr std::size_t block = 64;      ///< frames over which cells are quiet
constexpr std::size_t fewestQuiet = 8; ///< cells
constexpr float leastNoise = 0.04f;    ///< levels, mean over quiet cells; less is what codecs leave here and there
constexpr float mostLight = 0.5f,
                mostCommonLight =
                    0.12f; ///< of a cell's change, of all quiet cells' together: more is the room's light, no noise
constexpr float mostCellShift =
    1.5f; ///< of a cell's usual change, that its mean may shift by over a block; more is something that moves slowly
constexpr std::size_t fewestAlike = 4;                  ///< frames stored alike
constexpr double repeatedBelow = 0.7, freshAbove = 0.8; ///< of the noise of frames that add
constexpr double mostUnmeasured = 0.7;                  ///< share of the frames that stand still
constexpr double mostAsleep = 0.1;     ///< share of cells that stay as they were, sample for sample, in frames that add
constexpr double mostUnsettled = 0.01; ///< share of the frames in which something moves, that may stay open
// Patterns.
constexpr double mostlyShare = 0.9, hardlyShare = 0.1;
constexpr double mostIrregular = 0.1; ///< more is a pattern that couldn't be made out
constexpr std::int64_t fewestInRhythm = 5;
// Blends.
constexpr double likeNeighbour = 0.65;              ///< the change to and from a blend is the same
constexpr double seenBend = 0.2;                    ///< of the change: less, and a blend wouldn't stand out
constexpr double blendBelow = 0.5, evenAbove = 0.9; ///< bend of every second picture against that of the others
constexpr float strongMovement = 5;                 ///< levels; and
constexpr float strongBend =
    2.5f; ///< levels: what codecs do wrong to movement bends a blend by half of that, unless they are coarse
constexpr std::int64_t fewestBends = 12;

enum class Adding { Unknown, Adds, Still, Unclear };

float quantile(std::vector<float> values, double share)
{
    if (values.empty())
        return 0;
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::ranges::nth_element(values, at);
    return *at;
}

class Film {
public:
    explicit Film(const std::vector<FrameChange>& changes)
        : m_changes(changes), m_adding(changes.size(), Adding::Unknown), m_noise(changes.size())
    {
        for (const FrameChange& change : changes)
            if (change.known) {
                m_cells = change.cells.size();
                m_alone = m_alone && change.coding == Coding::Alone;
                ++m_known;
            }
    }

    PictureRepeats judge();

private:
    std::size_t size() const { return m_changes.size(); }
    float change(std::size_t k, std::size_t cell) const { return m_changes[k].cells[cell].change; }
    /// Frames that a codec stores anew change without anything having moved, and those after them grow better.
    bool fresh(std::size_t k) const
    {
        return !m_alone
               && (m_changes[k].coding == Coding::Alone || (k > 0 && m_changes[k - 1].coding == Coding::Alone));
    }
    bool counts(std::size_t k) const { return m_changes[k].known && !fresh(k); }
    int storedLike(std::size_t k) const
    {
        const auto coding = [&](std::size_t n) { return n < size() ? static_cast<int>(m_changes[n].coding) : 0; };
        return (coding(k - 1) * 3 + coding(k)) * 3 + coding(k + 1);
    }

    std::optional<float> usual(std::size_t k, std::size_t cell) const;
    float quietLevel() const;
    void look(float least, float adding);
    std::int64_t count(Adding what) const { return std::ranges::count(m_adding, what); }
    bool isQuiet(std::size_t from, std::size_t to, std::size_t cell) const;
    void measureNoise();
    bool sparklesEverywhere() const;
    enum class Noise { Unknown, AllFresh, Tells };
    Noise noiseOfStills();
    std::map<int, std::array<std::vector<float>, 2>> bent(float least, bool inLevels) const;
    enum class Bends { Unseen, Even, Blended };
    Bends bends() const;
    double unsettled() const;
    bool inRhythm() const;
    PictureRepeats pattern() const;

    const std::vector<FrameChange>& m_changes;
    std::vector<Adding> m_adding;
    std::vector<std::optional<double>> m_noise; ///< of that of adding frames stored alike nearby
    std::vector<std::size_t> m_repeated;
    std::size_t m_cells = 0;
    std::int64_t m_known = 0;
    bool m_alone = true; ///< every picture is stored by itself: what differs, differed before the codec
    float m_least = leastMovement;
};

/// The change by which this cell moves on both sides of frame k; empty where it doesn't.
std::optional<float> Film::usual(std::size_t k, std::size_t cell) const
{
    const auto second = [&](std::size_t from, std::size_t to) {
        float first = 0, next = 0;
        for (std::size_t n = from; n < to; ++n) {
            if (!counts(n))
                continue;
            const float c = change(n, cell);
            if (c > first)
                next = std::exchange(first, c);
            else if (c > next)
                next = c;
        }
        return next;
    };
    const float least = std::min(second(k - side, k), second(k + 1, k + 1 + side));
    return least >= m_least ? std::optional(least) : std::nullopt;
}

/// What many cells stay below in most frames.
float Film::quietLevel() const
{
    std::vector<float> levels;
    for (std::size_t cell = 0; cell < m_cells; ++cell) {
        std::vector<float> own;
        for (std::size_t k = 1; k < size(); ++k)
            if (counts(k))
                own.push_back(change(k, cell));
        levels.push_back(quantile(std::move(own), 0.9));
    }
    return quantile(std::move(levels), 0.4);
}

void Film::look(float least, float share)
{
    m_least = least;
    std::ranges::fill(m_adding, Adding::Unknown);
    for (std::size_t k = side + 1; k + side + 1 < size(); ++k) {
        if (!counts(k))
            continue;
        int moving = 0, adding = 0;
        float all = 0, left = 0;
        for (std::size_t cell = 0; cell < m_cells; ++cell)
            if (const auto own = usual(k, cell)) {
                ++moving;
                adding += change(k, cell) >= addsAbove * *own;
                all += *own;
                left += change(k, cell);
            }
        if (moving >= fewestMoving)
            m_adding[k] = adding > 0 && static_cast<float>(adding) >= share * static_cast<float>(moving) ? Adding::Adds
                          : adding == 0 && left <= stillBelow * all                                      ? Adding::Still
                                                                    : Adding::Unclear;
    }
}

bool Film::isQuiet(std::size_t from, std::size_t to, std::size_t cell) const
{
    float sum = 0, light = 0, shift = 0, lowest = 0, highest = 0;
    std::size_t frames = 0;
    for (std::size_t k = from; k < to; ++k) {
        if (!counts(k))
            continue;
        const CellChange& c = m_changes[k].cells[cell];
        if (c.change > 0.7f * m_least)
            return false;
        ++frames;
        sum += c.change;
        light += std::abs(c.light);
        shift += c.light;
        lowest = std::min(lowest, shift);
        highest = std::max(highest, shift);
    }
    return frames > 0 && sum > 0 && light < mostLight * sum
           && highest - lowest < mostCellShift * sum / static_cast<float>(frames) + 0.1f;
}

void Film::measureNoise()
{
    for (std::size_t from = 1; from + block / 2 < size(); from += block) {
        const std::size_t to = from + 3 * block / 2 >= size() ? size() : from + block;
        std::vector<std::size_t> quiet;
        for (std::size_t cell = 0; cell < m_cells; ++cell)
            if (isQuiet(from, to, cell))
                quiet.push_back(cell);
        if (quiet.size() < fewestQuiet)
            continue;
        struct Sparkle {
            float change = 0, light = 0;
        };
        std::map<std::size_t, Sparkle> noise;
        std::map<int, std::vector<float>> adding;
        for (std::size_t k = from; k < to; ++k) {
            if (!counts(k) || m_adding[k] == Adding::Unknown)
                continue;
            Sparkle mean;
            for (const std::size_t cell : quiet) {
                mean.change += change(k, cell) / static_cast<float>(quiet.size());
                mean.light += m_changes[k].cells[cell].light / static_cast<float>(quiet.size());
            }
            noise[k] = mean;
            if (m_adding[k] == Adding::Adds && std::abs(mean.light) < mostCommonLight * mean.change)
                adding[storedLike(k)].push_back(mean.change);
        }
        for (const auto& [k, mean] : noise) {
            const auto alike = adding.find(storedLike(k));
            if (alike == adding.end() || alike->second.size() < fewestAlike)
                continue;
            const float usualChange = quantile(alike->second, 0.5);
            if (usualChange >= leastNoise
                && std::abs(mean.light) < mostCommonLight * std::max(mean.change, usualChange))
                m_noise[k] = static_cast<double>(mean.change / usualChange);
        }
    }
}

/// Whether hardly any cell stays as it was in frames that add something.
bool Film::sparklesEverywhere() const
{
    std::size_t cells = 0, same = 0;
    for (std::size_t k = 1; k < size(); ++k)
        if (m_adding[k] == Adding::Adds) {
            cells += m_cells;
            same += static_cast<std::size_t>(
                std::ranges::count_if(m_changes[k].cells, [](const CellChange& cell) { return cell.change == 0; }));
        }
    return static_cast<double>(same) < mostAsleep * static_cast<double>(cells);
}

/// Whether noise tells repeated pictures from those in which nothing moved; if so, the repeated ones are noted.
Film::Noise Film::noiseOfStills()
{
    m_repeated.clear();
    if (m_alone && sparklesEverywhere()) {
        // Of pictures stored by themselves two are the same only if they were the same before.
        for (std::size_t k = 1; k < size(); ++k)
            if (m_adding[k] == Adding::Still && m_changes[k].identical)
                m_repeated.push_back(k);
        if (std::ssize(m_repeated) == count(Adding::Still))
            return Noise::Tells;
    }
    std::vector<float> adds;
    for (std::size_t k = 1; k < size(); ++k)
        if (m_adding[k] == Adding::Adds && m_noise[k])
            adds.push_back(static_cast<float>(*m_noise[k]));
    m_repeated.clear();
    if (adds.size() < static_cast<std::size_t>(fewestJudged) / 2)
        return Noise::Unknown;
    const double below = std::min(repeatedBelow, 0.85 * static_cast<double>(quantile(adds, 0.03)));
    std::int64_t fresh = 0, unclear = 0, unmeasured = 0;
    for (std::size_t k = 1; k < size(); ++k)
        if (m_adding[k] == Adding::Still) {
            if (!m_noise[k])
                ++unmeasured;
            else if (*m_noise[k] >= below && *m_noise[k] <= freshAbove)
                ++unclear;
            else if (*m_noise[k] > freshAbove)
                ++fresh;
            else
                m_repeated.push_back(k);
        }
    const auto known = static_cast<double>(std::ssize(m_repeated) + fresh + unclear);
    if (known == 0 || static_cast<double>(unmeasured) > mostUnmeasured * (known + static_cast<double>(unmeasured)))
        return Noise::Unknown;
    // A codec that stores a picture again grows better at it, which looks like noise: that clears pictures stored by
    // themselves only.
    if (m_alone && unmeasured == 0 && m_repeated.empty() && static_cast<double>(fresh) >= 0.95 * known)
        return Noise::AllFresh;
    if (static_cast<double>(m_repeated.size()) >= 0.9 * known && static_cast<double>(fresh) <= 0.05 * known)
        return Noise::Tells;
    return Noise::Unknown;
}

/// How far pictures lie from the middle of their neighbours, at even and at odd frames, in cells that change by `least`
/// to them and from them. By how pictures are stored; `inLevels`: instead of as a part of the change.
std::map<int, std::array<std::vector<float>, 2>> Film::bent(float least, bool inLevels) const
{
    std::map<int, std::array<std::vector<float>, 2>> alike;
    for (std::size_t k = 1; k + 1 < size(); ++k) {
        if (m_adding[k] != Adding::Adds || !counts(k + 1) || !m_changes[k + 1].bendKnown)
            continue;
        float moved = 0, bend = 0;
        int cells = 0;
        for (std::size_t cell = 0; cell < m_cells; ++cell) {
            const float before = change(k, cell), after = change(k + 1, cell);
            if (std::min(before, after) < least
                || std::min(before, after) < static_cast<float>(likeNeighbour) * std::max(before, after))
                continue;
            moved += (before + after) / 2;
            bend += m_changes[k + 1].cells[cell].bend;
            ++cells;
        }
        if (cells > 0)
            alike[storedLike(k)][k % 2].push_back(inLevels ? bend / static_cast<float>(cells) : bend / moved);
    }
    return alike;
}

/// Every second picture lies in the middle of its neighbours if it is a blend. Codecs blend too, so that only pictures
/// stored alike tell; and where what moves is smooth, or spoilt by the codec, a picture of its own looks like a blend.
Film::Bends Film::bends() const
{
    const auto together = [](const std::map<int, std::array<std::vector<float>, 2>>& alike) {
        std::array<std::vector<float>, 2> all;
        for (const auto& [coding, both] : alike)
            for (const std::size_t place : {std::size_t{0}, std::size_t{1}})
                all[place].insert(all[place].end(), both[place].begin(), both[place].end());
        return all;
    };
    const auto enough = [](const std::array<std::vector<float>, 2>& both) {
        return std::min(std::ssize(both[0]), std::ssize(both[1])) >= fewestBends;
    };
    const auto typical = [](const std::array<std::vector<float>, 2>& both) {
        return std::pair(quantile(both[0], 0.5), quantile(both[1], 0.5));
    };

    if (const auto strong = together(bent(std::max(m_least, strongMovement), true)); enough(strong)) {
        const auto [even, odd] = typical(strong);
        if (std::min(even, odd) >= std::max(strongBend, static_cast<float>(evenAbove) * std::max(even, odd)))
            return Bends::Even;
    }
    const auto alike = bent(m_least, false);
    const auto all = together(alike);
    if (!enough(all))
        return Bends::Unseen;
    const auto [even, odd] = typical(all);
    if (std::max(even, odd) < seenBend)
        return Bends::Unseen;
    const std::size_t blend = even < odd ? 0 : 1;
    bool told = false;
    for (const auto& kind : alike) {
        const auto& both = kind.second; // one of each parity
        if (!enough(both))
            continue;
        const auto [evenAlike, oddAlike] = typical(both);
        const double divide = std::sqrt(static_cast<double>(evenAlike) * static_cast<double>(oddAlike));
        const auto share = [&](std::size_t place, bool below) {
            const auto held =
                std::ranges::count_if(both[place], [&](float b) { return (static_cast<double>(b) < divide) == below; });
            return static_cast<double>(held) / static_cast<double>(both[place].size());
        };
        if ((evenAlike < oddAlike) != (even < odd)
            || std::min(evenAlike, oddAlike) > blendBelow * std::max(evenAlike, oddAlike)
            || share(blend, true) < mostlyShare || share(1 - blend, false) < mostlyShare)
            return Bends::Unseen;
        told = true;
    }
    return told ? Bends::Blended : Bends::Unseen;
}

/// Frames of which neither movement nor noise tells whether they add something.
double Film::unsettled() const
{
    double frames = 0;
    for (std::size_t k = 0; k < size(); ++k)
        frames += m_adding[k] == Adding::Unclear && !(m_alone && m_noise[k] && *m_noise[k] > freshAbove) ? 1 : 0;
    return frames;
}

/// Whether nearly all that repeat lie on one place of a period: then more of them weren't seen.
bool Film::inRhythm() const
{
    if (std::ssize(m_repeated) < fewestInRhythm)
        return false;
    for (std::size_t period = 2; period <= 5; ++period) {
        std::vector<double> places(period);
        for (const std::size_t k : m_repeated)
            ++places[k % period];
        if (*std::ranges::max_element(places) >= mostlyShare * static_cast<double>(m_repeated.size()))
            return true;
    }
    return false;
}

/// From what was noted as repeated.
PictureRepeats Film::pattern() const
{
    PictureRepeats result;
    result.judged = count(Adding::Adds) + std::ssize(m_repeated);
    for (const std::size_t k : m_repeated)
        result.repeats.push_back({static_cast<std::int64_t>(k)});
    for (int period = 2; period <= 5; ++period) {
        std::vector<double> judged(static_cast<std::size_t>(period)), repeated(judged);
        for (std::size_t k = 0; k < size(); ++k)
            if (m_adding[k] == Adding::Adds || m_adding[k] == Adding::Unclear
                || (m_adding[k] == Adding::Still && (m_alone || m_noise[k]))) {
                ++judged[k % judged.size()];
                repeated[k % judged.size()] += std::ranges::binary_search(m_repeated, k) ? 1 : 0;
            }
        int with = 0, without = 0;
        for (std::size_t i = 0; i < judged.size(); ++i) {
            without += judged[i] >= 4 && repeated[i] >= mostlyShare * judged[i];
            with += judged[i] >= 4 && repeated[i] <= hardlyShare * judged[i];
        }
        if (without < 1 || with < 1 || without + with != period)
            continue;
        result.verdict = PictureRepeats::Verdict::Periodic;
        result.period = period;
        result.adding = with;
        return result;
    }
    if (inRhythm())
        return {};
    if (static_cast<double>(m_repeated.size()) > mostIrregular * static_cast<double>(result.judged)
        || unsettled()
               > std::max(static_cast<double>(m_repeated.size()), mostUnsettled * static_cast<double>(result.judged)))
        return {};
    result.verdict = m_repeated.empty() ? PictureRepeats::Verdict::AllAdd : PictureRepeats::Verdict::Irregular;
    return result;
}

PictureRepeats Film::judge()
{
    const auto judged = [&] { return count(Adding::Adds) + count(Adding::Still); };
    if (m_cells == 0 || m_known < fewestJudged + 2 * side)
        return {};
    look(std::max(leastMovement, aboveNoise * quietLevel()), addingCells);
    if (judged() < fewestJudged)
        look(leastMovement, addingEverywhere); // all of the picture moves, or it is noise that all of it shows
    if (judged() < fewestJudged)
        return {};
    measureNoise();
    if (count(Adding::Still) > 0) {
        switch (noiseOfStills()) {
        case Noise::Unknown: return {};
        case Noise::AllFresh: break;
        case Noise::Tells: return pattern();
        }
    }
    if (unsettled() > mostUnsettled * static_cast<double>(judged()))
        return {};
    switch (bends()) {
    case Bends::Unseen: return {};
    case Bends::Blended: return {PictureRepeats::Verdict::Blended, 2, 1, {}, judged()};
    case Bends::Even: break;
    }
    return pattern();
}

} // namespace

PictureRepeats findRepeats(const std::vector<FrameChange>& changes) { return Film(changes).judge(); }

} // namespace timing
