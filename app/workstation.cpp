#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "ui/footage/footage_pool.h"
#include "ui/look/look.h"
#include "ui/model/disk_jobs.h"
#include "ui/model/session_model.h"
#include "ui/window/main_window.h"
#include "ui/model/window_memory.h"

#include <QApplication>
#include <QEventLoop>
#include <QFileInfo>
#include <QLibraryInfo>
#include <QLocale>
#include <QSocketNotifier>
#include <QTimer>
#include <QTranslator>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <unistd.h>

namespace app {
namespace {

/// Where the demo lies: beside the source tree's build folder, or installed. Empty when it isn't there.
QString sampleSession()
{
    const QString program = QCoreApplication::applicationDirPath();
    for (const char* folder : {"/../../../sample_sessions", "/../share/tallyframe/sample_sessions"}) {
        const QFileInfo file(program + QLatin1String(folder) + QLatin1String("/pedal_links.tallyframe"));
        if (file.exists())
            return file.canonicalFilePath();
    }
    return {};
}

/// The window speaks the user's language where a catalogue of it is installed, else English. Commands and what is
/// published stay as they are: others read them.
void useLanguageOfUser()
{
    const auto use = [](const char* catalogue, const QString& folder) {
        auto* words = new QTranslator(qApp);
        return words->load(QLocale(), QLatin1String(catalogue), QStringLiteral("_"), folder)
               && QCoreApplication::installTranslator(words);
    };
    if (use("tallyframe", QCoreApplication::applicationDirPath() + QStringLiteral("/../share/tallyframe/translations")))
        use("qtbase", QLibraryInfo::path(QLibraryInfo::TranslationsPath)); // buttons of dialogs
}

int stopPipe[2] = {-1, -1};

/// Closes `window` as its own button does when the program is asked to end: SIGTERM, SIGHUP, SIGINT. Where the session
/// can't be saved or its disk doesn't answer it goes all the same; every change that was shown is safe already. A
/// signal handler may do no more than write a byte; the window's thread reads it.
void closeOnStopSignals(ui::MainWindow& window)
{
    if (::pipe2(stopPipe, O_CLOEXEC | O_NONBLOCK) != 0)
        throw core::Error(core::ErrorKind::Unreadable,
                          "The system gives no pipe for its signals; close other programs.");
    auto* asked = new QSocketNotifier(stopPipe[0], QSocketNotifier::Read, &window);
    auto* again = new QTimer(&window);
    again->setInterval(500);
    QObject::connect(again, &QTimer::timeout, &window, &QWidget::close);
    QObject::connect(asked, &QSocketNotifier::activated, &window, [&window, asked, again] {
        asked->setEnabled(false);
        again->start();
        window.close();
    });
    struct sigaction action = {};
    action.sa_handler = [](int) {
        const int before = errno;
        [[maybe_unused]] const ssize_t written = ::write(stopPipe[1], "", 1);
        errno = before;
    };
    action.sa_flags = SA_RESTART;
    for (const int signal : {SIGTERM, SIGHUP, SIGINT})
        ::sigaction(signal, &action, nullptr);
}

/// Most sessions are there at once, and one that can't be opened ends the program with its reason; a disk that takes
/// longer is waited for in the window. What there is to report of it.
QStringList openFirst(ui::SessionModel& model, const QStringList& sessions)
{
    using Phase = ui::SessionModel::Phase;
    constexpr int waitedFor = 700; // ms
    QStringList problems;
    QEventLoop loop; // lets go of both when it goes
    QObject::connect(&model, &ui::SessionModel::problem, &loop, [&](const QString& sentence) { problems << sentence; });
    QObject::connect(&model, &ui::SessionModel::opened, &loop, &QEventLoop::quit);
    QObject::connect(&model, &ui::SessionModel::notOpened, &loop, &QEventLoop::quit);
    QTimer::singleShot(waitedFor, &loop, &QEventLoop::quit);
    if (sessions.isEmpty())
        model.resumeDraft();
    else
        model.open(sessions.front());
    loop.exec();
    if (model.phase() == Phase::Nothing)
        throw core::Error(core::ErrorKind::Unreadable, problems.join(QLatin1Char(' ')).toStdString());
    return problems;
}

int runWindow(bool untilUsable, const QStringList& sessions)
{
    ui::SessionModel model;
    ui::FootagePool pool;
    pool.setIndexFolder(ui::FootagePool::standardIndexFolder());
    const QStringList problems = openFirst(model, sessions);

    ui::MainWindow window(model, pool);
    for (const QString& sentence : problems)
        window.showProblem(sentence);
    QObject::connect(&pool, &ui::FootagePool::indexNotKept, &window, &ui::MainWindow::showProblem);
    window.setSampleSession(sampleSession());
    window.show();
    closeOnStopSignals(window);
    // Comes after what showing the window has queued, its first painting too.
    if (untilUsable)
        QTimer::singleShot(0, &window, [&] {
            window.repaint();
            QCoreApplication::quit();
        });
    return QApplication::exec();
}

} // namespace

int workstation(const Arguments& given)
{
    if (given.operands().size() > 1)
        throw UsageError("the workstation opens one session, " + std::to_string(given.operands().size()) + " given");

    ui::applyLook(*qApp);
    useLanguageOfUser();
    const int status = runWindow(given.has("until-usable"), given.operands());
    ui::memory::keep();
    // Whoever left while a disk didn't answer has a thread that still waits for it, in what would be taken down here.
    if (ui::DiskJobs::anyRunning())
        std::quick_exit(status);
    return status;
}

} // namespace app
