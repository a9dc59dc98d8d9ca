#include "core/report/results_json.h"
#include "tests/core/analysis/small_session.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <catch2/catch.hpp>
#include <cmath>

using namespace analysis;
using namespace report;

TEST_CASE("results as JSON hold the figures in full precision", "[report]")
{
    const small::Session s = small::session();
    const Results results = compute(s.document);
    const QJsonObject all = QJsonDocument::fromJson(resultsJson(s.document, results, "1.2.3")).object();
    CHECK(all["program"] == "Tallyframe 1.2.3");
    CHECK(all["baseline"] == "Wired pedal");
    CHECK(all["marginMs"] == 2.0);
    CHECK(all["warnings"].toArray().size() == 1);

    const QJsonArray configurations = all["configurations"].toArray();
    REQUIRE(configurations.size() == 3);
    const QJsonObject radio = configurations[1].toObject();
    CHECK(radio["meanMs"].toDouble() == results.configurations[1].mean.shown()->estimateMs);
    CHECK(radio["interval"].toObject()["highMs"].toDouble()
          == results.configurations[1].mean.shown()->interval->high());
    CHECK(radio["delaysMs"].toArray().size() == 5);
    CHECK(radio["comparison"].toObject()["verdict"] == "longer");
    CHECK(radio["comparison"].toObject()["interval"].toObject()["halfWidthMs"].toDouble()
          == results.configurations[1].comparison->interval->halfWidthMs);
    const QJsonArray budget = radio["budget"].toArray();
    REQUIRE(budget.size() == 4);
    CHECK(budget[1].toObject()["kind"] == "phase");
    CHECK(budget[1].toObject()["dof"].isNull()); // endless
    const QJsonObject counts = configurations[2].toObject()["frameCounts"].toArray().first().toObject();
    CHECK(counts["clock"] == "Borrowed camera");
    CHECK(counts["most"] == 27);
}

TEST_CASE("results as JSON hold no ms and no rate where the clock isn't settled", "[report]")
{
    const small::Session s = small::session();
    const QJsonObject all = QJsonDocument::fromJson(resultsJson(s.document, compute(s.document), "1.2.3")).object();
    const QJsonObject last = all["trials"].toArray().last().toObject();
    CHECK(last["state"] == "clock not settled");
    CHECK(last["countedFrames"] == 25);
    CHECK(last["missingFrames"] == 2);
    CHECK(last["delayMs"].isNull());
    CHECK(last["earliestMs"].isNull());
    const QJsonObject clock = all["clocks"].toArray().last().toObject();
    CHECK(clock["name"] == "Borrowed camera");
    CHECK(clock["state"] == "proposed");
    CHECK(clock["captureRate"].isNull());
}

TEST_CASE("results of an empty session are JSON as well", "[report]")
{
    QJsonParseError error;
    const QJsonObject all = QJsonDocument::fromJson(resultsJson({}, compute({}), "1.2.3"), &error).object();
    CHECK(error.error == QJsonParseError::NoError);
    CHECK(all["baseline"].isNull());
    CHECK(all["configurations"].toArray().isEmpty());
}

TEST_CASE("corrections, readout and weights are in the results for other programs", "[report]")
{
    small::Session s = small::session();
    session::Clock fast = *find(s.document, s.fast);
    fast.readout = {session::ReadoutKind::LineTime, 1e-5, 1e-7, session::ReadoutDirection::LastRowFirst, "bands"};
    small::put(s.document, fast);
    s.document.settings.event.lampLeadMs = 0.5;
    const auto parsed = [&](const Results& results) {
        return QJsonDocument::fromJson(resultsJson(s.document, results, "1")).object();
    };
    const QJsonObject all = parsed(compute(s.document));
    CHECK_FALSE(all["pair"].toBool());
    CHECK(all["corrections"]["lampLeadMs"].toDouble() == 0.5);
    CHECK(all["corrections"]["sentences"].toArray().size() == 4); // two clocks, scan-out, lamp
    const QJsonObject readout = all["clocks"][0]["readout"].toObject();
    CHECK(readout["direction"].toString() == "last row first");
    CHECK_FALSE(readout["allRowsAtOnce"].toBool());
    const QJsonObject rows = all["trials"][0]["corrections"]["rows"].toObject();
    CHECK(std::abs(rows["addMs"].toDouble() + 1) < 1e-9); // 100 rows at 0.01 ms, read from the last one: by hand
    for (const QJsonValue& line : all["configurations"][0]["budget"].toArray())
        CHECK(std::abs(std::abs(line["weight"].toDouble()) * line["u"].toDouble() - line["uMs"].toDouble())
              < 1e-12); // full precision

    const QJsonObject pair = parsed(pairOf(s.document, s.radio, s.hub));
    CHECK(pair["pair"].toBool());
    CHECK(pair["configurations"].toArray().size() == 2);
    CHECK_THAT(pair["configurations"][0]["comparison"]["interval"]["level"].toDouble(),
               Catch::WithinAbs(0.95, 1e-12)); // of this pair alone
}
