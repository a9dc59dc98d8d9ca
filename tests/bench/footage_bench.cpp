#include "tests/bench/footage_bench.h"
#include "core/media/index/confirmation.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/measure/picture_change.h"
#include "core/media/measure/trace.h"
#include "tests/bench/bare_libav.h"
#include "tests/bench/stepper.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <limits>
#include <numeric>
#include <random>
#include <stdexcept>
#include <thread>

namespace bench {

namespace {

using Shared = std::shared_ptr<const media::Footage>;
constexpr std::size_t mebibyte = std::size_t{1} << 20;
constexpr double asTheyCome = 0; ///< ms from step to step

double sum(const std::vector<double>& times) { return std::accumulate(times.begin(), times.end(), 0.0); }

/// The time that a share of them don't exceed; the nearest that occurred.
double quantile(std::vector<double> times, double share)
{
    std::sort(times.begin(), times.end());
    return times[static_cast<std::size_t>(share * static_cast<double>(times.size() - 1) + 0.5)];
}

/// Best of several rounds in which every contender has its turn.
template <class... Work> std::array<double, sizeof...(Work)> inTurn(int rounds, const Work&... work)
{
    std::array<double, sizeof...(Work)> best;
    best.fill(std::numeric_limits<double>::infinity());
    for (int round = 0; round < rounds; ++round) {
        std::size_t i = 0;
        ((best[i] = std::min(best[i], timed(work)), ++i), ...);
    }
    return best;
}

/// Leaves the confirmed index in the cache folder.
void measureOpening(Rows& rows, const Film& film, const Effort& effort, const std::filesystem::path& cache)
{
    const auto [first, scan] = inTurn(
        effort.rounds() * 3, [&] { media::scanFootage(film.path); }, [&] { bare::scanPackets(film.path); });
    rows.push_back({film.name, "first open", first, "ms", "packet scan", scan});
    std::filesystem::remove_all(cache);
    const Shared scanned = media::scanFootage(film.path);
    const auto [confirming, all] = inTurn(
        1, [&] { media::confirmFootage(scanned, {}, {}, {}, cache); }, [&] { bare::decode(film.path, 0); });
    rows.push_back({film.name, "confirming it in the background", confirming, "ms", "decode, all cores", all});
    const auto [again, sameScan] = inTurn(
        effort.rounds() * 3, [&] { media::scanFootage(film.path, {}, {}, {.stream = {}, .cacheFolder = cache}); },
        [&] { bare::scanPackets(film.path); });
    rows.push_back({film.name, "reopening", again, "ms", "packet scan", sameScan});
}

/// From where the wanted direction has the whole film ahead, with a cold cache.
std::vector<double> walk(const Shared& footage, int direction, int steps, double paceMs)
{
    const std::int64_t last = footage->frameCount().value - 1;
    Stepper stepper(footage, 1024 * mebibyte);
    const std::int64_t from = direction > 0 ? 0 : last;
    stepper.want(from, 0); // it is on the screen when the first key comes
    return stepper.walk(from + direction, direction, std::min(steps, static_cast<int>(last)), paceMs);
}

void measureSteps(Rows& rows, const Film& film, const Shared& footage, const Effort& effort)
{
    const auto [one, all] = inTurn(
        1, [&] { bare::decode(film.path, 1); }, [&] { bare::decode(film.path, 0); });
    const double bare = std::min(one, all) / static_cast<double>(footage->frameCount().value);
    for (const int direction : {-1, +1}) {
        const std::string way = direction > 0 ? "forward" : "back";
        const auto steady = walk(footage, direction, effort.steadySteps(), 1000 / effort.pace);
        const std::string steps = std::to_string(steady.size()) + " steps " + way + ", "
                                  + std::to_string(std::lround(effort.pace)) + " a second, ";
        rows.push_back({film.name, steps + "p50", quantile(steady, 0.5), "ms", "decode, a picture", bare});
        rows.push_back({film.name, steps + "p99", quantile(steady, 0.99)});
        rows.push_back({film.name, steps + "longest", quantile(steady, 1)});
        const auto held = walk(footage, direction, effort.steps(), asTheyCome);
        rows.push_back({film.name, "key held " + way + ", a frame", sum(held) / static_cast<double>(held.size()), "ms",
                        "decode, a picture", bare});
    }
}

void measureJumps(Rows& rows, const Film& film, const Shared& footage, const Effort& effort)
{
    const std::int64_t count = footage->frameCount().value;
    std::mt19937 random(7);
    std::vector<std::int64_t> targets;
    for (int i = 0; i < effort.jumps(); ++i)
        targets.push_back(std::uniform_int_distribution<std::int64_t>(1, count - 1)(random));

    media::FrameReader reader(footage);
    bare::Jumper one(film.path, 1), all(film.path, 0);
    double ours = 0, bareOne = 0, bareAll = 0, served = 0, back = 0;
    reader.read({0});
    for (const std::int64_t target : targets) {
        ours += timed([&] { reader.read({target}, {}, {}, timing::FrameNumber{target}); });
        bareOne += timed([&] { one.jump(target); });
        bareAll += timed([&] { all.jump(target); });
        // As the desk does it, a key's time after the one before: with what is being decoded ahead in the way, and
        // nothing of the target's group in the cache.
        Stepper stepper(footage, 1024 * mebibyte);
        stepper.want(target < count / 2 ? count - 1 : 0, 0);
        std::this_thread::sleep_for(std::chrono::duration<double, std::milli>(1000 / effort.pace));
        served += stepper.want(target, 0);
        back += stepper.want(target - 1, -1);
    }
    const auto jumps = static_cast<double>(targets.size());
    const double bare = std::min(bareOne, bareAll) / jumps;
    const std::string against =
        bareOne < bareAll ? "key frame to target, one thread" : "key frame to target, all cores";
    rows.push_back({film.name, "jump, reader, mean", ours / jumps, "ms", against, bare});
    rows.push_back({film.name, "jump, cache and reader, mean", served / jumps, "ms", against, bare});
    rows.push_back({film.name, "first step back after a jump, mean", back / jumps});
}

void measureTraces(Rows& rows, const Film& film, const Shared& footage, const Effort& effort)
{
    const media::Size size = footage->size;
    const std::vector<media::Rect> regions{{size.width / 10, size.height / 10, size.width / 20, size.width / 20},
                                           {size.width / 2, size.height / 4, size.width / 4, size.height / 4}};
    const auto trace = [&](bool blocks) {
        media::traceRegions(*footage, regions, {}, {}, {}, {.previous = true, .references = {}, .blocks = blocks});
    };
    const auto [ours, levels, bare] = inTurn(
        effort.rounds(), [&] { trace(true); }, [&] { trace(false); }, [&] { bare::decode(film.path, 0); });
    rows.push_back({film.name, "traces of two regions", ours, "ms", "decode, all cores", bare});
    rows.push_back(
        {film.name, "the same without the blocks that hints go by", levels, "ms", "decode, all cores", bare});
}

/// A step as the desk shows it, without and with the view of what changed in a quarter of the picture.
void measureChange(Rows& rows, const Film& film, const Shared& footage, const Effort& effort)
{
    const media::Size size = footage->size;
    const media::Rect region{size.width / 4, size.height / 4, size.width / 2, size.height / 2};
    media::View view;
    view.target = {960, 540};
    view.exact = false;
    const int factor = std::max(1, size.width / view.target.width);
    const std::int64_t count = std::min<std::int64_t>(footage->frameCount().value, effort.small ? 8 : 120);
    media::FrameReader reader(footage);
    media::Picture before = reader.read({0});
    const media::Picture first = before;
    media::ChangeMeter fromBefore, fromFirst;
    double decoding = 0, rendering = 0, sinceBefore = 0, sinceFirst = 0, bare = 0;
    for (std::int64_t n = 1; n < count; ++n) {
        media::Picture now;
        decoding += timed([&] { now = reader.read({n}); });
        rendering += timed([&] { media::render(now, view); });
        sinceBefore += timed([&] { fromBefore.measure(before, now, region, {region, factor, 4}); });
        sinceFirst += timed([&] { fromFirst.measure(first, now, region, {region, factor, 4}); });
        bare += timed(
            [&] { bare::subtract(before.native(), now.native(), region.x, region.y, region.width, region.height); });
        before = now;
    }
    const auto steps = static_cast<double>(count - 1);
    const double step = (decoding + rendering) / steps;
    rows.push_back(
        {film.name, "step with the change since the press", step + sinceFirst / steps, "ms", "step without", step});
    rows.push_back({film.name, "step with the change since the frame before", step + sinceBefore / steps, "ms",
                    "step without", step});
    rows.push_back(
        {film.name, "change since the press", sinceFirst / steps, "ms", "subtracting the region's luma", bare / steps});
    rows.push_back({film.name, "change since the frame before", sinceBefore / steps, "ms",
                    "subtracting the region's luma", bare / steps});
}

double peakInProcessOfItsOwn(const std::filesystem::path& program, const Film& film, std::size_t budgetBytes)
{
    const std::string command =
        "'" + program.string() + "' --memory '" + film.path.string() + "' " + std::to_string(budgetBytes);
    FILE* pipe = ::popen(command.c_str(), "r");
    double peak = 0;
    const bool read = pipe && std::fscanf(pipe, "%lf", &peak) == 1;
    if (!pipe || ::pclose(pipe) != 0 || !read)
        throw std::runtime_error("the memory of " + film.name + " couldn't be measured");
    return peak;
}

} // namespace

Rows measureFootage(const Film& film, const Effort& effort, const std::filesystem::path& program)
{
    Rows rows;
    const auto cache = film.path.parent_path() / "indexes";
    if (effort.wants("opening"))
        measureOpening(rows, film, effort, cache);
    const Shared footage = media::openFootage(film.path, {}, {}, {{}, cache});
    if (effort.wants("steps"))
        measureSteps(rows, film, footage, effort);
    if (effort.wants("jumps"))
        measureJumps(rows, film, footage, effort);
    if (effort.wants("traces"))
        measureTraces(rows, film, footage, effort);
    if (effort.wants("change"))
        measureChange(rows, film, footage, effort);
    if (!effort.wants("memory"))
        return rows;
    const std::size_t budget = 1024 * mebibyte;
    rows.push_back({film.name, "memory, cache budget 1024 MiB", peakInProcessOfItsOwn(program, film, budget), "MiB",
                    "the budget", static_cast<double>(budget / mebibyte)});
    return rows;
}

double memoryPeak(const std::filesystem::path& film, std::size_t budgetBytes)
{
    const Shared footage = media::scanFootage(film);
    const std::int64_t last = footage->frameCount().value - 1;
    {
        Stepper stepper(footage, budgetBytes);
        const int steps = static_cast<int>(std::min<std::int64_t>(last + 1, 600));
        stepper.walk(0, +1, steps, asTheyCome);
        stepper.walk(last, -1, steps, asTheyCome);
    }
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.starts_with("VmHWM:"))
            return std::stod(line.substr(6)) / 1024; // in kB there
    throw std::runtime_error("this system doesn't tell a process' memory peak in /proc/self/status");
}

} // namespace bench
