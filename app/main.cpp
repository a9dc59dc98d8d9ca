#include "app/commands.h"
#include "core/error.h"

#include <QApplication>
#include <QCoreApplication>
#include <clocale>
#include <functional>
#include <memory>

namespace {

struct Command {
    const char* name;
    int (*run)(const QStringList&);
    enum { Plain, OffScreen } needs;
};

constexpr Command commands[] = {
    {"inspect", app::inspect, Command::Plain},   {"clock", app::clock, Command::Plain},
    {"stills", app::stills, Command::Plain},     {"results", app::results, Command::Plain},
    {"check", app::check, Command::Plain},       {"publish", app::publish, Command::OffScreen},
    {"runsheet", app::runSheet, Command::Plain}, {"packet", app::packet, Command::Plain},
    {"bringin", app::bringIn, Command::Plain},
};

const Command* commandNamed(const QString& name)
{
    for (const Command& command : commands)
        if (name == QLatin1String(command.name))
            return &command;
    return nullptr;
}

/// Every error ends here as one sentence and a status.
int guarded(const std::function<int()>& run)
{
    // QCoreApplication takes over the user's locale; figures here have a decimal point everywhere.
    std::setlocale(LC_NUMERIC, "C");
    try {
        return run();
    } catch (const app::UsageError& error) {
        app::printProblem(std::string(error.what()) + "; tallyframe --help shows how it is called.");
        return app::WrongUsage;
    } catch (const core::Error& error) {
        app::printProblem(error.what());
        return error.kind() == core::ErrorKind::WriteFailed ? app::OutputFailed : app::InputFailed;
    } catch (const std::exception& error) {
        app::printProblem(std::string("stopped by something unforeseen: ") + error.what());
        return app::InputFailed;
    }
}

} // namespace

int main(int argc, char* argv[])
{
    QCoreApplication::setApplicationName(QStringLiteral("tallyframe"));
    QCoreApplication::setApplicationVersion(QStringLiteral(TALLYFRAME_VERSION));

    const QString first = argc > 1 ? QString::fromLocal8Bit(argv[1]) : QString();
    if (first == QLatin1String("--help") || first == QLatin1String("-h")) {
        app::printLine(app::usage());
        return app::Fine;
    }
    if (first == QLatin1String("--version")) {
        app::printLine(QStringLiteral("tallyframe " TALLYFRAME_VERSION));
        return app::Fine;
    }

    const Command* command = commandNamed(first);
    if (command != nullptr && command->needs == Command::Plain) {
        const QCoreApplication application(argc, argv);
        return guarded([&] { return command->run(application.arguments().mid(2)); });
    }
    if (command != nullptr) {
        // Drawing needs fonts and paint devices, never a screen, and must not depend on the one there is.
        qputenv("QT_QPA_PLATFORM", "offscreen");
        const QApplication application(argc, argv);
        return guarded([&] { return command->run(application.arguments().mid(2)); });
    }
    const QApplication application(argc, argv);
    return guarded([&] { return app::workstation(application.arguments().mid(1)); });
}
