#include "core/media/cache/frame_service.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/parts.h"
#include "tests/core/media/films.h"
#include "tests/watched_disk.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <condition_variable>
#include <fstream>
#include <map>
#include <mutex>
#include <numeric>
#include <random>
#include <thread>

namespace {

using media::FrameService;
using namespace std::chrono_literals;

constexpr auto patience = 20s; // for a loaded machine and sanitizers; what is waited for takes milliseconds

/// What a window would do with deliveries.
class Inbox {
public:
    FrameService::Deliver deliver()
    {
        return [this](const FrameService::Delivery& delivery) {
            const std::lock_guard lock(m_mutex);
            m_all.push_back(delivery);
            m_changed.notify_all();
        };
    }

    /// The first delivery of this frame since clear().
    std::optional<FrameService::Delivery> wait(FrameService::Handle handle, std::int64_t n)
    {
        std::unique_lock lock(m_mutex);
        const auto find = [&] {
            return std::find_if(m_all.begin(), m_all.end(),
                                [&](const auto& d) { return d.handle == handle && d.frame.value == n; });
        };
        if (!m_changed.wait_for(lock, patience, [&] { return find() != m_all.end(); }))
            return std::nullopt;
        return *find();
    }

    std::vector<FrameService::Delivery> all()
    {
        const std::lock_guard lock(m_mutex);
        return m_all;
    }

    void clear()
    {
        const std::lock_guard lock(m_mutex);
        m_all.clear();
    }

private:
    std::mutex m_mutex;
    std::condition_variable m_changed;
    std::vector<FrameService::Delivery> m_all;
};

bool waitFor(const std::function<bool()>& met)
{
    const auto end = std::chrono::steady_clock::now() + patience;
    while (!met()) {
        if (std::chrono::steady_clock::now() > end)
            return false;
        std::this_thread::sleep_for(1ms);
    }
    return true;
}

bool isRight(const media::Footage& footage, const FrameService::Delivery& delivery)
{
    return delivery.picture && delivery.fault.empty()
           && delivery.picture.hash() == footage.frames[delivery.frame.value].hash;
}

/// Bytes of one of these small pictures in the cache.
std::size_t pictureBytes(const std::shared_ptr<const media::Footage>& footage)
{
    return media::FrameReader(footage).read({0}).bytes();
}

std::int64_t memoryKiB(const std::string& key)
{
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.starts_with(key + ":"))
            return std::stoll(line.substr(key.size() + 1));
    return -1;
}

} // namespace

TEST_CASE("wanted frames are delivered once each, cached ones too", "[media][service]")
{
    const auto footage = smallFilm("mp4");
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    CHECK_FALSE(service.cached(handle, {30}));
    service.want(handle, {{30}, {29}, {31}}, 0);
    for (const std::int64_t n : {29, 30, 31}) {
        const auto delivery = inbox.wait(handle, n);
        REQUIRE(delivery);
        CHECK(isRight(*footage, *delivery));
    }
    CHECK(service.cached(handle, {30}).hash() == footage->frames[30].hash);
    CHECK(service.cachedBytes() > 0);
    CHECK(inbox.all().size() == 3);

    inbox.clear();
    service.want(handle, {{30}}, 0);
    CHECK(inbox.wait(handle, 30));
    CHECK(inbox.all().size() == 1);
}

