#include "tests/gui/footage_films.h"
#include "core/media/decode/frame_reader.h"
#include "tests/watched_disk.h"
#include "ui/footage/footage_pool.h"
#include <QDir>
#include <QFile>
#include <QScopeGuard>
#include <QSignalSpy>
#include <QTest>
#include <catch2/catch.hpp>
#include <chrono>
#include <atomic>
#include <set>
#include <thread>

using ui::FootagePool;
using State = ui::FootageState;

namespace {

constexpr int patience = 20'000; // ms; a loaded machine is slow, a broken pool never gets there

bool openAndWait(FootagePool& pool, const QString& path)
{
    pool.open(path);
    return QTest::qWaitFor([&] { return pool.find(path)->state() != State::Found; }, patience);
}

bool confirmAndWait(FootagePool& pool, const QString& path)
{
    return openAndWait(pool, path) && QTest::qWaitFor([&] { return !pool.find(path)->isDecoding; }, patience);
}

media::Rect lampRegion()
{
    const auto& r = benchFilm().truth.lamp;
    return {r.x, r.y, r.width, r.height};
}

media::Rect screenRegion()
{
    const auto& r = benchFilm().truth.screen;
    return {r.x, r.y, r.width, r.height};
}

} // namespace

TEST_CASE("footage opens in the background and passes through its states", "[pool]")
{
    FootagePool pool;
    const QString path = benchFilm().path;
    std::vector<State> seen;
    QObject::connect(&pool, &FootagePool::stateChanged, [&](const QString& p) {
        if (const ui::KnownFootage* known = pool.find(p))
            seen.push_back(known->state());
    });

    CHECK_FALSE(pool.find(path));
    CHECK(pool.footage(path) == nullptr);
    REQUIRE(openAndWait(pool, path));
    CHECK(seen == std::vector{State::Found, State::Found, State::Scanned}); // given, begun with, read
    REQUIRE(pool.footage(path));
    CHECK(pool.footage(path)->frameCount().value == std::int64_t(benchFilm().truth.frames.size()));
    CHECK(pool.fault(path).isEmpty());

    pool.close(path);
    CHECK_FALSE(pool.find(path));
    CHECK_FALSE(pool.picture(path, {0}));
}

TEST_CASE("footage can be looked at before it is confirmed, and keeps its pictures then", "[pool][confirm]")
{
    FootagePool pool;
    const QString path = benchFilm().path;
    int confirmations = 0;
    double share = 0;
    QObject::connect(&pool, &FootagePool::confirmed, [&](const QString& p, const media::Confirmation& confirmation) {
        ++confirmations;
        CHECK(p == path);
        CHECK(confirmation.moved.empty());
        CHECK(pool.footage(p) == confirmation.footage);
    });
    QObject::connect(&pool, &FootagePool::progressChanged, [&](const QString& p) {
        CHECK(pool.find(p)->confirmedShare >= share);
        share = pool.find(p)->confirmedShare;
    });
    REQUIRE(openAndWait(pool, path));
    REQUIRE_FALSE(pool.footage(path)->confirmed);
    CHECK(pool.find(path)->isDecoding);
    pool.trace(path, lampRegion()); // rides in the confirming pass
    bool came = false;
    QObject::connect(&pool, &FootagePool::pictureReady, [&](const QString&, qint64 n) { came = came || n == 40; });
    pool.want(path, {{40}}, 1);
    REQUIRE(QTest::qWaitFor([&] { return came; }, patience));
    REQUIRE(confirmAndWait(pool, path));
    CHECK(confirmations == 1);
    CHECK(pool.find(path)->confirmedShare == 1);
    const auto footage = pool.footage(path);
    REQUIRE(footage->confirmed);
    const media::Picture kept = pool.picture(path, {40});
    REQUIRE(kept);
    CHECK(kept.hash() == footage->frames[40].hash);
    CHECK(pool.trace(path, lampRegion())->size() == footage->frames.size());
}

