#include "tests/app/program.h"
#include "tests/filmed_lights.h"
#include "tests/footage/temp_folder.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <catch2/catch.hpp>
#include <cmath>

TEST_CASE("clock --bands tells the line time of a filmed light, or why there is none", "[app]")
{
    const TempFolder folder;
    footage::make(light_film::bands(9.4e-6), folder / "bands.mp4");
    const QString file = QString::fromStdString((folder / "bands.mp4").string());

    const Outcome found = run({"clock", file, "--bands", "1871", "--capture-rate", "240", "--json"});
    CHECK(found.status == 0);
    CHECK(std::abs(found.json()["lineTimeSeconds"].toDouble() - 9.4e-6)
          < 0.003 * 9.4e-6); // 16 pictures of an encoded film
    CHECK(found.json()["standardUncertaintySeconds"].toDouble() > 0);
    CHECK(found.json()["direction"].toString() == "first row first");

    const Outcome refused = run({"clock", file, "--bands", "400", "--capture-rate", "240", "--json"});
    CHECK(refused.status == 3);
    CHECK(refused.json()["lineTimeSeconds"].isNull());
    CHECK(refused.problem.contains("longer than a camera frame lasts"));

    CHECK(run({"clock", file, "--bands", "fast"}).problem.contains("--bands takes a number of pulses a second"));
    CHECK(run({"clock", file, "--bands", "1871", "--region", "0,0,96,289"})
              .problem.contains("beyond the picture of 96 x 288"));
    CHECK(run({"clock", file, "--bands", "1871", "--from-frame", "24"}).problem.contains("0 to 23"));
}

TEST_CASE("results --pair compares two configurations by name or place, and says what is wrong with others", "[app]")
{
    const QString session = QStringLiteral(SAMPLE_SESSION);
    const Outcome byPlace = run({"results", session, "--pair", "2", "--against", "4", "--json"});
    CHECK(byPlace.status == 0);
    CHECK(byPlace.json()["pair"].toBool());
    CHECK(byPlace.json()["configurations"].toArray().size() == 2);
    const QString first = byPlace.json()["configurations"][0]["name"].toString(),
                  second = byPlace.json()["baseline"].toString();
    CHECK(run({"results", session, "--pair", first, "--against", second, "--json"}).output == byPlace.output);
    CHECK(run({"results", session, "--pair", "2", "--against", "4"})
              .output.contains("none of the comparisons with the baseline"));

    CHECK(run({"results", session, "--pair", "2"}).status == 2);
    CHECK(run({"results", session, "--pair", "2", "--against", "2"}).problem.contains("the same configuration"));
    CHECK(run({"results", session, "--pair", "2", "--against", "99"})
              .problem.contains("there is no configuration \"99\""));
}
