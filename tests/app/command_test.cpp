#include "tests/app/program.h"
#include "tests/filmed_lights.h"
#include "tests/footage/temp_folder.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <catch2/catch.hpp>

namespace {

constexpr double trueRate = 239.4, lampFrequency = 9.7;

footage::Spec lampSpec(int flashes) { return light_film::lamp(trueRate, lampFrequency, flashes); }

QString text(const std::filesystem::path& path) { return QString::fromStdString(path.string()); }

QString regionText(const footage::Rect& r)
{
    return QStringLiteral("%1,%2,%3,%4").arg(r.x).arg(r.y).arg(r.width).arg(r.height);
}

/// The keys that scripts rely on, there whether a rate was found or not.
void checkKeys(const QJsonObject& fit)
{
    for (const char* key :
         {"rate", "standardUncertainty", "interval95", "leastSquares", "edges", "residuals", "warnings"}) {
        INFO(key);
        CHECK(fit.contains(QString::fromLatin1(key)));
    }
}

} // namespace

TEST_CASE("clock --json tells a good fit with its figures, and ends fine", "[app]")
{
    const TempFolder folder;
    const footage::Truth truth = footage::make(lampSpec(30), folder / "lamp.mp4");
    const Outcome good = run({QStringLiteral("clock"), text(folder / "lamp.mp4"), QStringLiteral("--lamp-frequency"),
                              QStringLiteral("9.7"), QStringLiteral("--lamp-tolerance"), QStringLiteral("50"),
                              QStringLiteral("--region"), regionText(truth.lamp), QStringLiteral("--json")});
    REQUIRE(good.status == 0);
    CHECK(good.problem.isEmpty());
    const QJsonObject fit = good.json();
    checkKeys(fit);
    const QJsonArray interval = fit[QStringLiteral("interval95")].toArray();
    REQUIRE(interval.size() == 2);
    CHECK(interval[0].toDouble() <= trueRate);
    CHECK(interval[1].toDouble() >= trueRate);
    CHECK(interval[0].toDouble() < fit[QStringLiteral("rate")].toDouble());
    CHECK(fit[QStringLiteral("standardUncertainty")].toDouble() > 0);
    CHECK(fit[QStringLiteral("edges")].toInt() > 50);
    CHECK(fit[QStringLiteral("residuals")].toArray().size() == fit[QStringLiteral("edges")].toInt());
    const QJsonObject leastSquares = fit[QStringLiteral("leastSquares")].toObject();
    CHECK(std::abs(leastSquares[QStringLiteral("rate")].toDouble() - trueRate) < 0.2); // some hundred ppm over 3 s
    CHECK(leastSquares[QStringLiteral("standardUncertainty")].toDouble() > 0);
}

TEST_CASE("clock --json of a refused fit has the same keys without values, and ends with 3", "[app]")
{
    const TempFolder folder;
    footage::make(lampSpec(4), folder / "lamp.mp4");
    // Where nothing blinks there is no lamp to fit.
    const Outcome refused =
        run({QStringLiteral("clock"), text(folder / "lamp.mp4"), QStringLiteral("--lamp-frequency"),
             QStringLiteral("9.7"), QStringLiteral("--region"), QStringLiteral("0,0,8,8"), QStringLiteral("--json")});
    CHECK(refused.status == 3);
    const QJsonObject fit = refused.json();
    checkKeys(fit);
    CHECK(fit[QStringLiteral("rate")].isNull());
    CHECK(fit[QStringLiteral("interval95")].isNull());
    CHECK(fit[QStringLiteral("warnings")].toArray().size() >= 1);
    CHECK(refused.problem.contains("lamp.mp4"));
    CHECK(refused.problem.count('\n') == 1); // one sentence
}

TEST_CASE("clock says in one sentence what is wrong with a region, a frequency or a file", "[app]")
{
    const TempFolder folder;
    footage::make(lampSpec(2), folder / "lamp.mp4");
    const auto with = [&](const QString& file, const QString& frequency, const QString& region) {
        return run({QStringLiteral("clock"), text(folder / file.toStdString()), QStringLiteral("--lamp-frequency"),
                    frequency, QStringLiteral("--region"), region, QStringLiteral("--json")});
    };
    const QString film = QStringLiteral("lamp.mp4"), hertz = QStringLiteral("9.7");
    const Outcome words = with(film, hertz, QStringLiteral("1,2,3"));
    CHECK(words.status == 2);
    CHECK(words.problem.contains("X,Y,W,H"));
    CHECK(words.output.isEmpty());
    const Outcome beyond = with(film, hertz, QStringLiteral("300,0,100,20"));
    CHECK(beyond.status == 2);
    CHECK(beyond.problem.contains("320 x 180"));
    CHECK(with(film, QStringLiteral("-1"), QStringLiteral("0,0,8,8")).status == 2);
    const Outcome missing = with(QStringLiteral("not_there.mp4"), hertz, QStringLiteral("0,0,8,8"));
    CHECK(missing.status == 3);
    CHECK(missing.problem.contains("not_there.mp4"));
    CHECK(missing.output.isEmpty());
}

