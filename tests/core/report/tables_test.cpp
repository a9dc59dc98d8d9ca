#include "core/report/tables.h"
#include "core/report/csv.h"
#include "tests/core/analysis/small_session.h"

#include <catch2/catch.hpp>
#include <charconv>
#include <map>

using Catch::WithinAbs;
using namespace analysis;
using namespace report;

namespace {

using Record = std::map<std::string, std::string>;

/// A plain reader of RFC 4180, written from its grammar: CRLF ends a record, quoted fields may hold anything, two
/// quotation marks stand for one.
std::vector<std::vector<std::string>> parsed(const std::string& csv)
{
    std::vector<std::vector<std::string>> rows;
    std::vector<std::string> row(1);
    bool quoted = false;
    for (std::size_t i = 0; i < csv.size(); ++i) {
        if (quoted) {
            if (csv[i] != '"')
                row.back() += csv[i];
            else if (i + 1 < csv.size() && csv[i + 1] == '"')
                row.back() += csv[++i];
            else
                quoted = false;
        } else if (csv[i] == '"') {
            REQUIRE(row.back().empty());
            quoted = true;
        } else if (csv[i] == ',') {
            row.emplace_back();
        } else if (csv[i] == '\r') {
            REQUIRE(csv[++i] == '\n');
            rows.push_back(row);
            row.assign(1, {});
        } else {
            REQUIRE(csv[i] != '\n');
            row.back() += csv[i];
        }
    }
    REQUIRE_FALSE(quoted);
    REQUIRE(row == std::vector<std::string>{""}); // the last record ends with CRLF too
    return rows;
}

std::vector<Record> records(const std::string& csv)
{
    const auto rows = parsed(csv);
    std::vector<Record> all;
    for (std::size_t r = 1; r < rows.size(); ++r) {
        REQUIRE(rows[r].size() == rows[0].size());
        Record& record = all.emplace_back();
        for (std::size_t c = 0; c < rows[0].size(); ++c)
            REQUIRE(record.emplace(rows[0][c], rows[r][c]).second); // no two columns of one name
    }
    return all;
}

double number(const std::string& text)
{
    double value = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
    REQUIRE(fault == std::errc());
    REQUIRE(end == text.data() + text.size());
    return value;
}

} // namespace

TEST_CASE("fields with commas, quotation marks and line breaks read back as they were", "[report]")
{
    const std::vector<std::string> fields{"plain",        "a, b", "say \"now\"", "two\nlines",
                                          "two\r\nlines", "",     "\"",          "λ ± 1"};
    std::string table;
    for (const std::string& field : fields)
        table += (table.empty() ? "" : ",") + csv::text(field);
    table += "\r\n" + csv::number(0.1) + ',' + csv::number(1.0 / 3) + ',' + csv::number(std::nullopt) + ','
             + csv::number(std::numeric_limits<double>::infinity()) + ',' + csv::whole(-7) + ',' + csv::yes(true)
             + ",,\r\n";
    const auto rows = parsed(table);
    REQUIRE(rows.size() == 2);
    CHECK(rows[0] == fields);
    CHECK(number(rows[1][0]) == 0.1);
    CHECK(number(rows[1][1]) == 1.0 / 3);
    CHECK(rows[1] == std::vector<std::string>{"0.1", rows[1][1], "", "inf", "-7", "yes", "", ""});
}