TEST_CASE("footage that goes before it is confirmed says so and keeps what can be known", "[pool][confirm]")
{
    TempFolder folder;
    FootagePool pool;
    const QString path = QString::fromStdString((folder / "gone.mp4").string());
    REQUIRE(QFile::copy(benchFilm().path, path));
    REQUIRE(openAndWait(pool, path));
    REQUIRE(QFile::remove(path)); // before the event loop has begun to decode it
    REQUIRE(confirmAndWait(pool, path));
    CHECK_FALSE(pool.find(path)->decodingFault.isEmpty());
    CHECK(pool.find(path)->state() == State::Scanned);
    CHECK(pool.fault(path).contains(QStringLiteral("gone.mp4")));
}

TEST_CASE("a film whose disk stops answering while it is decoded holds up no other", "[pool][confirm]")
{
    TempFolder folder;
    const QString a = QString::fromStdString((folder / "a.mp4").string()),
                  b = QString::fromStdString((folder / "b.mp4").string());
    REQUIRE(QFile::copy(benchFilm().path, a));
    REQUIRE(QFile::copy(benchFilm().path, b));
    FootagePool pool;
    std::atomic<bool> stuck = false;
    const WatchedDisk disk(folder / "a.mp4", [&](std::int64_t) {
        while (stuck)
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
    });
    const auto answersAgain = qScopeGuard([&] { stuck = false; });
    QObject::connect(&pool, &FootagePool::stateChanged, [&](const QString& path) {
        if (path == a && pool.isOpen(a) && !pool.isOpen(b))
            stuck = true;
    });
    REQUIRE(openAndWait(pool, a));
    QTest::qWait(50); // its decoding is begun
    REQUIRE(confirmAndWait(pool, b));
    CHECK(pool.footage(b)->confirmed);
    CHECK_FALSE(pool.footage(a)->confirmed);
    stuck = false;
    REQUIRE(confirmAndWait(pool, a));
    CHECK(pool.footage(a)->confirmed);
}

TEST_CASE("what can't be opened says why and can be tried again", "[pool]")
{
    FootagePool pool;
    TempFolder folder;
    const QString path = QString::fromStdString((folder / "later.mp4").string());
    REQUIRE(openAndWait(pool, path));
    CHECK(pool.find(path)->state() == State::Absent);
    CHECK(pool.fault(path).contains(QStringLiteral("later.mp4")));

    REQUIRE(QFile::copy(benchFilm().path, path));
    pool.open(path);
    REQUIRE(QTest::qWaitFor([&] { return pool.isOpen(path); }, patience));
    CHECK(pool.fault(path).isEmpty());
}

TEST_CASE("a wanted picture arrives and is the one that reading the file gives", "[pool]")
{
    FootagePool pool;
    const QString path = benchFilm().path;
    REQUIRE(openAndWait(pool, path));
    media::FrameReader reader(pool.footage(path));

    std::map<qint64, std::string> arrived;
    QObject::connect(&pool, &FootagePool::pictureReady, [&](const QString& p, qint64 n) {
        REQUIRE(p == path);
        const media::Picture picture = pool.picture(p, {n});
        REQUIRE(picture);
        arrived[n] = picture.md5();
    });
    pool.want(path, {{123}, {122}, {-1}, {1'000'000}}, -1); // what isn't in the footage is passed over
    REQUIRE(QTest::qWaitFor([&] { return arrived.size() == 2; }, patience));
    CHECK(arrived.at(123) == reader.read({123}).md5());
    CHECK(arrived.at(122) == reader.read({122}).md5());
}

TEST_CASE("a delivered picture can be had in the slot even when the cache has no room for it", "[pool]")
{
    FootagePool pool(nullptr, 1);
    const QString path = benchFilm().path;
    REQUIRE(openAndWait(pool, path));
    bool had = false;
    QObject::connect(&pool, &FootagePool::pictureReady,
                     [&](const QString& p, qint64 n) { had = bool(pool.picture(p, {n})); });
    pool.want(path, {{7}}, 0);
    CHECK(QTest::qWaitFor([&] { return had; }, patience));
}

