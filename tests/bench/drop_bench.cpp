#include "tests/bench/drop_bench.h"
#include "core/session/session_store.h"
#include "tests/bench/bare_libav.h"
#include "tests/watched_disk.h"
#include "ui/desk/captures.h"
#include "ui/model/file_paths.h"

#include <QCoreApplication>
#include <QTemporaryDir>
#include <QTimer>
#include <algorithm>
#include <fstream>
#include <limits>
#include <stdexcept>
#include <thread>

namespace bench {

namespace {

using Paths = std::vector<std::filesystem::path>;
constexpr int copies = 9;                                // dropped behind one that is broken or slow
constexpr auto slowRead = std::chrono::milliseconds(8);  // for the 32 KiB that libav reads at once: 4 MiB/s
constexpr std::uintmax_t four = std::uintmax_t{1} << 32; // GiB
constexpr auto patience = std::chrono::milliseconds(120'000);

/// A copy with so many bytes more in its file, at least 16, in a box that players pass over; they take no room on the
/// disk.
void copyWithMore(const std::filesystem::path& film, const std::filesystem::path& to, std::uintmax_t more)
{
    std::filesystem::copy_file(film, to, std::filesystem::copy_options::overwrite_existing);
    const std::uintmax_t size = std::filesystem::file_size(to);
    std::string head("\0\0\0\1free", 8); // 1: the size follows, in 64 bits
    for (int shift = 56; shift >= 0; shift -= 8)
        head += static_cast<char>(more >> shift & 0xff);
    std::ofstream file(to, std::ios::binary | std::ios::app);
    if (!file.write(head.data(), std::ssize(head)).flush())
        throw std::runtime_error("can't write " + to.string());
    file.close();
    std::filesystem::resize_file(to, size + more);
}

void wait(const std::function<bool()>& holds, const char* forWhat)
{
    const Stopwatch watch;
    while (!holds()) {
        if (watch.ms() > std::chrono::duration<double, std::milli>(patience).count())
            throw std::runtime_error(std::string("waited in vain for ") + forWhat);
        QCoreApplication::processEvents(QEventLoop::WaitForMoreEvents);
    }
}

/// Ms from the drop of `dropped` on an empty session until all of `awaited` are captures that can be looked at and the
/// first of them is.
double drop(const Paths& dropped, const Paths& awaited)
{
    const QTemporaryDir folder;
    const std::filesystem::path file = ui::toPath(folder.filePath(QStringLiteral("drop.tallyframe")));
    session::SessionStore::write(file, {});
    ui::SessionModel model;
    ui::FootagePool pool;
    ui::Captures captures(model, pool);
    QTimer awake; // what is waited for need not come by an event of its own
    awake.start(1);
    model.open(ui::fromPath(file));
    wait([&] { return model.phase() == ui::SessionModel::Phase::Open; }, "the session");
    const QString first = ui::fromPath(awaited.front());
    QObject::connect(&pool, &ui::FootagePool::stateChanged, &captures, [&](const QString& path) {
        if (path == first && pool.isOpen(path))
            pool.want(path, {{0}}, 1);
    });
    QStringList files;
    for (const auto& path : dropped)
        files << ui::fromPath(path);
    const Stopwatch watch;
    captures.add(files);
    wait(
        [&] {
            const auto usable = std::ranges::count_if(
                model.document()->captures, [&](const auto& entry) { return captures.usable(*entry.second); });
            return usable >= std::ssize(awaited) && pool.picture(first, {0});
        },
        "the first picture");
    return watch.ms();
}

} // namespace

Rows measureDrops(const Film& film, const Effort& effort)
{
    if (film.path.extension() != ".mp4")
        return {};
    int argc = 1;
    char name[] = "tallyframe_bench";
    char* argv[] = {name, nullptr};
    const QCoreApplication application(argc, argv);

    const std::filesystem::path folder = film.path.parent_path() / "dropped";
    std::filesystem::create_directories(folder);
    const auto larger = folder / "larger.mp4", broken = folder / "a broken.mp4", slow = folder / "a slow.mp4";
    copyWithMore(film.path, larger, four);
    copyWithMore(film.path, slow, 16);
    std::ofstream(broken) << "no film at all\n";
    Paths others;
    for (int i = 0; i < copies; ++i) // of another size each: the same bytes aren't taken in twice
        copyWithMore(film.path, others.emplace_back(folder / ("b " + std::to_string(i) + ".mp4")),
                     static_cast<std::uintmax_t>(17 + i));
    const auto behind = [&](const std::filesystem::path& front) {
        Paths all{front};
        all.insert(all.end(), others.begin(), others.end());
        return all;
    };

    constexpr double never = std::numeric_limits<double>::infinity();
    double alone = never, withMore = never, bare = never, nine = never, behindBroken = never, behindSlow = never;
    bare::Jumper jumper(film.path, 1);
    for (int round = 0; round < effort.rounds() * 2; ++round) {
        alone = std::min(alone, drop({film.path}, {film.path}));
        withMore = std::min(withMore, drop({larger}, {larger}));
        bare = std::min(bare, timed([&] {
                            bare::scanPackets(film.path);
                            jumper.jump(0);
                        }));
        nine = std::min(nine, drop(others, others));
        behindBroken = std::min(behindBroken, drop(behind(broken), others));
        const WatchedDisk disk(slow, [](std::int64_t) { std::this_thread::sleep_for(slowRead); });
        behindSlow = std::min(behindSlow, drop(behind(slow), others));
    }
    std::filesystem::remove_all(folder);
    const std::string size = std::to_string(std::filesystem::file_size(film.path) >> 20) + " MiB";
    return {{film.name, "drop to first picture, " + size, alone, "ms", "packet scan and one picture", bare},
            {film.name, "drop to first picture, the same in 4 GiB, the rest an empty box", withMore, "ms", "of " + size,
             alone},
            {film.name, "ten dropped, the first broken: the nine and a picture", behindBroken, "ms", "the nine alone",
             nine},
            {film.name, "ten dropped, the first on a disk of 4 MiB/s: the nine and a picture", behindSlow, "ms",
             "the nine alone", nine}};
}

} // namespace bench
