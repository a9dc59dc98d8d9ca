// Work off the window's thread.
#include "ui/model/worker.h"
#include <QTest>
#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>

namespace {
constexpr int workPatience = 20'000; // ms; a loaded machine is slow, a lost job never comes
}

TEST_CASE("a stopped job delivers nothing, is not waited for and holds up none behind it", "[worker]")
{
    std::atomic<bool> answers = false;
    bool first = false;
    int second = 0;
    ui::Worker worker;
    worker.run(
        [&](std::stop_token) {
            while (!answers)
                std::this_thread::sleep_for(std::chrono::milliseconds(1));
            return 1;
        },
        [&](int) { first = true; }, [&](const QString&) { first = true; });
    QTest::qWait(20);
    worker.stop();
    worker.run([](std::stop_token) { return 2; }, [&](int result) { second = result; }, [](const QString&) {});
    const bool came = QTest::qWaitFor([&] { return second == 2; }, workPatience);
    answers = true;
    CHECK(came);
    QTest::qWait(50);
    CHECK_FALSE(first);
}

TEST_CASE("jobs are done in order, as many at a time as were asked for", "[worker]")
{
    const int threads = GENERATE(1, 3);
    constexpr int jobs = 12;
    std::atomic<int> atWork = 0, most = 0;
    std::vector<int> done;
    ui::Worker worker(0, threads);
    for (int i = 0; i < jobs; ++i)
        worker.run(
            [&, i](std::stop_token) {
                const int now = ++atWork;
                for (int before = most; before < now && !most.compare_exchange_weak(before, now);) {
                }
                std::this_thread::sleep_for(std::chrono::milliseconds(2));
                --atWork;
                return i;
            },
            [&](int result) { done.push_back(result); }, [](const QString&) {});
    REQUIRE(QTest::qWaitFor([&] { return done.size() == jobs; }, workPatience));
    CHECK(most <= threads);
    if (threads == 1)
        CHECK(std::is_sorted(done.begin(), done.end()));
}