TEST_CASE("what was typed is never a formula to a spreadsheet, and numbers stay numbers", "[report]")
{
    // OWASP, CSV Injection: these begin a formula.
    const auto [typed, written] = GENERATE(table<const char*, const char*>({{"=1+1", "'=1+1"},
                                                                            {"+cmd", "'+cmd"},
                                                                            {"-cable", "'-cable"},
                                                                            {"@SUM(A1)", "'@SUM(A1)"},
                                                                            {"\t=1", "'\t=1"},
                                                                            {"\r\n=1", "'\r\n=1"},
                                                                            {"cable -1", "cable -1"},
                                                                            {"'=1", "'=1"},
                                                                            {"a;=1", "a;=1"}}));
    const std::string line =
        csv::text(typed) + ',' + csv::number(-1.5) + ',' + csv::whole(-3) + ',' + csv::number(-0.0) + "\r\n";
    const auto rows = parsed(line);
    REQUIRE(rows.size() == 1);
    CHECK(rows.front() == std::vector<std::string>{written, "-1.5", "-3", "0"});
    // A reader that parts fields at semicolons or tabs doesn't begin one inside the text either.
    if (const std::string text = typed; text.find_first_of(";\t") != std::string::npos)
        CHECK(line.front() == '"');
}

TEST_CASE("the results table reads back in full precision", "[report]")
{
    const small::Session s = small::session();
    const Results results = compute(s.document);
    const std::vector<Record> table = records(resultsCsv(s.document, results));
    REQUIRE(table.size() == 3);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const ConfigurationResult& result = results.configurations[i];
        CHECK(table[i].at("configuration") == result.name);
        CHECK(number(table[i].at("mean (ms)")) == result.mean.shown()->estimateMs);
        CHECK(number(table[i].at("mean low (ms)")) == result.mean.shown()->interval->low());
        CHECK(number(table[i].at("mean half-width (ms)")) == result.mean.shown()->interval->halfWidthMs);
        CHECK(number(table[i].at("mean degrees of freedom")) == result.mean.shown()->interval->dof);
        CHECK(number(table[i].at("SD (ms)")) == *result.summary.sd);
        CHECK(table[i].at("trials in the mean") == "5");
    }
    CHECK(table[0].at("baseline") == "yes");
    CHECK(table[0].at("reject reasons") == "hitch 1");
    CHECK(table[0].at("difference (ms)").empty());
    CHECK(table[0].at("median low (ms)").empty()); // 5 trials have no 95 % interval of the median
    CHECK(number(table[1].at("difference high (ms)")) == results.configurations[1].comparison->interval->high());
    CHECK(table[1].at("verdict") == "Longer by 10.0 ms");
    CHECK(table[2].at("camera frames without settled clock") == "Borrowed camera: 20 to 27 in 2 trials");
    CHECK(table[2].at("clock not settled") == "2");
}

TEST_CASE("the trials table holds every trial, and no ms without a settled clock", "[report]")
{
    small::Session s = small::session();
    session::Configuration hub = *find(s.document, s.hub);
    hub.name = "Pedal, \"through\"\nhub";
    small::put(s.document, hub);
    const Results results = compute(s.document);
    const std::vector<Record> table = records(trialsCsv(s.document, results));
    REQUIRE(table.size() == s.document.trials.size());
    for (std::size_t i = 0; i < table.size(); ++i) {
        const TrialOutcome& outcome = results.trials[i];
        CHECK(table[i].at("trial") == std::to_string(outcome.trial.value));
        CHECK(table[i].at("state") == label(outcome.state));
        CHECK(table[i].at("delay (ms)").empty() == !outcome.delay);
        if (outcome.delay) {
            CHECK(number(table[i].at("delay (ms)")) == outcome.delay->delay.count());
            CHECK(number(table[i].at("earliest (ms)")) == outcome.delay->earliest.count());
            CHECK(number(table[i].at("latest (ms)")) == outcome.delay->latest.count());
        }
    }
    CHECK(table.back().at("configuration") == hub.name);
    CHECK(table.back().at("counted (camera frames)") == "25");
    CHECK(table.back().at("missing (camera frames)") == "2");
    CHECK(table.back().at("delay (ms)").empty());
    CHECK(table.back().at("reader") == "R. One");
    CHECK(table.back().at("press frame") == "300");
    const auto rejected =
        std::find_if(table.begin(), table.end(), [](const Record& record) { return record.at("state") == "rejected"; });
    REQUIRE(rejected != table.end());
    CHECK(rejected->at("reject reason") == "hitch");
    CHECK_THAT(number(rejected->at("delay (ms)")), WithinAbs(61, 1e-9)); // a difference of two times in seconds
}