TEST_CASE("frames that come out otherwise than they were indexed are delivered, and told of once", "[media][service]")
{
    const auto footage = smallFilm("mp4");
    const auto other = std::make_shared<media::Footage>(*footage);
    other->frames[30].hash ^= 1;
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(other);
    const auto doubts = [&] {
        const auto all = inbox.all();
        return std::count_if(all.begin(), all.end(), [](const auto& delivery) { return !delivery.doubt.empty(); });
    };
    service.want(handle, {{30}, {31}}, 0);
    for (const std::int64_t n : {30, 31}) {
        const auto delivery = inbox.wait(handle, n);
        REQUIRE(delivery);
        CHECK(isRight(*footage, *delivery));
    }
    REQUIRE(waitFor([&] { return doubts() == 1; }));
    const auto all = inbox.all();
    const auto doubt =
        std::find_if(all.begin(), all.end(), [](const auto& delivery) { return !delivery.doubt.empty(); });
    CHECK(doubt->frame == timing::FrameNumber{30});
    CHECK_FALSE(doubt->picture);
    CHECK_THAT(doubt->doubt, Catch::StartsWith("Frame 30 of ") && Catch::Contains("small.mp4") && Catch::EndsWith("."));
    service.want(handle, {{59}}, 0);
    REQUIRE(inbox.wait(handle, 59));
    service.want(handle, {{29}}, 0);
    REQUIRE(inbox.wait(handle, 29));
    CHECK(doubts() == 1);
}

TEST_CASE("frames ahead come over entry points and the seams of parts", "[media][service]")
{
    const auto part = smallFilm("mp4"); // groups of 12
    const auto lie = std::make_shared<media::Footage>(*part);
    lie->frames[0].cleanEntry = false; // as where a part begins in damage
    const auto footage = media::joinParts({part, lie});
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    service.want(handle, {{44}}, 1);
    REQUIRE(inbox.wait(handle, 44));
    for (std::int64_t n = 45; n <= 44 + 24; ++n) {
        INFO("frame " << n);
        REQUIRE(waitFor([&] { return static_cast<bool>(service.cached(handle, {n})); }));
        CHECK(service.cached(handle, {n}).hash() == footage->frames[n].hash);
    }
    CHECK(inbox.all().size() == 1);
}

TEST_CASE("a pass takes what is kept and decodes the rest, in order and once each", "[media][service][pass]")
{
    const TempFolder folder;
    const std::filesystem::path path = folder / "passed.mp4";
    std::filesystem::copy_file(smallFilm("mp4")->path, path);
    const auto decoded = media::openFootage(path);
    const auto footage = GENERATE(true, false) ? decoded : media::scanFootage(path);
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    service.want(handle, {{25}, {26}, {27}}, 0);
    for (const std::int64_t n : {25, 26, 27})
        REQUIRE(inbox.wait(handle, n));
    std::vector<std::int64_t> numbers;
    const auto each = [&](timing::FrameNumber n, const media::Picture& picture) {
        numbers.push_back(n.value);
        CHECK(picture.hash() == decoded->frames[n.value].hash);
    };
    const auto passed = [&](std::int64_t first, std::int64_t count) {
        numbers.clear();
        service.pass(handle, {first}, {count}, each, {});
        return numbers;
    };
    std::vector<std::int64_t> expected(25);
    std::iota(expected.begin(), expected.end(), std::int64_t{15});
    CHECK(passed(15, 25) == expected);
    for (const std::int64_t n : expected)
        CHECK(service.cached(handle, {n}));
    std::filesystem::remove(path); // nothing can be decoded any more
    CHECK(passed(15, 25) == expected);
    CHECK_THROWS_AS(passed(38, 10), core::Error);
    CHECK(numbers == std::vector<std::int64_t>{38, 39});
}

TEST_CASE("a pass ends with the film, at a stop, and when the footage is removed", "[media][service][pass]")
{
    const auto footage = smallFilm("mp4");
    FrameService service(std::size_t{64} << 20, [](const FrameService::Delivery&) {});
    const auto handle = service.add(footage);
    int count = 0;
    service.pass(handle, {50}, {100}, [&](timing::FrameNumber, const media::Picture&) { ++count; }, {});
    CHECK(count == 10);

    std::stop_source stop;
    count = 0;
    CHECK_THROWS_AS(service.pass(
                        handle, {0}, {60},
                        [&](timing::FrameNumber n, const media::Picture&) {
                            ++count;
                            if (n.value == 20)
                                stop.request_stop();
                        },
                        stop.get_token()),
                    core::Cancelled);
    CHECK(count < 60);

    count = 0;
    CHECK_THROWS_AS(service.pass(handle, {0}, {60},
                                 [&](timing::FrameNumber n, const media::Picture&) {
                                     ++count;
                                     if (n.value == 20)
                                         service.remove(handle);
                                 },
                                 {}),
                    core::Cancelled);
    CHECK(count == 21);
    CHECK_THROWS_AS(service.pass(handle, {0}, {60}, [](timing::FrameNumber, const media::Picture&) {}, {}),
                    core::Cancelled);
}

