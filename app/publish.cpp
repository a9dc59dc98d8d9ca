#include "app/arguments.h"
#include "app/commands.h"
#include "app/footage_asked.h"
#include "core/error.h"
#include "core/session/open_session.h"
#include "core/session/session_lock.h"
#include "ui/look/look.h"
#include "ui/publish/publish.h"

#include <QApplication>
#include <QFileInfo>
#include <csignal>

namespace app {
namespace {

volatile std::sig_atomic_t stopAsked = 0;

/// Ctrl+C takes back what is half way, as Stop does in the window.
ui::Published published(const session::Document& document, const ui::PublishInto& into, ui::PublishRun run)
{
    std::stop_source source;
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

/// Keys after --only, separated by commas.
std::vector<std::string> chosenProducts(const Arguments& given)
{
    std::vector<std::string> chosen;
    QStringList known;
    for (const ui::ProductKind& kind : ui::productKinds())
        known << QString::fromLatin1(kind.key);
    for (const QString& key : given.value("only").split(QLatin1Char(','))) {
        if (!known.contains(key))
            throw UsageError(QStringLiteral("there is no product \"%1\"; --only takes %2, separated by commas")
                                 .arg(key, known.join(QStringLiteral(", ")))
                                 .toStdString());
        chosen.push_back(key.toStdString());
    }
    return chosen;
}

/// --only, --trials, --side-by-side, --flashing: in place of what the session says, for this time.
ui::PublishChoice choiceFrom(const Arguments& given, const session::Document& document)
{
    ui::PublishChoice choice = ui::choiceOf(document);
    if (given.has("only"))
        choice.only = chosenProducts(given);
    try {
        if (given.has("trials"))
            choice.trials = ui::trialsNamed(document, given.value("trials"));
    } catch (const core::Error& error) {
        throw UsageError(error.what());
    }
    choice.sideBySide = choice.sideBySide || given.has("side-by-side");
    if (choice.sideBySide && choice.trials.size() != 2)
        throw UsageError("--side-by-side takes two trials, named by --trials");
    choice.flashing = given.has("flashing");
    return choice;
}

/// --size WxH, --theme NAME, --form, --transparent: in place of what the session says, for this time.
void applyLookOptions(const Arguments& given, session::PublishSettings& publish)
{
    if (given.has("size")) {
        const QStringList sides = given.value("size").split(QLatin1Char('x'));
        const int width = sides.value(0).toInt(), height = sides.value(1).toInt();
        const auto fine = [](int side) {
            return side >= session::leastPictureSide && side <= session::mostPictureSide;
        };
        if (sides.size() != 2 || !fine(width) || !fine(height))
            throw UsageError("--size takes WIDTHxHEIGHT in pixels, each " + std::to_string(session::leastPictureSide)
                             + " to " + std::to_string(session::mostPictureSide));
        publish.width = width;
        publish.height = height;
    }
    if (given.has("theme"))
        publish.ownTheme = given.text("theme");
    if (given.has("form")) {
        const QStringList forms{QStringLiteral("bars"), QStringLiteral("boxes"), QStringLiteral("differences")};
        const auto form = forms.indexOf(given.value("form"));
        if (form < 0)
            throw UsageError("--form takes bars, boxes or differences");
        publish.form = static_cast<session::ChartForm>(form);
    }
    publish.transparent = publish.transparent || given.has("transparent");
}

} // namespace

int publish(const Arguments& given)
{
    const QString session = given.onlyOperand("session");
    session::Document document = session::readSession(session.toStdString());
    ui::PublishRun run;
    run.choice = choiceFrom(given, document);
    applyLookOptions(given, document.settings.publish);

    ui::applyLook(*qApp);
    const std::filesystem::path folder = given.text("out");
    const ui::PublishInto into(folder, QFileInfo(session).fileName().toStdString(), given.has("replace"));
    const std::filesystem::path sessionFile = session::resolved(session.toStdString());
    run.pictures = ui::PictureSource{sessionFile.parent_path(),
                                     std::make_shared<session::EvidenceStore>(sessionFile),
                                     {},
                                     notToBeRead(document, sessionFile, given)};
    if (given.has("desk-picture"))
        run.further.push_back({"reading-desk.png", deskPicture(session)});
    const ui::Published written = published(document, into, std::move(run));
    for (const std::string& report : written.reports)
        printProblem(report);
    for (const std::string& name : written.rewritten)
        printLine(QString::fromStdString((folder / name).string()));
    const std::size_t left = written.files.size() - written.rewritten.size();
    if (left > 0)
        printLine(QStringLiteral("%1 of %2 files are as they were.").arg(left).arg(written.files.size()));
    for (const std::string& line : report::changeLines(written.moved))
        printLine(QString::fromStdString(line));
    return Fine;
}

} // namespace app