TEST_CASE("inspect --json tells stamps, steps, runs and the pieces of a ramped file", "[app]")
{
    const TempFolder folder;
    footage::Spec spec = lampSpec(10);
    spec.camera.frames = 240;
    spec.storage.playbackRate = {240, 1};
    spec.storage.speeds = {{81, {30, 1}}, {181, {240, 1}}}; // captured evenly, the middle played slowly
    footage::make(spec, folder / "ramped.mp4");
    const Outcome ramped = run({QStringLiteral("inspect"), text(folder / "ramped.mp4"), QStringLiteral("--json")});
    REQUIRE(ramped.status == 0);
    const QJsonObject file = ramped.json()[QStringLiteral("files")].toArray().at(0).toObject();
    const QJsonObject stamps = file[QStringLiteral("stampPattern")].toObject();
    CHECK(stamps[QStringLiteral("irregular")].toBool());
    CHECK(stamps[QStringLiteral("stamped")].toInt() == 240);
    CHECK(stamps[QStringLiteral("steps")].toObject()[QStringLiteral("count")].toInt() == 239);
    CHECK(stamps[QStringLiteral("histogram")].toArray().size() == 2);
    CHECK(stamps[QStringLiteral("allRuns")].toInt() == 3);
    const QJsonArray pieces = stamps[QStringLiteral("pieces")].toArray();
    REQUIRE(pieces.size() == 3);
    CHECK(pieces[1].toObject()[QStringLiteral("first")].toInt() == 81);
    CHECK(pieces[1].toObject()[QStringLiteral("last")].toInt() == 180);
    CHECK(std::abs(pieces[1].toObject()[QStringLiteral("step")].toDouble() * 30 - 1) < 1e-6);
    CHECK(std::abs(pieces[2].toObject()[QStringLiteral("step")].toDouble() * 240 - 1) < 1e-6);
    CHECK(file[QStringLiteral("rateEvidence")].isArray());
    const QJsonArray tags = file[QStringLiteral("rateTags")].toArray();
    REQUIRE(tags.size() == 1);
    CHECK(tags[0].toObject()[QStringLiteral("key")].toString() == QLatin1String("container frame rate"));
    CHECK(tags[0].toObject()[QStringLiteral("says")].toString() == QLatin1String("noRate"));
    CHECK(tags[0].toObject()[QStringLiteral("rate")].isNull());

    CHECK(file[QStringLiteral("pictures")].isNull()); // packets don't tell of repeats
    CHECK_FALSE(file[QStringLiteral("confirmed")].toBool());
    const Outcome brief = run({QStringLiteral("inspect"), text(folder / "ramped.mp4")});
    CHECK(brief.output.count('\n') <= 6);
    CHECK(brief.output.contains("3 that play at different speeds"));
    CHECK(brief.output.contains("240 by the packets"));
    const Outcome all = run(
        {QStringLiteral("inspect"), text(folder / "ramped.mp4"), QStringLiteral("--all"), QStringLiteral("--decode")});
    CHECK(all.output.contains("camera frames 81 to 180, stamps 33.3333 ms apart"));
    CHECK(all.output.contains("240, all decoded"));
    CHECK(run({QStringLiteral("inspect"), text(folder / "none.mp4"), QStringLiteral("--json")}).status == 3);
}

TEST_CASE("inspect --json tells that every second picture repeats the one before, and what that says of the rate",
          "[app]")
{
    const TempFolder folder;
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 200;
    spec.camera.nominalRate = {240, 1};
    spec.scene.handSpeed = 1.5;
    spec.scene.presses = 1;
    spec.storage.barcode = false;
    spec.storage.bFrames = 0;
    spec.storage.quality = 16;
    spec.storage.playbackRate = {240, 1};
    for (int k = 1; k < spec.camera.frames; k += 2)
        spec.camera.repeated.push_back(k);
    footage::make(spec, folder / "doubled.mp4");
    const QJsonObject file = run({QStringLiteral("inspect"), text(folder / "doubled.mp4"), QStringLiteral("--json"),
                                  QStringLiteral("--decode")})
                                 .json()[QStringLiteral("files")]
                                 .toArray()
                                 .at(0)
                                 .toObject();
    const QJsonObject pictures = file[QStringLiteral("pictures")].toObject();
    CHECK(pictures[QStringLiteral("verdict")].toString() == QLatin1String("periodic"));
    CHECK(pictures[QStringLiteral("period")].toInt() == 2);
    CHECK(pictures[QStringLiteral("repeats")].toArray().size() > 60);
    CHECK(
        pictures[QStringLiteral("sentence")].toString().contains(QLatin1String("may really capture at 120 a second")));
    const QJsonArray evidence = file[QStringLiteral("rateEvidence")].toArray();
    REQUIRE(evidence.size() == 2);
    CHECK(evidence[0].toObject()[QStringLiteral("origin")].toString() == QLatin1String("stamps"));
    CHECK(evidence[1].toObject()[QStringLiteral("origin")].toString() == QLatin1String("pictures"));
    CHECK(std::abs(evidence[1].toObject()[QStringLiteral("rate")].toDouble() - 120)
          < 0.01); // stamps of the container's ticks
    CHECK_FALSE(evidence[1].toObject()[QStringLiteral("agrees")].toBool());
}