TEST_CASE("frames ahead are in the cache before they are wanted, whichever way one goes", "[media][service]")
{
    const auto footage = smallFilm("mp4");
    const int direction = GENERATE(-1, 1);
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    service.want(handle, {{30}}, direction);
    REQUIRE(inbox.wait(handle, 30));
    for (std::int64_t step = 1; step <= 24; ++step) {
        const timing::FrameNumber n{30 + step * direction};
        INFO("frame " << n.value);
        CHECK(waitFor([&] { return static_cast<bool>(service.cached(handle, n)); }));
    }
    CHECK(inbox.all().size() == 1); // what nobody asked for isn't delivered
}

TEST_CASE("the frames right before a jump's target are there for the first steps back", "[media][service]")
{
    footage::Spec spec = smallSpec(150);
    spec.storage.gop = 70;
    const auto footage = media::openFootage(film("long_way.mp4", spec));
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    service.want(handle, {{60}}, 0);
    const auto delivery = inbox.wait(handle, 60);
    REQUIRE(delivery);
    CHECK(isRight(*footage, *delivery));
    for (std::int64_t n = 59; n >= 50; --n)
        CHECK(service.cached(handle, {n}).hash() == footage->frames[n].hash);
}

TEST_CASE("a group four times the budget is decoded once for the way back through it, and a frame at rest is native",
          "[media][service][tiers]")
{
    footage::Spec spec = smallSpec(240);
    spec.camera.width = 1280;
    spec.camera.height = 720;
    spec.storage.gop = 240;
    spec.storage.preset = "ultrafast";
    const auto footage = media::openFootage(film("large_group.mp4", spec));
    const std::size_t budget = 60 * pictureBytes(footage);
    Inbox inbox;
    FrameService service(budget, inbox.deliver());
    const auto handle = service.add(footage);
    service.setReduction(handle, {4, {{100, 100, 60, 40}}});
    service.want(handle, {{239}}, -1, FrameService::Detail::Reduced);
    REQUIRE(inbox.wait(handle, 239));
    CHECK(waitFor(
        [&] { return service.cached(handle, {0}) && service.cached(handle, {120}) && service.cached(handle, {230}); }));
    for (std::int64_t n = 239; n >= 0; --n) {
        INFO("frame " << n);
        CHECK(waitFor([&] { return static_cast<bool>(service.cached(handle, {n})); }));
        CHECK(service.cached(handle, {n}).hash() == footage->frames[n].hash);
        CHECK(service.cachedBytes() <= budget);
    }
    CHECK(service.cached(handle, {238}).native());
    CHECK_FALSE(service.cached(handle, {5}).native());

    inbox.clear();
    service.want(handle, {{5}}, -1, FrameService::Detail::Reduced);
    const auto travelling = inbox.wait(handle, 5);
    REQUIRE(travelling);
    CHECK_FALSE(travelling->picture.native()); // at once, as the cache has it
    inbox.clear();
    service.want(handle, {{5}}, -1, FrameService::Detail::Native);
    const auto resting = inbox.wait(handle, 5);
    REQUIRE(resting);
    REQUIRE(resting->picture.native());
    CHECK(isRight(*footage, *resting));
    CHECK(service.cached(handle, {5}).native());

    service.setBudget(budget / 4); // at once
    CHECK(service.cachedBytes() <= budget / 4);
}

