#include "coverage.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

/// Writes COVERAGE.md, all of it, to the standard output:
///   coverage_table [sessions [part]] > tests/core/stats/COVERAGE.md     1000 campaigns a case unless said otherwise
/// A part is differences, own, effort, grid or means: they can run beside each other, and one after the other they are
/// the page.
namespace {

/// As printf(), text in lines of at most 120 characters; rows of tables stay whole.
template <class... Values> void say(const char* format, Values... values)
{
    char text[4096];
    if constexpr (sizeof...(values) == 0)
        std::snprintf(text, sizeof text, format, 0); // one value too many does no harm, and compilers ask for one
    else
        std::snprintf(text, sizeof text, format, values...);
    std::string line;
    int width = 0; // characters of UTF-8
    for (const char* c = text; *c; ++c) {
        line += *c;
        width += (static_cast<unsigned char>(*c) & 0xC0) != 0x80;
        if (width > 120 && line.front() != '|') {
            const std::size_t space = line.rfind(' ');
            std::printf("%s\n", line.substr(0, space).c_str());
            line.erase(0, space + 1);
            width = static_cast<int>(line.size());
        }
        if (*c == '\n') {
            std::fputs(line.c_str(), stdout);
            line.clear();
            width = 0;
        }
    }
    std::fputs(line.c_str(), stdout);
}

using coverage::FamilyCase;
using coverage::Ruled;
using coverage::Shape;

constexpr std::uint64_t seedOfDifferences = 20'280'301, seedOfAgain = 20'440'101, seedOfEffort = 20'280'401,
                        seedOfMeans = 20'270'501, seedOfOwn = 20'430'101, seedOfGrid = 20'410'101,
                        seedOfGridEffort = 20'420'101;

constexpr double leastHeld = 0.94; ///< asked of each case

FamilyCase with(FamilyCase c, double runShift, double oneShift, double blockShift)
{
    c.runShiftMs = runShift;
    c.oneShiftMs = oneShift;
    c.blockShiftMs = blockShift;
    return c;
}

/// One shape of scatter, 4 runs or more: what is asked to hold.
std::vector<FamilyCase> oneModeCases()
{
    std::vector<FamilyCase> cases;
    for (const FamilyCase& bench : {FamilyCase{480, 144, 4, 4, 4}, FamilyCase{240, 60, 3, 6, 2},
                                    FamilyCase{1000, 144, 6, 6, 2}, FamilyCase{1000, 60, 8, 4, 8}})
        for (const double block : {0.0, 2.0})
            for (const auto& [shift, one] : {std::pair(0.0, 0.0), std::pair(1.0, 1.0), std::pair(2.0, 2.0),
                                             std::pair(0.5, 3.0), std::pair(3.0, 0.5)})
                cases.push_back(with(bench, shift, one, block));
    const FamilyCase bench{480, 144, 4, 5, 4};
    for (const Shape shape : {Shape::Smooth, Shape::Skewed}) {
        FamilyCase c = with(bench, 1, 1, 2);
        c.shape = shape;
        c.unbalanced = true;
        cases.push_back(c);
        cases.push_back(with(c, 0.5, 3, 0));
        c.unbalanced = false;
        c.ownClocks = true;
        cases.push_back(c);
        c.clockU = 0.02; // 1 ms of a delay of 50 ms
        cases.push_back(c);
        cases.push_back(with(c, 0.5, 3, 2));
    }
    FamilyCase skewed = with(bench, 1, 1, 0);
    skewed.shape = Shape::Skewed;
    cases.push_back(skewed);
    for (const double block : {0.0, 2.0}) { // one stretch after the other: what moves blocks is run scatter then
        FamilyCase c = with(bench, 1, 1, block);
        c.interleaved = false;
        cases.push_back(c);
        cases.push_back(with(c, 0.5, 3, block));
    }
    return cases;
}

/// Runs that shift so much beside many trials that nothing but the rule for runs stands between the intervals and the
/// truth; no figures of width are read off these.
std::vector<FamilyCase> harsherCases()
{
    std::vector<FamilyCase> cases;
    for (const FamilyCase& bench : {FamilyCase{480, 144, 3, 4, 8}, FamilyCase{480, 144, 4, 4, 12},
                                    FamilyCase{1000, 144, 6, 4, 20}, FamilyCase{480, 144, 8, 8, 4}}) {
        cases.push_back(with(bench, 3, 3, 0));
        cases.push_back(with(bench, 3, 3, 2));
        for (const bool oddBaseline : {false, true})
            for (const auto& [shift, one] : {std::pair(0.5, 3.0), std::pair(3.0, 0.5)}) {
                cases.push_back(with(bench, shift, one, 0));
                cases.back().oddBaseline = oddBaseline;
            }
    }
    return cases;
}

/// What the goals of width and trials were stated for: every combination of these, of which each 71st is taken. 71 is
/// prime, so all values of each take their turn.
std::vector<FamilyCase> gridCases()
{
    constexpr double cameras[]{240, 480, 1000}, refreshes[]{60, 144};
    constexpr int configurations[]{3, 4, 5, 6, 7, 8}, runs[]{4, 6}, trialsPerRun[]{1, 2, 4, 8, 20};
    constexpr std::pair<double, double> runShifts[]{{0, 0}, {1, 1}, {2, 2}, {0.5, 3}, {3, 0.5}};
    constexpr Shape shapes[]{Shape::Smooth, Shape::Skewed};
    std::vector<FamilyCase> cases;
    for (std::size_t place = 0;; place += 71) {
        std::size_t rest = place;
        const auto pick = [&](const auto& values) {
            const std::size_t at = rest % std::size(values);
            rest /= std::size(values);
            return values[at];
        };
        const auto [shift, one] = pick(runShifts);
        FamilyCase c = with({}, shift, one, 0);
        c.camera = pick(cameras);
        c.refresh = pick(refreshes);
        c.trialsPerRun = pick(trialsPerRun);
        c.configurations = pick(configurations);
        c.shape = pick(shapes);
        c.runs = pick(runs);
        if (rest > 0)
            return cases;
        cases.push_back(c);
    }
}

std::string number(double value)
{
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

std::string shifts(const FamilyCase& c)
{
    if (c.runShiftMs == c.oneShiftMs)
        return c.runShiftMs == 0 ? "none" : number(c.runShiftMs) + " ms";
    return number(c.runShiftMs) + ", one " + number(c.oneShiftMs) + " ms";
}

std::string besides(const FamilyCase& c)
{
    std::string words = c.shape == Shape::Smooth ? "" : coverage::name(c.shape);
    const auto add = [&](bool holds, const std::string& more) {
        if (holds)
            words += (words.empty() ? "" : ", ") + more;
    };
    add(c.unbalanced, "unbalanced");
    add(c.ownClocks, "own clocks of " + number(100 * c.clockU) + " %");
    add(!c.interleaved, "not interleaved");
    add(c.oddBaseline, "the baseline is the one");
    return words;
}

double ratio(const Ruled& rules) { return rules.now / rules.before; }
double knownRatio(const Ruled& rules) { return rules.known / rules.before; }

std::string twoDecimals(double value)
{
    char text[32];
    std::snprintf(text, sizeof text, "%.2f", value);
    return text;
}

const char* met(bool reached) { return reached ? "met" : "**not met**"; }

struct Ratios {
    std::vector<double> all;
    double middle()
    {
        std::ranges::sort(all);
        return all[all.size() / 2];
    }
};

void writeDifferences(int sessions)
{
    say("## Differences\n\n"
        "A baseline and K - 1 others, the same clock of 0.1 %% unless said, r blocks of a run of m trials each. "
        "*Now*: the rule in use; *before*:\nBonferroni's factor, blocks left in. *Family*: all differences to "
        "the baseline hold together, asked for 95 %%. *Width*: median half-width now to\nbefore. *Known*: that of "
        "intervals that know how far the estimates of the case scatter, which no campaign does: the least there "
        "could be. *One*: the\nlast configuration's runs shift by as much. %d campaigns a case, seeds from %llu on; "
        "the standard error of a share\nnear 95 %% is %.1f points.\n\n",
        sessions, static_cast<unsigned long long>(seedOfDifferences),
        100 * std::max(0.001, 0.218 / std::sqrt(static_cast<double>(sessions))));
    say("| camera, refresh | K | r x m | runs shift by | blocks by | besides | family now / before, %% | width | known "
        "|\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    std::uint64_t seed = seedOfDifferences, seedAgain = seedOfAgain;
    double lowest = 1;
    std::string again;
    const auto row = [&](const FamilyCase& c) {
        const coverage::FamilyRates rates = coverage::simulateFamily(c, sessions, seed++);
        double held = rates.held.now;
        if (held < leastHeld) { // by chance, or truly?
            held = coverage::simulateFamily(c, 10 * sessions, seedAgain++).held.now;
            again += (again.empty() ? "" : ", ") + twoDecimals(100 * held);
        }
        lowest = std::min(lowest, held);
        const bool alike = c.runShiftMs == c.oneShiftMs;
        say("| %g, %g | %d | %d x %d | %s | %s | %s | %.1f / %.1f | %.2f | %s |\n", c.camera, c.refresh,
            c.configurations, c.runs, c.trialsPerRun, shifts(c).c_str(),
            c.blockShiftMs > 0 ? (number(c.blockShiftMs) + " ms").c_str() : "none", besides(c).c_str(),
            100 * rates.held.now, 100 * rates.held.before, ratio(rates.halfWidthMs),
            alike ? twoDecimals(knownRatio(rates.halfWidthMs)).c_str() : "");
        std::fflush(stdout);
        return rates.halfWidthMs;
    };
    Ratios still, moved, loose, stillKnown, movedKnown;
    for (const FamilyCase& c : oneModeCases()) {
        const Ruled widths = row(c);
        if (c.runShiftMs != c.oneShiftMs)
            continue;
        (!c.interleaved ? loose : c.blockShiftMs > 0 ? moved : still).all.push_back(ratio(widths));
        if (c.interleaved)
            (c.blockShiftMs > 0 ? movedKnown : stillKnown).all.push_back(knownRatio(widths));
    }
    for (const FamilyCase& c : harsherCases())
        row(c);
    if (!again.empty())
        say("\nCases below 94 %% are taken again with %d campaigns, seeds from %llu on, and these count: %s %%.\n",
            10 * sessions, static_cast<unsigned long long>(seedOfAgain), again.c_str());
    say("\nFamily at least 94 %% in each case: lowest %.1f %%, %s. Width, median over the cases of equal run "
        "shifts but the last 24: without a block shift %.2f where\nblocks are taken out (asked for 0.93: %s; known "
        "scatter: %.2f) and %.2f where nothing was interleaved (Dunnett's factor alone); with one of 2 ms %.2f "
        "(asked\nfor 0.70: %s; known scatter: %.2f).\n\n",
        100 * lowest, met(lowest >= leastHeld), still.middle(), met(still.middle() <= 0.93), stillKnown.middle(),
        loose.middle(), moved.middle(), met(moved.middle() <= 0.70), movedKnown.middle());
}

void writeOwn(int campaigns)
{
    constexpr int configurations[]{3, 4, 5, 6, 8, 10}, runs[]{4, 5, 6, 8, 12, 24};
    say("## The level of own scatter\n\n"
        "What the constants of ownRisk() (comparison.h) stand on: normal run means of K configurations in r blocks, "
        "of which some scatter 1.25, 1.5, 2, 3, 4 or 6 times as much as the others: the baseline, one other, all but "
        "the baseline, or all in equal steps from the last to the baseline. How often all differences hold together, "
        "in %%, in the worst of these 24 cases: by %d campaigns each it is found, by %d others its share, with a "
        "standard error of %.2f points. Seeds from %llu on.\n\n"
        "| r |",
        campaigns, 4 * campaigns, 100 * 0.237 / std::sqrt(4.0 * campaigns), static_cast<unsigned long long>(seedOfOwn));
    for (const int count : configurations)
        say(" K = %d |", count);
    say("\n| --- |");
    for ([[maybe_unused]] const int count : configurations)
        say(" --- |");
    say("\n");
    std::uint64_t seed = seedOfOwn;
    double lowest = 1;
    for (const int blocks : runs) {
        say("| %d |", blocks);
        for (const int count : configurations) {
            const auto size = static_cast<std::size_t>(count);
            double worst = 1;
            std::vector<double> worstSds;
            const auto hold = [&](const std::vector<double>& sds) {
                const double held = coverage::heldUnequally(sds, blocks, campaigns, seed++);
                if (held < worst)
                    worstSds = sds;
                worst = std::min(worst, held);
            };
            for (const double ratio : {1.25, 1.5, 2.0, 3.0, 4.0, 6.0}) {
                std::vector<double> baseline(size, 1), other(size, 1), others(size, ratio), rising;
                baseline.front() = other.back() = ratio;
                others.front() = 1;
                for (int c = 0; c < count; ++c)
                    rising.push_back(std::pow(ratio, 1 - c / (count - 1.0)));
                for (const auto& sds : {baseline, other, others, rising})
                    hold(sds);
            }
            const double again = coverage::heldUnequally(worstSds, blocks, 4 * campaigns, seed++);
            lowest = std::min(lowest, again);
            say(" %.2f |", 100 * again);
            std::fflush(stdout);
        }
        say("\n");
    }
    say("\nFamily at least 94 %% in each case: lowest %.2f %%, %s.\n\n", 100 * lowest, met(lowest >= leastHeld));
}

void writeEffort(int sessions)
{
    say("## Trials for a difference of 4 ms\n\n"
        "Trials of a configuration with which 80 %% of such differences are told, K = 4, 480 camera frames a "
        "second on 144 Hz, %d campaigns a step,\nseeds from %llu on.\n\n"
        "| runs of | runs shift by | blocks by | besides | trials now / before / known | ratio | known |\n"
        "| --- | --- | --- | --- | --- | --- | --- |\n",
        sessions, static_cast<unsigned long long>(seedOfEffort));
    std::uint64_t seed = seedOfEffort;
    std::vector<double> still, moved, known; // known: with blocks that move
    for (const bool interleaved : {true, false})
        for (const double block : {0.0, 2.0})
            for (const int trials : {2, 4})
                for (const double shift : {1.0, 2.0}) {
                    FamilyCase c = with({480, 144, 4, 4, trials}, shift, shift, block);
                    c.interleaved = interleaved;
                    const Ruled needed = coverage::trialsNeeded(c, sessions, seed += 1000);
                    if (interleaved)
                        (block > 0 ? moved : still).push_back(ratio(needed));
                    if (interleaved && block > 0)
                        known.push_back(knownRatio(needed));
                    say("| %d | %g ms | %s | %s | %.1f / %.1f / %.1f | %.2f | %.2f |\n", trials, shift,
                        block > 0 ? "2 ms" : "none", besides(c).c_str(), needed.now, needed.before, needed.known,
                        ratio(needed), knownRatio(needed));
                    std::fflush(stdout);
                }
    const auto [leastStill, worstStill] = std::ranges::minmax(still);
    const auto [leastMoved, worstMoved] = std::ranges::minmax(moved);
    say("\nWorst ratio of interleaved ones: without a block shift %.2f (asked for 0.97: %s), with one of 2 ms "
        "%.2f (asked for 0.60: %s; known scatter,\nthe least there could be: %.2f). Taking blocks out saves %.0f to "
        "%.0f %% of the trials where nothing moves them, and %.0f to %.0f %% where something does.\n\n",
        worstStill, met(worstStill <= 0.97), worstMoved, met(worstMoved <= 0.60), std::ranges::max(known),
        100 * (1 - worstStill), 100 * (1 - leastStill), 100 * (1 - worstMoved), 100 * (1 - leastMoved));
}

void writeGrid(int sessions)
{
    const std::vector<FamilyCase> cases = gridCases();
    say("## The grid that the goals were stated for\n\n"
        "240, 480 or 1000 camera frames a second on 60 or 144 Hz, 3 to 8 configurations, 4 or 6 runs of 1, 2, 4, 8 or "
        "20 trials in interleaved blocks, smooth or skewed scatter, the same clock of 0.1 %%: each 71st of the 3600 "
        "combinations with each shift of blocks, none chosen. %d campaigns a case, seeds from %llu on. 4 runs of 1 "
        "trial have no interval, for fewer than 5 trials give no verdict. *Width*, *known* as above, the middle one of "
        "the cases.\n\n",
        sessions, static_cast<unsigned long long>(seedOfGrid));
    say("| runs shift by | blocks by | cases | family now: mean, lowest, %% | before: mean, lowest, %% | width | known "
        "|\n"
        "| --- | --- | --- | --- | --- | --- | --- |\n");
    std::uint64_t seed = seedOfGrid, seedOfTrials = seedOfGridEffort;
    std::string verdicts;
    for (const double block : {0.0, 2.0}) {
        struct Group {
            std::string runShifts;
            int cases = 0;
            Ruled sum, lowest{1, 1, 0};
            Ratios width, known;
        };
        std::map<std::pair<double, double>, Group> groups;
        Ratios width, known, trials, trialsKnown;
        int atFewest = 0, turn = 0;
        for (FamilyCase c : cases) {
            c.blockShiftMs = block;
            const bool alike = c.runShiftMs == c.oneShiftMs;
            if (c.runs * c.trialsPerRun >= 5) {
                const coverage::FamilyRates rates = coverage::simulateFamily(c, sessions, seed++);
                Group& group = groups[{c.runShiftMs, c.oneShiftMs}];
                group.runShifts = shifts(c);
                ++group.cases;
                group.sum.now += rates.held.now;
                group.sum.before += rates.held.before;
                group.lowest.now = std::min(group.lowest.now, rates.held.now);
                group.lowest.before = std::min(group.lowest.before, rates.held.before);
                group.width.all.push_back(ratio(rates.halfWidthMs));
                if (alike) {
                    group.known.all.push_back(knownRatio(rates.halfWidthMs));
                    width.all.push_back(group.width.all.back());
                    known.all.push_back(group.known.all.back());
                }
            }
            if (alike && turn++ % 2 == 0) {
                const Ruled needed = coverage::trialsNeeded(c, std::max(1, sessions / 5), seedOfTrials += 1000);
                trials.all.push_back(ratio(needed));
                trialsKnown.all.push_back(knownRatio(needed));
                atFewest += needed.now == needed.before;
            }
        }
        for (auto& [key, group] : groups)
            say("| %s | %s | %d | %.1f, %.1f | %.1f, %.1f | %.2f | %s |\n", group.runShifts.c_str(),
                block > 0 ? "2 ms" : "none", group.cases, 100 * group.sum.now / group.cases, 100 * group.lowest.now,
                100 * group.sum.before / group.cases, 100 * group.lowest.before, group.width.middle(),
                group.known.all.empty() ? "" : twoDecimals(group.known.middle()).c_str());
        std::fflush(stdout);
        const double widthGoal = block > 0 ? 0.70 : 0.93, trialsGoal = block > 0 ? 0.60 : 0.97;
        verdicts += (block > 0 ? " With one of 2 ms: width " : "Without a block shift: width ")
                    + twoDecimals(width.middle()) + " (asked for " + twoDecimals(widthGoal) + ": "
                    + met(width.middle() <= widthGoal) + "; known scatter: " + twoDecimals(known.middle())
                    + "), trials " + twoDecimals(trials.middle()) + " (asked for " + twoDecimals(trialsGoal) + ": "
                    + met(trials.middle() <= trialsGoal) + "; known scatter: " + twoDecimals(trialsKnown.middle())
                    + "; " + std::to_string(atFewest) + " of " + std::to_string(trials.all.size())
                    + " take the fewest runs by either rule).";
    }
    say("\nThe middle one of all cases whose runs shift alike; trials for 80 %% of differences of 4 ms, for "
        "every other of these cases, from the fewest runs that have an interval on, %d campaigns a step, seeds from "
        "%llu on. %s\n\n",
        std::max(1, sessions / 5), static_cast<unsigned long long>(seedOfGridEffort), verdicts.c_str());
}

void writeMeans(int sessions)
{
    say("## Means, single differences, and what falls short\n\n"
        "A baseline and two configurations, no run sheet. Each cell is the worst of 240 camera frames a "
        "second on 60 Hz, 480 on 144 and 1000 on 75,\nin %%: *the mean's 95 %% interval holds the truth* / *the "
        "interval of one of the two differences holds it* / *longer or shorter told though\nall are equal, in "
        "either comparison* / *same within 4 ms told where the difference is 4 ms*. Smooth: SD 2 ms; skewed: "
        "gamma of shape 2, SD\n2.8 ms; two modes: 30 %% of the trials 12 ms later; each besides waiting for the "
        "refresh. %d sessions a case, seeds from %llu on.\n\n"
        "| scatter | runs shift by | runs | n = 5 | n = 10 | n = 20 | n = 40 |\n"
        "| --- | --- | --- | --- | --- | --- | --- |\n",
        sessions, static_cast<unsigned long long>(seedOfMeans));
    std::uint64_t seed = seedOfMeans;
    for (const Shape shape : {Shape::Smooth, Shape::Skewed, Shape::TwoModes})
        for (const double shift : {0.0, 2.0})
            for (const int runs : {1, 4, 6}) {
                say("| %s | %s | %d |", coverage::name(shape), shift > 0 ? "2 ms" : "none", runs);
                for (const int trials : {5, 10, 20, 40}) {
                    if (trials < runs) {
                        say("  |");
                        continue;
                    }
                    coverage::Rates worst{1, 1, 0, 0};
                    for (const auto& [camera, refresh] :
                         {std::pair(240.0, 60.0), std::pair(480.0, 144.0), std::pair(1000.0, 75.0)}) {
                        const coverage::Rates rates =
                            coverage::simulate({camera, refresh, trials, runs, shift, shape}, sessions, seed++);
                        worst.meanHeld = std::min(worst.meanHeld, rates.meanHeld);
                        worst.differenceHeld = std::min(worst.differenceHeld, rates.differenceHeld);
                        worst.falseVerdict = std::max(worst.falseVerdict, rates.falseVerdict);
                        worst.falseSame = std::max(worst.falseSame, rates.falseSame);
                    }
                    say(" %.1f / %.1f / %.1f / %.1f |", 100 * worst.meanHeld, 100 * worst.differenceHeld,
                        100 * worst.falseVerdict, 100 * worst.falseSame);
                }
                say("\n");
                std::fflush(stdout);
            }
    say("\nWhere it falls short the program says so: one run that shifts is \"these runs only\"; two modes are "
        "warned about from 8 trials on; below 10\ntrials the checks under the results say that skew and groups "
        "make the interval miss more often.\n");
}

} // namespace

int main(int count, char** words)
{
    const int sessions = count > 1 ? std::atoi(words[1]) : 1000;
    if (sessions < 1) {
        std::fprintf(stderr, "“%s” isn't a number of sessions: give one from 1.\n", words[1]);
        return 2;
    }
    const std::string only = count > 2 ? words[2] : "";
    const auto wanted = [&](const char* part) { return only.empty() || only == part; };
    if (wanted("differences")) {
        say("# How often intervals hold the truth\n\n"
            "Written by `coverage_table` (coverage_table.cpp), nothing of it by hand. It simulates sessions on one "
            "time line per capture: presses at\nrandom times, a refresh grid and a camera grid that run on through "
            "the capture, clock errors drawn from what is stated of them. A short\nversion is in "
            "`core_stats_tests`.\n\n");
        writeDifferences(sessions);
    }
    if (wanted("own"))
        writeOwn(100 * sessions);
    if (wanted("effort"))
        writeEffort(std::max(1, sessions / 5));
    if (wanted("grid"))
        writeGrid(sessions);
    if (wanted("means"))
        writeMeans(std::max(1, sessions / 2));
    return 0;
}
