#include "core/stats/blocks.h"
#include "core/stats/comparison.h"
#include "core/stats/rank_check.h"
#include "core/stats/spread.h"
#include "core/stats/summary.h"
#include "core/stats/trend.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>

using Catch::WithinAbs;
using Catch::WithinRel;
using namespace stats;

namespace {

/// One line of the table that reference.R writes: a word, then numbers; "NA" is NaN.
struct Line {
    std::string word;
    std::vector<double> numbers;
};

Line parsed(const std::string& text)
{
    std::istringstream in(text);
    Line line;
    in >> line.word;
    for (std::string field; in >> field;) {
        char* end = nullptr;
        line.numbers.push_back(std::strtod(field == "NA" ? "nan" : field.c_str(), &end));
    }
    return line;
}

/// What the program makes of a session, compared with R line by line. 1e-9 relative: closed forms in doubles; the
/// absolute part is rounding of the delays themselves, which is all there is of a spread or a difference that is truly
/// 0.
class Session {
public:
    static constexpr double byQuadrature = 1e-6; ///< Dunnett's factor, on either side

    Session(int number, double level, int comparisons) : m_number(number), m_level(level), m_comparisons(comparisons) {}

    void add(const Line& line)
    {
        CAPTURE(m_number, line.word, line.numbers);
        const std::vector<double>& x = line.numbers;
        if (line.word == "source")
            m_sources.push_back({static_cast<int>(x[0]), "source", x[1], x[2], LineKind::Clock});
        else if (line.word == "trial")
            addTrial(x);
        else if (line.word == "summary")
            compareSummary(delays(x[0]), x);
        else if (line.word == "mean")
            compareMean(side(x[0]), x);
        else if (line.word == "trend")
            compareTrend(delays(x[0]), x);
        else if (line.word == "difference")
            compareDifference(x);
        else if (line.word == "ranks")
            compareRanks(x);
        else
            FAIL("no such line");
    }

private:
    std::vector<Observation>& side(double number) { return m_sides.at(static_cast<std::size_t>(number) - 1); }
    std::vector<double> delays(double number)
    {
        std::vector<double> all;
        for (const Observation& o : side(number))
            all.push_back(o.delayMs);
        return all;
    }

    void addTrial(const std::vector<double>& x)
    {
        side(x[0]).push_back({x[1],
                              x[2],
                              x[3],
                              static_cast<int>(x[4]),
                              static_cast<int>(x[5]),
                              x[6] != 0,
                              {{1, x[1]}, {static_cast<int>(x[7]), x[1]}}});
        m_largest = std::max(m_largest, std::abs(x[1]));
    }

    void same(double found, double expected) const
    {
        if (std::isinf(expected))
            CHECK(found == expected);
        else
            CHECK_THAT(found, WithinRel(expected, 1e-9) || WithinAbs(expected, 1e-13 * m_largest));
    }

    void compareSummary(const std::vector<double>& values, const std::vector<double>& x) const
    {
        const Summary s = summarise(values);
        const std::array found{*s.mean,          *s.sd,  *s.lowerQuartile, *s.median,
                               *s.upperQuartile, *s.min, *s.max,           medianAbsoluteDeviation(values)};
        for (std::size_t i = 0; i < found.size(); ++i)
            same(found[i], x[i + 1]);
        const auto interval = medianInterval(values, m_level);
        CHECK(interval.has_value() == !std::isnan(x[9]));
        if (interval) {
            CHECK(interval->low == x[9]);
            CHECK(interval->high == x[10]);
        }
    }

    void compareInterval(const Expanded& found, double estimate, const double* x, double factorTolerance = 1e-9) const
    {
        same(found.estimateMs, estimate);
        same(found.uMs, x[0]);
        CHECK_THAT(found.dof,
                   WithinRel(x[1], 1e-9)
                       || Catch::Predicate<double>([&](double dof) { return dof == x[1]; }, "is endless too"));
        CHECK_THAT(found.factor, WithinRel(x[2], factorTolerance));
        CHECK_THAT(found.halfWidthMs, WithinRel(x[3], factorTolerance) || WithinAbs(x[3], 1e-13 * m_largest));
    }

    /// Bases come in the same order: trials, then runs.
    void compareMean(const std::vector<Observation>& trials, const std::vector<double>& x)
    {
        const MeanBudget budget = meanBudget(trials, m_sources, m_level);
        const bool again = &trials == m_lastMean;
        m_lastMean = again ? nullptr : &trials;
        const auto& mean = again ? budget.overRuns : budget.overTrials;
        REQUIRE(mean);
        compareInterval(*mean->interval, x[1], &x[2]);
    }

    void compareTrend(const std::vector<double>& values, const std::vector<double>& x) const
    {
        const Trend found = trend(values);
        CHECK(found.s == x[1]);
        same(found.variance, x[2]);
        CHECK_THAT(found.p, WithinRel(x[3], 1e-9));
        same(found.slope, x[4]);
    }

    void compareDifference(const std::vector<double>& x)
    {
        const Comparison found =
            compare(m_sides[0], m_sides[1], m_sources, {1 - m_level, m_comparisons, std::nullopt, std::nullopt});
        REQUIRE(found.interval);
        compareInterval(*found.interval, x[0], &x[1], byQuadrature);
    }

    void compareRanks(const std::vector<double>& x)
    {
        const RankCheck found = rankCheck(delays(1), delays(2), m_level);
        CHECK(found.u == x[0]);
        CHECK_THAT(found.p, WithinRel(x[1], 1e-9));
        same(found.shift, x[2]);
    }