TEST_CASE("a newer request drops what an older one still waits for", "[media][service]")
{
    footage::Spec spec = smallSpec(600);
    spec.storage.gop = 600;
    const auto footage = media::openFootage(film("long_group.mp4", spec));
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    for (std::int64_t n = 599; n > 500; --n) // a held key, much quicker than decoding from frame 0
        service.want(handle, {{n}}, -1);
    service.want(handle, {{3}}, 0);
    REQUIRE(inbox.wait(handle, 3));
    CHECK(inbox.all().size() < 50);
}

TEST_CASE("the cache keeps to its budget and to what is near", "[media][service]")
{
    const auto first = smallFilm("mp4"), second = smallFilm("avi");
    const std::size_t budget = 20 * pictureBytes(first);
    Inbox inbox;
    FrameService service(budget, inbox.deliver());
    const auto a = service.add(first), b = service.add(second);
    for (const std::int64_t n : {0, 50, 20, 40, 59, 5}) {
        for (const auto handle : {a, b}) {
            service.want(handle, {{n}}, n % 2 ? 1 : -1);
            const auto delivery = inbox.wait(handle, n);
            REQUIRE(delivery);
            CHECK(isRight(handle == a ? *first : *second, *delivery));
            CHECK(service.cachedBytes() <= budget);
            CHECK(service.cached(handle, {n}));
        }
        inbox.clear();
    }
}

TEST_CASE("a budget smaller than one picture still shows every picture", "[media][service]")
{
    const auto footage = smallFilm("mp4");
    Inbox inbox;
    FrameService service(1000, inbox.deliver());
    const auto handle = service.add(footage);
    for (const std::int64_t n : {13, 12, 59}) {
        service.want(handle, {{n}}, -1);
        const auto delivery = inbox.wait(handle, n);
        REQUIRE(delivery);
        CHECK(isRight(*footage, *delivery));
    }
    CHECK(service.cachedBytes() == 0);
}

TEST_CASE("nothing is delivered for footage that was removed", "[media][service]")
{
    const auto footage = smallFilm("mp4");
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    for (int round = 0; round < 20; ++round) {
        const auto handle = service.add(footage);
        service.want(handle, {{59}, {30}, {2}, {45}}, 1);
        if (round % 3)
            std::this_thread::sleep_for(std::chrono::milliseconds(round));
        service.remove(handle);
        inbox.clear();
        CHECK_FALSE(service.cached(handle, {59}));
        service.want(handle, {{3}}, 0);
        std::this_thread::sleep_for(2ms);
        CHECK(inbox.all().empty());
    }
}

TEST_CASE("footage may be removed out of a delivery", "[media][service]")
{
    const auto footage = smallFilm("mp4");
    FrameService* service = nullptr;
    std::atomic<bool> removed = false;
    FrameService real(std::size_t{64} << 20, [&](const FrameService::Delivery& delivery) {
        service->remove(delivery.handle);
        removed = true;
    });
    service = &real;
    real.want(real.add(footage), {{10}, {11}}, 1);
    CHECK(waitFor([&] { return removed.load(); }));
}

TEST_CASE("footage that can't be read any more is told with each wanted frame", "[media][service]")
{
    const TempFolder folder;
    const std::filesystem::path path = folder / "gone.mp4";
    std::filesystem::copy_file(film("small.mp4", smallSpec()), path);
    const auto footage = media::openFootage(path);
    std::filesystem::remove(path);
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto handle = service.add(footage);
    service.want(handle, {{10}, {20}}, 1);
    for (const std::int64_t n : {10, 20}) {
        const auto delivery = inbox.wait(handle, n);
        REQUIRE(delivery);
        CHECK_FALSE(delivery->picture);
        CHECK_THAT(delivery->fault, Catch::Contains("gone.mp4"));
    }
    std::filesystem::copy_file(film("small.mp4", smallSpec()), path); // the disk is back
    inbox.clear();
    service.want(handle, {{10}}, 1);
    const auto delivery = inbox.wait(handle, 10);
    REQUIRE(delivery);
    CHECK(isRight(*footage, *delivery));
}