TEST_CASE("the table for a terminal lines up and is rounded", "[report]")
{
    // Chances of the rank sums: R 4.2.2 wilcox.test of the delays, 0.0111594 and 0.243321.
    const small::Session s = small::session();
    CHECK(resultsText(s.document, compute(s.document))
          == "Pedal links\n"
             "\n"
             "Configuration      Trials  Rejected   Mean ± 95 %  Median    SD      Min to max  Difference       "
             "Interval  Verdict\n"
             "Wired pedal             5         1    31.0 ± 1.9    31.0   1.6    29.0 to 33.0                          "
             "   Baseline (these runs only)\n"
             "Radio pedal             5            41.00 ± 0.93   41.00  0.71  40.00 to 42.00       +10.0  +7.7 to "
             "+12.3  Longer by 10.0 ms (these runs only)\n"
             "Pedal through hub       5              32.8 ± 2.8    32.0   2.3    30.0 to 36.0        +1.8   −1.7 to "
             "+5.3  Not resolved (these runs only)\n"
             "\n"
             "Times in ms, rounded as their uncertainty supports. All 2 comparisons hold together at 95 %, those of "
             "these runs only for these runs alone. Margin 2 ms.\n"
             "Wired pedal: 5 trials, 1 rejected, 1 no reaction, baseline.\n"
             "Pedal through hub: 5 trials, 2 without ms.\n"
             "\n"
             "Corrections:\n"
             "  Rolling shutter of Fast camera: none, all rows are exposed at once.\n"
             "  Rolling shutter of Slow camera: none, all rows are exposed at once.\n"
             "  Scan-out: not corrected; each reaction counts where it stands on its display.\n"
             "\n"
             "Checks of Wired pedal, none of which decides:\n"
             "  Median 31.0 ms, too few trials for a 95 % interval by order; half of the trials lie within 1.0 ms of "
             "it.\n"
             "  Fewer than 10 trials, in 1 run: where delays are skewed or in groups, the interval may miss the truth "
             "more often "
             "than it says.\n"
             "\n"
             "Checks of Radio pedal, none of which decides:\n"
             "  Median 41.00 ms, too few trials for a 95 % interval by order; half of the trials lie within 0.00 ms of "
             "it.\n"
             "  By ranks alone the shift from the baseline is +10.00 ms, from +7.00 to +13.00 (97.21 %), p = 0.011, "
             "as if "
             "trials were independent.\n"
             "  Fewer than 10 trials, in 1 run: where delays are skewed or in groups, the interval may miss the truth "
             "more often "
             "than it says.\n"
             "\n"
             "Checks of Pedal through hub, none of which decides:\n"
             "  Median 32.0 ms, too few trials for a 95 % interval by order; half of the trials lie within 2.0 ms of "
             "it.\n"
             "  By ranks alone the shift from the baseline is +2.0 ms, from −3.0 to +7.0 (97.24 %), p = 0.24, as if "
             "trials were independent.\n"
             "  Fewer than 10 trials, in 1 run: where delays are skewed or in groups, the interval may miss the truth "
             "more often "
             "than it says.\n"
             "\n"
             "Note: Clock “Borrowed camera” isn't settled: 2 trials have counts of camera frames and no ms, and are in "
             "no mean.\n");
}

TEST_CASE("an empty session makes tables of a header row", "[report]")
{
    const session::Document empty;
    const Results results = compute(empty);
    CHECK(parsed(resultsCsv(empty, results)).size() == 1);
    CHECK(parsed(trialsCsv(empty, results)).size() == 1);
    CHECK(resultsText(empty, results) == "There are no configurations yet.\n");
}
