#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"

#include <QApplication>
#include <QCoreApplication>
#include <clocale>
#include <functional>
#include <optional>

namespace {

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

/// What is printed for an option that stands alone; empty for anything else.
std::optional<QString> generalAnswer(const QString& first)
{
    if (first == QLatin1String("--help") || first == QLatin1String("-h"))
        return app::helpText();
    if (first == QLatin1String("--version"))
        return QStringLiteral("tallyframe " TALLYFRAME_VERSION);
    if (first == QLatin1String("--man-page"))
        return app::manualPage();
    if (first == QLatin1String("--completion"))
        return app::bashCompletion();
    return std::nullopt;
}

} // namespace

int main(int argc, char* argv[])
{
    QCoreApplication::setApplicationName(QStringLiteral("tallyframe"));
    QCoreApplication::setApplicationVersion(QStringLiteral(TALLYFRAME_VERSION));

    QStringList arguments;
    for (int i = 1; i < argc; ++i)
        arguments << QString::fromLocal8Bit(argv[i]);
    const QString first = arguments.value(0);
    if (const std::optional<QString> answer = generalAnswer(first)) {
        app::printLine(*answer);
        return app::Fine;
    }
    const app::Form& form = app::formOf(arguments);
    const bool isCommand = *form.command != '\0';
    if (isCommand && arguments.contains(QStringLiteral("--help"))) {
        app::printLine(app::helpText(first));
        return app::Fine;
    }
    const auto run = [&form, isCommand] { // Qt takes its own options out of the arguments
        return guarded(
            [&] { return form.run(app::Arguments(form, QCoreApplication::arguments().mid(isCommand ? 2 : 1))); });
    };
    if (form.needs == app::Form::Nothing) {
        const QCoreApplication application(argc, argv);
        return run();
    }
    // Painting needs fonts and paint devices, never a screen, and must not depend on the one there is.
    if (form.needs == app::Form::Painting)
        qputenv("QT_QPA_PLATFORM", "offscreen");
    const QApplication application(argc, argv);
    return run();
}
