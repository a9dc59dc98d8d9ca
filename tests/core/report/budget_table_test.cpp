#include "core/report/budget_table.h"
#include "core/analysis/results.h"
#include "core/stats/distributions.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <sstream>

using Catch::WithinRel;
using namespace analysis;
using namespace report;

namespace {

/// Rows of CSV without quoted line breaks.
std::vector<std::vector<std::string>> rowsOf(const std::string& csv)
{
    std::vector<std::vector<std::string>> rows;
    std::istringstream lines(csv);
    for (std::string text; std::getline(lines, text);) {
        std::vector<std::string> fields(1);
        bool quoted = false;
        for (const char c : text) {
            if (c == '"')
                quoted = !quoted;
            else if (c == ',' && !quoted)
                fields.emplace_back();
            else if (c != '\r')
                fields.back() += c;
        }
        rows.push_back(fields);
    }
    return rows;
}

} // namespace

TEST_CASE("a sceptic works every uncertainty out again from the exported budget", "[report]")
{
    small::Session s = small::session();
    s.document.settings.event.onsetWidthMs = 0.4;
    session::Clock slow = *find(s.document, s.slow);
    slow.readout = {session::ReadoutKind::LineTime, 2e-6, 1e-7, session::ReadoutDirection::Unknown, ""};
    small::put(s.document, slow);
    const auto rows = rowsOf(budgetCsv(compute(s.document)));
    std::map<std::string, std::size_t> column;
    for (std::size_t i = 0; i < rows.front().size(); ++i)
        column[rows.front()[i]] = i;
    const auto number = [&](const std::vector<std::string>& row, const char* name) {
        return std::stod(row.at(column.at(name)));
    };

    // Nothing but what stands in the table: u from weights, dof after Welch and Satterthwaite, factor from t,
    // half-width.
    constexpr double digits = 1e-12; // full precision is written; a few operations
    int budgets = 0;
    double squares = 0, fourths = 0, shares = 0;
    for (std::size_t i = 1; i < rows.size(); ++i) {
        const auto& row = rows[i];
        REQUIRE(row.size() == rows.front().size());
        const double u = number(row, "standard uncertainty (ms)");
        if (row[column.at("cause")] != "together") {
            CAPTURE(row[column.at("cause")]);
            CHECK_THAT(std::abs(number(row, "weight")) * number(row, "u of the cause"), WithinRel(u, digits));
            squares += u * u;
            const std::string& dof = row[column.at("degrees of freedom")];
            fourths += dof == "inf" ? 0 : std::pow(u, 4) / std::stod(dof);
            shares += number(row, "share");
            continue;
        }
        ++budgets;
        CHECK_THAT(std::sqrt(squares), WithinRel(u, digits));
        const double dof = squares * squares / fourths;
        CHECK_THAT(dof, WithinRel(number(row, "degrees of freedom"), digits));
        CHECK_THAT(shares, WithinRel(1.0, digits));
        const double factor = stats::tQuantile((1 + number(row, "level")) / 2, dof);
        CHECK_THAT(factor, WithinRel(number(row, "coverage factor"), 1e-9)); // t by iteration
        CHECK_THAT(factor * u, WithinRel(number(row, "half-width (ms)"), 1e-9));
        squares = fourths = shares = 0;
    }
    CHECK(budgets == 5); // three means, two differences
}

TEST_CASE("the budget of a difference keeps signs, so that what both sides share is seen to cancel", "[report]")
{
    const small::Session s = small::session();
    const Results results = compute(s.document);
    const stats::Comparison& radio = *find(results, s.radio)->comparison;
    const BudgetTable table = budgetTable(radio.lines, *radio.interval);
    REQUIRE(table.rows.size() == 6);
    CHECK(table.rows[0].cause == "configuration: scatter of 5 trials");
    CHECK(table.rows[0].weight == 1);
    CHECK(table.rows[1].weight == -1);
    CHECK(std::string(table.rows[4].kind) == "clock");
    CHECK(std::string(table.rows[4].unit) == "relative");
    CHECK_THAT(table.rows[4].weight, WithinRel(10.0, 1e-12)); // 41 - 31 ms counted with the generator's frequency
    CHECK_THAT(table.rows[4].u, WithinRel(0.001, 1e-12));
}
