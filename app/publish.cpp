#include "app/arguments.h"
#include "app/commands.h"
#include "app/desk_picture.h"
#include "core/error.h"
#include "core/session/open_session.h"
#include "ui/look/look.h"
#include "ui/publish/publish.h"

#include <QApplication>
#include <QFileInfo>
#include <csignal>

namespace app {
namespace {

volatile std::sig_atomic_t stopAsked = 0;

/// Ctrl+C takes back what is half way, as Stop does in the window.
report::PublishedFolder::Written published(const session::Document& document, const ui::PublishInto& into,
                                           std::vector<report::Product> further)
{
    std::stop_source source;
    ui::PublishRun run;
    run.further = std::move(further);
    run.stop = source.get_token();
    run.progress = [&](std::size_t, std::size_t) {
        if (stopAsked)
            source.request_stop();
    };
    for (const int signal : {SIGINT, SIGTERM})
        std::signal(signal, [](int) { stopAsked = 1; });
    try {
        return ui::publish(document, into, TALLYFRAME_VERSION, run);
    } catch (const core::Cancelled&) {
        throw core::Error(core::ErrorKind::WriteFailed, "Publishing was stopped; nothing was changed.");
    } catch (const core::Error& error) {
        if (error.kind() != core::ErrorKind::Refused)
            throw;
        throw core::Error(core::ErrorKind::WriteFailed, std::string(error.what()) + " --replace replaces them.");
    }
}

} // namespace

int publish(const Arguments& given)
{
    const QString session = given.onlyOperand(QStringLiteral("session"));
    const session::ReadSession read = session::readSession(session.toStdString());
    for (const std::string& report : read.reports)
        printProblem(report);

    ui::applyLook(*qApp);
    const std::filesystem::path folder = given.value(QStringLiteral("out")).toStdString();
    const ui::PublishInto into(folder, QFileInfo(session).fileName().toStdString(),
                               given.has(QStringLiteral("replace")));
    std::vector<report::Product> further;
    if (given.has(QStringLiteral("desk-picture")))
        further.push_back({"reading-desk.png", deskPicture(session)});
    const report::PublishedFolder::Written written = published(read.document, into, std::move(further));
    for (const std::string& report : written.reports)
        printProblem(report);
    for (const std::filesystem::path& file : written.files)
        printLine(QString::fromStdString(file.string()));
    return Fine;
}

} // namespace app
