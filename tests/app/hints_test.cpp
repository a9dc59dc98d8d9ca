#include "tests/app/program.h"
#include "tests/footage/reaction_film.h"
#include "tests/footage/temp_folder.h"
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <catch2/catch.hpp>

TEST_CASE("hints --json names presses, responses and what changed", "[app]")
{
    const TempFolder folder;
    footage::ReactionSpec spec;
    spec.seed = 3;
    spec.kind = footage::ReactionKind::Appears;
    spec.contrast = 60;
    spec.width = 320;
    spec.height = 180;
    spec.presses = 1;
    const footage::ReactionTruth truth = footage::filmReactions(spec, folder / "film.mp4");
    const auto text = [](const footage::Rect& r) {
        return QStringLiteral("%1,%2,%3,%4").arg(r.x).arg(r.y).arg(r.width).arg(r.height);
    };
    const QString file = QString::fromStdString((folder / "film.mp4").string());
    const QString lamp = text(truth.lamp), screen = text(truth.screen);

    const Outcome found = run({"hints", file, "--lamp", lamp, "--screen", screen, "--json"});
    REQUIRE(found.status == 0);
    const QJsonObject json = found.json();
    const QJsonArray presses = json["presses"].toArray(), responses = json["responses"].toArray();
    REQUIRE(presses.size() == 1);
    CHECK(presses[0].toObject()["frame"].toInt() >= truth.presses[0].first);
    CHECK(presses[0].toObject()["frame"].toInt() <= truth.presses[0].plain);
    CHECK(presses[0].toObject()["strength"].toDouble() >= 1);
    REQUIRE(responses.size() == 1);
    CHECK(responses[0].toObject()["press"] == presses[0].toObject()["frame"]);
    CHECK(std::abs(responses[0].toObject()["frame"].toInt() - truth.presses[0].response.value()) <= 1);
    CHECK(responses[0].toObject()["kind"].toString() == "a thing appears");
    const QJsonArray blocks = responses[0].toObject()["blocks"].toArray();
    REQUIRE_FALSE(blocks.isEmpty());
    for (const QJsonValue& value : blocks) {
        const QJsonArray block = value.toArray();
        REQUIRE(block.size() == 4);
        CHECK(block[0].toInt() >= truth.screen.x);
        CHECK(block[0].toInt() + block[2].toInt() <= truth.screen.x + truth.screen.width);
    }

    CHECK(run({"hints", file, "--screen", screen}).problem.contains("hints needs --lamp X,Y,W,H"));
    CHECK(run({"hints", file, "--lamp", "1,2,3", "--screen", screen}).problem.contains("--lamp takes X,Y,W,H"));
    const Outcome beyond = run({"hints", file, "--lamp", lamp, "--screen", "0,0,321,10"});
    CHECK(beyond.status == 2);
    CHECK(beyond.problem.contains("--screen reaches beyond the picture of 320 x 180"));
}