    int m_number;
    double m_level;
    int m_comparisons;
    std::vector<ErrorSource> m_sources;
    std::array<std::vector<Observation>, 2> m_sides;
    const std::vector<Observation>* m_lastMean = nullptr;
    double m_largest = 0;
};

/// A session in complete blocks: configuration 1 is the baseline.
struct Family {
    double level = 0;
    int comparisons = 0;
    std::vector<ErrorSource> sources;
    std::vector<std::vector<Observation>> configurations;

    void addTrial(const std::vector<double>& x)
    {
        const int run = static_cast<int>(x[3]);
        Observation trial{x[1], x[2], x[2], run, run, false, {{static_cast<int>(x[5]), x[1]}}};
        trial.blockKey = static_cast<int>(x[4]);
        configurations.at(static_cast<std::size_t>(x[0]) - 1).push_back(trial);
    }

    /// The residual mean square of aov() is the mean of what blocks leave to each configuration.
    void compareResidual(const std::vector<double>& x) const
    {
        std::vector<std::vector<double>> means;
        for (const auto& trials : configurations) {
            std::map<int, std::map<int, std::vector<double>>> blocks;
            for (const Observation& o : trials)
                blocks[o.blockKey][o.runKey].push_back(o.delayMs);
            std::vector<double>& own = means.emplace_back();
            for (const auto& [block, runs] : blocks) {
                std::vector<double> runMeans;
                for (const auto& [run, delays] : runs)
                    runMeans.push_back(mean(delays));
                own.push_back(mean(runMeans));
            }
        }
        const std::vector<double> found = scatterWithoutBlocks(means);
        CHECK_THAT(mean(found), WithinRel(x[0], 1e-9));
        for (std::size_t c = 0; c < found.size(); ++c)
            CHECK_THAT(found[c], WithinRel(x[c + 1], 1e-9) || WithinAbs(x[c + 1], 1e-9));
    }

    std::vector<Comparison> compared() const
    {
        std::vector<std::span<const Observation>> all(configurations.begin(), configurations.end());
        const auto variances = variancesWithoutBlocks(all);
        std::vector<Side> sides;
        for (std::size_t c = 0; c < all.size(); ++c)
            sides.push_back({all[c], variances[c]});
        return compare(std::span(sides).subspan(1), sides.front(), sources,
                       {1 - level, comparisons, std::nullopt, std::nullopt});
    }

    void compareDifference(const std::vector<double>& x) const
    {
        const Comparison found = compared().at(static_cast<std::size_t>(x[0]) - 2);
        const std::size_t other = configurations.at(static_cast<std::size_t>(x[0]) - 1).size();
        if (std::min(other, configurations.front().size()) < 5) { // four runs of one trial: values, no verdict
            CHECK_FALSE(found.interval);
            return;
        }
        REQUIRE(found.interval);
        CHECK(found.blocksOut);
        CHECK(found.ownScatter == (x[7] == 1));
        CHECK_THAT(found.interval->estimateMs, WithinAbs(x[1], 1e-9));
        CHECK_THAT(found.interval->uMs, WithinRel(x[2], 1e-9));
        CHECK_THAT(found.interval->dof, WithinRel(x[3], 1e-9));
        CHECK_THAT(found.rho, WithinRel(x[6], 1e-9));
        CHECK_THAT(found.interval->factor, WithinRel(x[4], Session::byQuadrature));
        CHECK_THAT(found.interval->halfWidthMs, WithinRel(x[5], Session::byQuadrature));
    }
};

std::ifstream referenceTable()
{
    // Source: reference.R, run with R 4.2.2; TALLYFRAME_R_TABLE names a table made just now.
    const char* fresh = std::getenv("TALLYFRAME_R_TABLE");
    std::ifstream table(fresh ? fresh : TALLYFRAME_R_COMMITTED);
    REQUIRE(table);
    return table;
}

} // namespace

TEST_CASE("a hundred random sessions come out as R has them", "[outside]")
{
    std::ifstream table = referenceTable();
    std::optional<Session> session;
    int sessions = 0;
    for (std::string text; std::getline(table, text);) {
        const Line line = parsed(text);
        if (line.word == "family")
            break;
        if (line.word == "session") {
            session.emplace(static_cast<int>(line.numbers[0]), line.numbers[1], static_cast<int>(line.numbers[2]));
            ++sessions;
        } else {
            REQUIRE(session);
            session->add(line);
        }
    }
    CHECK(sessions == 100);
}

TEST_CASE("a hundred random sessions in blocks come out as R has them", "[outside]")
{
    std::ifstream table = referenceTable();
    std::optional<Family> family;
    int families = 0, differences = 0;
    for (std::string text; std::getline(table, text);) {
        const Line line = parsed(text);
        const std::vector<double>& x = line.numbers;
        if (line.word == "family") {
            family = Family{x[1], static_cast<int>(x[2]), {}, {}};
            family->configurations.resize(static_cast<std::size_t>(x[3]));
            ++families;
        }
        if (!family)
            continue;
        CAPTURE(families, line.word, line.numbers);
        if (line.word == "source")
            family->sources.push_back({static_cast<int>(x[0]), "source", x[1], x[2], LineKind::Clock});
        else if (line.word == "blocktrial")
            family->addTrial(x);
        else if (line.word == "residual")
            family->compareResidual(x);
        else if (line.word == "blockdifference") {
            family->compareDifference(x);
            ++differences;
        }
    }
    CHECK(families == 100);
    CHECK(differences > 200);
}
