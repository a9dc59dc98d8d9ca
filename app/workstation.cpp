#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "ui/footage/footage_pool.h"
#include "ui/look/look.h"
#include "ui/model/session_model.h"
#include "ui/window/main_window.h"

#include <QApplication>

namespace app {

int workstation(const QStringList& arguments)
{
    const Arguments given(arguments, {});
    if (given.operands().size() > 1)
        throw UsageError("the workstation opens one session, " + std::to_string(given.operands().size()) + " given");

    ui::applyLook(*qApp);
    ui::SessionModel model;
    ui::FootagePool pool;
    QString problem;
    const auto listening = QObject::connect(&model, &ui::SessionModel::problem,
                                            [&](const QString& sentence) { problem = sentence; });
    const bool open = given.operands().isEmpty() ? model.newDraft() : model.open(given.operands().front());
    QObject::disconnect(listening);
    if (!open)
        throw core::Error(core::ErrorKind::Unreadable, problem.toStdString());

    ui::MainWindow window(model, pool);
    window.show();
    return QApplication::exec();
}

} // namespace app
