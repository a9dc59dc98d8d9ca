#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "ui/footage/footage_pool.h"
#include "ui/look/look.h"
#include "ui/model/session_model.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QFileInfo>
#include <QTimer>

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

} // namespace

int workstation(const QStringList& arguments)
{
    const QString untilUsable = QStringLiteral("until-usable");
    const Arguments given(arguments, {untilUsable});
    if (given.operands().size() > 1)
        throw UsageError("the workstation opens one session, " + std::to_string(given.operands().size()) + " given");

    ui::applyLook(*qApp);
    ui::SessionModel model;
    ui::FootagePool pool;
    pool.setIndexFolder(ui::FootagePool::standardIndexFolder());
    QString problem;
    const auto listening =
        QObject::connect(&model, &ui::SessionModel::problem, [&](const QString& sentence) { problem = sentence; });
    const bool open = given.operands().isEmpty() ? model.resumeDraft() : model.open(given.operands().front());
    QObject::disconnect(listening);
    if (!open)
        throw core::Error(core::ErrorKind::Unreadable, problem.toStdString());

    ui::MainWindow window(model, pool);
    QObject::connect(&pool, &ui::FootagePool::indexNotKept, &window, &ui::MainWindow::showProblem);
    window.setSampleSession(sampleSession());
    window.show();
    // Comes after what showing the window has queued, its first painting too.
    if (given.has(untilUsable))
        QTimer::singleShot(0, &window, [&] {
            window.repaint();
            QCoreApplication::quit();
        });
    return QApplication::exec();
}

} // namespace app