TEST_CASE("traces grow from frame 0 to the last one and equal what is measured in each picture", "[pool][trace]")
{
    FootagePool pool;
    const QString path = benchFilm().path;
    CHECK(pool.trace(path, lampRegion()) == nullptr);
    REQUIRE(openAndWait(pool, path));

    const std::size_t all = benchFilm().truth.frames.size();
    std::size_t longest = 0;
    QObject::connect(&pool, &FootagePool::traceGrew, [&](const QString&) {
        const std::size_t now = pool.trace(path, lampRegion())->size();
        CHECK(now >= longest);
        longest = now;
    });
    REQUIRE(pool.trace(path, lampRegion()));
    pool.trace(path, screenRegion());
    REQUIRE(
        QTest::qWaitFor([&] { return longest == all && pool.trace(path, screenRegion())->size() == all; }, patience));

    media::FrameReader reader(pool.footage(path));
    for (const std::int64_t n : {std::int64_t{0}, std::int64_t{97}, std::int64_t(all) - 1}) {
        const media::Picture picture = reader.read({n});
        CHECK((*pool.trace(path, lampRegion()))[std::size_t(n)].mean == media::measure(picture, lampRegion()).mean);
        CHECK((*pool.trace(path, screenRegion()))[std::size_t(n)].mean == media::measure(picture, screenRegion()).mean);
    }
    CHECK(pool.traceFault(path, lampRegion()).isEmpty());
}

TEST_CASE("the traces of the footage in view go first, and those put off come all the same", "[pool][trace]")
{
    TempFolder folder;
    FootagePool pool;
    QStringList paths;
    for (const char* name : {"one.mp4", "two.mp4", "three.mp4"}) {
        paths << QString::fromStdString((folder / name).string());
        REQUIRE(QFile::copy(benchFilm().path, paths.back()));
        REQUIRE(openAndWait(pool, paths.back()));
    }
    const std::size_t all = benchFilm().truth.frames.size();
    QStringList order;
    QObject::connect(&pool, &FootagePool::traceGrew, [&](const QString& path) {
        if (!order.contains(path) && pool.trace(path, lampRegion())->size() == all)
            order << path;
    });
    for (const QString& path : paths)
        pool.trace(path, lampRegion());
    pool.want(paths.front(), {{0}}, 0);
    REQUIRE(QTest::qWaitFor([&] { return order.size() == 3; }, patience));
    CHECK(order.front() == paths.front());
}

TEST_CASE("a trace of footage that was exchanged under it says so", "[pool][trace]")
{
    TempFolder folder;
    FootagePool pool;
    const QString path = QString::fromStdString((folder / "exchanged.mp4").string());
    REQUIRE(QFile::copy(benchFilm().path, path));
    REQUIRE(openAndWait(pool, path));
    REQUIRE(QFile::remove(path));
    pool.trace(path, lampRegion());
    REQUIRE(QTest::qWaitFor([&] { return !pool.traceFault(path, lampRegion()).isEmpty(); }, patience));
    CHECK(pool.traceFault(path, lampRegion()).contains(QStringLiteral("exchanged.mp4")));
}

TEST_CASE("checksums come from the background, and a missing file is told", "[pool][checksum]")
{
    FootagePool pool;
    QSignalSpy ready(&pool, &FootagePool::checksumReady);
    QSignalSpy failed(&pool, &FootagePool::checksumFailed);
    const QString path = benchFilm().path;
    pool.open(path);
    pool.checksum(path);
    pool.checksum(path); // under way already: told once
    pool.open(QStringLiteral("/nowhere/at/all.mp4"));
    pool.checksum(QStringLiteral("/nowhere/at/all.mp4"));
    REQUIRE(QTest::qWaitFor([&] { return ready.count() >= 1 && failed.count() >= 1; }, patience));
    CHECK(ready.count() == 1);
    CHECK(ready.front().at(1).toString().toStdString() == media::partsSha256({path.toStdString()}));
    CHECK(failed.front().at(0).toString() == QStringLiteral("/nowhere/at/all.mp4"));
}