TEST_CASE("what decoding confirms keeps its pictures, under their own numbers, and names the wrong ones",
          "[media][service][replace]")
{
    const auto decoded = smallFilm("mp4");
    auto scanned = std::make_shared<media::Footage>(*decoded);
    scanned->confirmed = false;
    Inbox inbox;
    FrameService service(std::size_t{64} << 20, inbox.deliver());
    const auto before = service.add(scanned);
    service.want(before, {{20}, {21}}, 0);
    REQUIRE(inbox.wait(before, 20));
    REQUIRE(inbox.wait(before, 21));

    // As if decoding had found one frame more at the beginning, and another picture than was shown for 21.
    auto found = std::make_shared<media::Footage>(*decoded);
    found->frames.insert(found->frames.begin(), found->frames.front());
    found->frames[22].hash += 1;
    media::Confirmation confirmation{found, {}, {}};
    for (std::int64_t n = 0; n < decoded->frameCount().value; ++n)
        confirmation.moved.push_back(timing::FrameNumber{n + 1});
    const auto compared = service.compare(before, confirmation, {});
    CHECK(compared.wrong == std::vector<timing::FrameNumber>{{22}});
    const auto after = service.replace(before, found, compared);
    CHECK_FALSE(service.cached(before, {20}));
    CHECK(service.cached(after, {21}).hash() == decoded->frames[20].hash);
    CHECK_FALSE(service.cached(after, {22}));
    std::stop_source stopped;
    stopped.request_stop();
    CHECK_THROWS_AS(service.compare(after, {found, {}, {}}, stopped.get_token()), core::Cancelled);
}

TEST_CASE("a storm of requests gives nothing but right pictures", "[media][service][storm]")
{
    const std::vector<std::shared_ptr<const media::Footage>> films{smallFilm("mp4"), smallFilm("mkv"),
                                                                   smallFilm("avi")};
    const std::size_t budget = 40 * pictureBytes(films[0]);
    std::mutex mutex;
    std::map<FrameService::Handle, std::shared_ptr<const media::Footage>> open;
    std::atomic<int> delivered = 0, passed = 0, wrong = 0;
    std::atomic<std::uint64_t> latest = 0; // handle and frame
    {
        FrameService service(budget, [&](const FrameService::Delivery& delivery) {
            std::shared_ptr<const media::Footage> footage;
            {
                const std::lock_guard lock(mutex);
                footage = open.contains(delivery.handle) ? open[delivery.handle] : nullptr;
            }
            wrong += !footage || !isRight(*footage, delivery);
            latest = delivery.handle << 32 | static_cast<std::uint64_t>(delivery.frame.value);
            ++delivered;
        });
        const auto add = [&](std::size_t film) {
            const std::lock_guard lock(mutex); // deliveries for it come after this
            const auto handle = service.add(films[film]);
            open[handle] = films[film];
            return handle;
        };
        std::vector<FrameService::Handle> handles{add(0), add(1), add(2)};
        std::mt19937 random(99);
        std::jthread pass([&](const std::stop_token& stop) { // gives way to what is wanted, and uses what is kept
            std::mt19937 own(100);
            while (!stop.stop_requested()) {
                std::pair<FrameService::Handle, std::shared_ptr<const media::Footage>> chosen;
                {
                    const std::lock_guard lock(mutex);
                    chosen = *std::next(open.begin(), static_cast<std::ptrdiff_t>(own() % open.size()));
                }
                std::int64_t next = static_cast<std::int64_t>(own() % 60);
                try {
                    service.pass(
                        chosen.first, {next}, {static_cast<std::int64_t>(1 + own() % 30)},
                        [&](timing::FrameNumber n, const media::Picture& picture) {
                            wrong += n.value != next++ || picture.hash() != chosen.second->frames[n.value].hash;
                            ++passed;
                        },
                        stop);
                } catch (const core::Cancelled&) {
                    // Removed or replaced meanwhile, or the end.
                }
            }
        });
        for (int request = 0; request < 600; ++request) {
            const std::size_t film = random() % 3;
            if (random() % 40 == 0) {
                service.remove(handles[film]);
                handles[film] = add(film);
            }
            if (random() % 10 == 0)
                service.setReduction(handles[film], {static_cast<int>(1 + random() % 4), {{8, 8, 40, 30}}});
            if (random() % 50 == 0)
                service.setBudget(budget / (1 + random() % 3));
            if (random() % 30 == 0) { // as when the background has confirmed it
                const auto compared = service.compare(handles[film], {films[film], {}, {}}, {});
                CHECK(compared.wrong.empty());
                handles[film] = service.replace(handles[film], films[film], compared); // waits for deliveries: unlocked
                const std::lock_guard lock(mutex);
                open[handles[film]] = films[film];
            }
            std::vector<timing::FrameNumber> frames;
            for (std::size_t i = 0; i <= random() % 4; ++i)
                frames.push_back({static_cast<std::int64_t>(random() % 60)});
            service.want(handles[film], frames, static_cast<int>(random() % 3) - 1,
                         random() % 2 ? FrameService::Detail::Native : FrameService::Detail::Reduced);
            service.cached(handles[film], frames.front());
            if (random() % 8 == 0)
                std::this_thread::sleep_for(std::chrono::microseconds(random() % 3000));
            CHECK(service.cachedBytes() <= budget);
            if (request % 20 == 0) { // breath to serve one
                service.want(handles[film], {frames.front()}, 1);
                CHECK(waitFor([&] {
                    return latest.load() == (handles[film] << 32 | static_cast<std::uint64_t>(frames.front().value));
                }));
            }
        }
    }
    CHECK(wrong == 0);
    CHECK(delivered >= 30);
    CHECK(passed > 0);
}

