#include "core/stats/comparison.h"
#include "core/stats/spread.h"
#include "core/stats/summary.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

// The table beside this file was made by reference_sessions.R with R 4.2.2. TALLYFRAME_REFERENCE names another one,
// made anew: `tests/run --with-r`.

namespace {

struct Side {
    std::vector<stats::Observation> trials;
    std::vector<double> summary, mean; ///< as R has them
    std::string basis;

    std::vector<double> delays() const
    {
        std::vector<double> all;
        for (const stats::Observation& trial : trials)
            all.push_back(trial.delayMs);
        return all;
    }
};

struct Session {
    int number = 0;
    double level = 0;
    int comparisons = 0;
    std::vector<stats::ErrorSource> sources;
    Side sides[2]; ///< baseline, configuration
    std::vector<double> difference;
};

std::vector<double> numbers(std::istream& line)
{
    std::vector<double> all;
    for (std::string word; line >> word;)
        all.push_back(std::stod(word)); // reads "Inf" and "NaN" as well
    return all;
}

stats::Observation trialFrom(const std::vector<double>& v)
{
    stats::Observation trial{v.at(0), v.at(1), v.at(2), static_cast<int>(v.at(3)), static_cast<int>(v.at(4)), v.at(5) != 0, {}};
    for (int source = 1; source <= 3; ++source)
        if (const double sensitivity = v.at(5 + static_cast<std::size_t>(source)); sensitivity != 0)
            trial.errors.push_back({source, sensitivity});
    return trial;
}

std::vector<Session> sessions()
{
    const char* other = std::getenv("TALLYFRAME_REFERENCE");
    std::ifstream file(other ? other : REFERENCE_SESSIONS);
    std::vector<Session> all;
    for (std::string text; std::getline(file, text);) {
        std::istringstream line(text);
        std::string what;
        line >> what;
        if (what == "session") {
            std::string word;
            Session session;
            line >> session.number >> word >> session.level >> word >> session.comparisons;
            all.push_back(session);
            continue;
        }
        Session& session = all.at(all.size() - 1);
        if (what == "source") {
            const auto v = numbers(line);
            session.sources.push_back({static_cast<int>(v.at(0)), "source", v.at(1), v.at(2), stats::LineKind::Clock});
        } else if (what == "difference") {
            session.difference = numbers(line);
        } else {
            std::size_t index = 2;
            line >> index;
            REQUIRE(index < 2);
            Side& side = session.sides[index];
            if (what == "trial")
                side.trials.push_back(trialFrom(numbers(line)));
            else if (what == "summary")
                side.summary = numbers(line);
            else if (what == "mean" && line >> side.basis)
                side.mean = numbers(line);
        }
    }
    return all;
}

/// Closed forms on doubles: 1e-9 of the value. `scale` is for what is left where large numbers cancel.
void same(const char* what, double ours, double expected, double scale = 0)
{
    CAPTURE(what);
    if (std::isinf(expected))
        CHECK(ours == expected);
    else
        CHECK(std::abs(ours - expected) <= 1e-9 * std::abs(expected) + 1e-13 * scale);
}

void checkSide(const Session& session, const Side& side)
{
    const std::vector<double> delays = side.delays(), &r = side.summary;
    const stats::Summary ours = stats::summarise(delays);
    REQUIRE(static_cast<double>(ours.n) == r.at(0));
    same("mean", *ours.mean, r[1]);
    REQUIRE(ours.sd.has_value() == !std::isnan(r.at(2)));
    if (ours.sd)
        same("SD", *ours.sd, r[2]);
    same("lower quartile", *ours.lowerQuartile, r.at(3));
    same("median", *ours.median, r.at(4));
    same("upper quartile", *ours.upperQuartile, r.at(5));
    same("MAD", stats::medianAbsoluteDeviation(delays), r.at(6));
    const auto median = stats::medianInterval(delays, session.level);
    REQUIRE(median.has_value() == !std::isnan(r.at(7)));
    if (median) {
        same("median low", median->low, r[7]);
        same("median high", median->high, r.at(8));
    }

    const stats::MeanBudget budget = stats::meanBudget(side.trials, session.sources, session.level);
    const stats::MeanOnBasis& shown = *budget.shown();
    CHECK((shown.basis == stats::Basis::Runs ? "runs" : "trials") == side.basis);
    same("mean shown", shown.estimateMs, side.mean.at(0));
    REQUIRE(shown.interval.has_value() == !std::isnan(side.mean.at(1)));
    if (shown.interval) {
        same("u", shown.interval->uMs, side.mean[1]);
        same("degrees of freedom", shown.interval->dof, side.mean.at(2));
        same("half-width", shown.interval->halfWidthMs, side.mean.at(3));
    }
}

} // namespace

TEST_CASE("random sessions have the means, budgets and differences that R finds", "[outside]")
{
    const std::vector<Session> all = sessions();
    REQUIRE(all.size() >= 100);
    int differences = 0, overRuns = 0;
    for (const Session& session : all) {
        CAPTURE(session.number);
        for (const Side& side : session.sides) {
            checkSide(session, side);
            overRuns += side.basis == "runs";
        }
        const double size = std::abs(session.sides[0].summary.at(1)) + std::abs(session.sides[1].summary.at(1));
        const stats::Comparison ours = stats::compare(session.sides[1].trials, session.sides[0].trials, session.sources,
                                                      {1 - session.level, session.comparisons, {}, {}});
        const std::vector<double>& r = session.difference;
        same("difference", *ours.differenceMs, r.at(0), size);
        REQUIRE(ours.interval.has_value() == !std::isnan(r.at(1)));
        if (!ours.interval)
            continue;
        ++differences;
        same("u of the difference", ours.interval->uMs, r[1]);
        same("its degrees of freedom", ours.interval->dof, r.at(2));
        same("its half-width", ours.interval->halfWidthMs, r.at(3));
        same("half-width for sameness", ours.equivalence->halfWidthMs, r.at(4));
        same("smallest resolvable difference", *ours.smallestResolvableMs, r.at(5));
    }
    CHECK(differences >= 50); // or the table says too little
    CHECK(overRuns >= 10);
}
