#include "tests/bench/start_bench.h"
#include "tests/bench/bare_libav.h"

#include <QProcess>
#include <algorithm>
#include <limits>
#include <stdexcept>

namespace bench {

namespace {

/// Ms until the program ends.
double run(const QString& program, const QStringList& arguments, const QProcessEnvironment& environment)
{
    QProcess process;
    process.setProcessEnvironment(environment);
    const Stopwatch watch;
    process.start(program, arguments);
    constexpr int patience = 60'000;
    if (!process.waitForFinished(patience) || process.exitStatus() != QProcess::NormalExit || process.exitCode() != 0)
        throw std::runtime_error("the start of " + program.toStdString()
                                 + " couldn't be measured: " + process.readAllStandardError().toStdString());
    return watch.ms();
}

} // namespace

Rows measureStart(const std::filesystem::path& workstation, const std::filesystem::path& folder, const Effort& effort)
{
    QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
    environment.insert(QStringLiteral("QT_QPA_PLATFORM"), QStringLiteral("offscreen"));
    for (const char* place : {"XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"})
        environment.insert(QLatin1String(place), QString::fromStdString((folder / "home").string()));
    const QString program = QString::fromStdString(workstation.string());
    double usable = std::numeric_limits<double>::infinity(), bare = usable;
    for (int round = 0; round < effort.rounds() * 2; ++round) {
        usable = std::min(usable, run(program, {QStringLiteral("--until-usable")}, environment));
        bare = std::min(bare, run(program, {QStringLiteral("--version")}, environment));
    }
    return {{"program", "start to usable", usable, "ms", "started to tell its version", bare}};
}

Rows measureInspecting(const std::filesystem::path& workstation, const Film& film, const Effort& effort)
{
    const QString program = QString::fromStdString(workstation.string()),
                  path = QString::fromStdString(film.path.string());
    const auto environment = QProcessEnvironment::systemEnvironment();
    const auto started = [&] { run(program, {QStringLiteral("--version")}, environment); };
    constexpr double never = std::numeric_limits<double>::infinity();
    double packets = never, scan = never, decoding = never, decode = never;
    for (int round = 0; round < effort.rounds(); ++round) {
        packets = std::min(packets, run(program, {QStringLiteral("inspect"), path}, environment));
        scan = std::min(scan, timed([&] {
                            started();
                            bare::scanPackets(film.path);
                        }));
        decoding = std::min(decoding,
                            run(program, {QStringLiteral("inspect"), QStringLiteral("--decode"), path}, environment));
        decode = std::min(decode, timed([&] {
                              started();
                              bare::decode(film.path, 0);
                          }));
    }
    return {{film.name, "inspect", packets, "ms", "started to tell its version, packet scan", scan},
            {film.name, "inspect --decode", decoding, "ms", "started to tell its version, decode, all cores", decode}};
}

} // namespace bench