TEST_CASE("memory stays near the budget for footage four times as large", "[media][service][memory]")
{
    footage::Spec spec = smallSpec(240);
    spec.camera.width = 1280;
    spec.camera.height = 720;
    spec.storage.gop = 60;
    spec.storage.preset = "ultrafast";
    const auto footage = media::openFootage(film("large.mp4", spec));
    const std::size_t one = pictureBytes(footage);
    const std::size_t budget = 60 * one;
    REQUIRE(footage->frames.size() * one >= 4 * budget);

    std::ofstream("/proc/self/clear_refs") << "5"; // the peak counts from here
    const std::int64_t before = memoryKiB("VmRSS");
    REQUIRE(before > 0);
    Inbox inbox;
    FrameService service(budget, inbox.deliver());
    const auto handle = service.add(footage);
    for (std::int64_t n = 239; n >= 0; n -= 3) {
        service.want(handle, {{n}}, -1);
        const auto delivery = inbox.wait(handle, n);
        REQUIRE(delivery);
        CHECK(isRight(*footage, *delivery));
        inbox.clear();
    }
    for (std::int64_t n = 0; n < 240; n += 6) {
        service.want(handle, {{n}}, 1);
        REQUIRE(inbox.wait(handle, n));
        inbox.clear();
    }
    const std::int64_t peak = memoryKiB("VmHWM") - before;
    INFO("budget " << budget / 1024 << " KiB, peak above the start " << peak << " KiB");
    // Two readers with a decoder's own pictures each, and what the store keeps for the next ones.
    CHECK(peak * 1024 < static_cast<std::int64_t>(budget) + (std::int64_t{60} << 20));
}

TEST_CASE("leaving during a jump on a slow disk waits for one read", "[media][service][stop]")
{
    const auto footage = smallFilm("mkv");
    std::atomic<bool> leaving = false;
    std::atomic<int> readsLeft = 0;
    const WatchedDisk disk(footage->path, [&](std::int64_t) {
        readsLeft += leaving;
        std::this_thread::sleep_for(20ms);
    });
    {
        FrameService service(std::size_t{64} << 20, [](const FrameService::Delivery&) {});
        service.want(service.add(footage), {{59}}, 0);
        REQUIRE(waitFor([&] { return disk.reads() >= 3; }));
        leaving = true;
    }
    CHECK(readsLeft <= 1);
}