TEST_CASE("once all of a film was decoded its checksum reads next to nothing", "[pool][checksum]")
{
    FootagePool pool;
    QSignalSpy ready(&pool, &FootagePool::checksumReady);
    const QString path = benchFilm().path;
    // Where the window asks for it: as soon as it is told.
    std::unique_ptr<WatchedDisk> disk;
    QObject::connect(&pool, &FootagePool::confirmed, [&] {
        disk = std::make_unique<WatchedDisk>(path.toStdString());
        pool.checksum(path);
    });
    REQUIRE(confirmAndWait(pool, path));
    REQUIRE(disk);
    REQUIRE(QTest::qWaitFor([&] { return ready.count() == 1; }, patience));
    CHECK(disk->bytes() < std::int64_t(std::filesystem::file_size(path.toStdString())) / 10);
    disk.reset();
    CHECK(ready.front().at(1).toString().toStdString() == media::partsSha256({path.toStdString()}));
}

TEST_CASE("indexing stops on request and nothing of it comes later", "[pool]")
{
    FootagePool pool;
    const QString path = benchFilm().path;
    pool.open(path);
    pool.close(path);
    CHECK_FALSE(pool.find(path));
    QTest::qWait(100);
    CHECK_FALSE(pool.find(path));
    REQUIRE(openAndWait(pool, path)); // and it can be opened after all
    CHECK(pool.find(path)->state() == State::Scanned);
}

TEST_CASE("an index that was kept serves the next pool, and a folder that can't be written is told once", "[pool]")
{
    TempFolder folder;
    const QString path = benchFilm().path;
    SECTION("kept")
    {
        const QString kept = QString::fromStdString((folder / "indexes").string());
        for (int time = 0; time < 2; ++time) {
            FootagePool pool;
            pool.setIndexFolder(kept);
            QSignalSpy notKept(&pool, &FootagePool::indexNotKept);
            REQUIRE(openAndWait(pool, path));
            CHECK(pool.footage(path)->confirmed == (time == 1));
            REQUIRE(confirmAndWait(pool, path));
            CHECK(pool.footage(path)->frameCount().value == std::int64_t(benchFilm().truth.frames.size()));
            CHECK(notKept.count() == 0);
            CHECK_FALSE(QDir(kept).isEmpty());
        }
    }
    SECTION("not kept")
    {
        const QString file = QString::fromStdString((folder / "a file").string());
        REQUIRE(QFile::copy(path, file)); // no folder can be made below a file
        FootagePool pool;
        pool.setIndexFolder(file + QStringLiteral("/indexes"));
        QSignalSpy notKept(&pool, &FootagePool::indexNotKept);
        REQUIRE(confirmAndWait(pool, path));
        REQUIRE(confirmAndWait(pool, file));
        CHECK(pool.find(path)->state() == State::Scanned);
        CHECK(pool.find(file)->state() == State::Scanned);
        CHECK(notKept.count() == 1);
    }
}

TEST_CASE("the pool goes quickly in the middle of its work", "[pool]")
{
    TempFolder folder;
    auto pool = std::make_unique<FootagePool>();
    REQUIRE(openAndWait(*pool, benchFilm().path));
    pool->trace(benchFilm().path, lampRegion());
    pool->want(benchFilm().path, {{300}}, 1);
    pool->checksum(benchFilm().path);
    for (int i = 0; i < 20; ++i) {
        const QString copy = QString::fromStdString((folder / (std::to_string(i) + ".mp4")).string());
        REQUIRE(QFile::copy(benchFilm().path, copy));
        pool->open(copy);
    }
    QTest::qWait(20);
    const auto begun = std::chrono::steady_clock::now();
    pool.reset();
    const auto taken = std::chrono::steady_clock::now() - begun;
    // Twenty times the indexing of this film would take seconds; a stop is polled for each packet.
    CHECK(std::chrono::duration<double>(taken).count() < 1.0);
}
