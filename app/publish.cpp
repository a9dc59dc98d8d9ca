#include "app/arguments.h"
#include "app/commands.h"
#include "app/desk_picture.h"
#include "core/session/open_session.h"
#include "ui/look/look.h"
#include "ui/publish/publish.h"

#include <QApplication>

namespace app {

int publish(const QStringList& arguments)
{
    const Arguments given(arguments, {QStringLiteral("desk-picture")}, {QStringLiteral("out")});
    const QString session = given.onlyOperand(QStringLiteral("session"));
    if (!given.has(QStringLiteral("out")))
        throw UsageError("publish needs --out with the folder to write into");
    const session::ReadSession read = session::readSession(session.toStdString());
    for (const std::string& report : read.reports)
        printProblem(report);

    ui::applyLook(*qApp);
    const std::filesystem::path folder = given.value(QStringLiteral("out")).toStdString();
    for (const std::filesystem::path& file : ui::publish(read.document, folder, TALLYFRAME_VERSION))
        printLine(QString::fromStdString(file.string()));
    if (given.has(QStringLiteral("desk-picture"))) {
        const std::filesystem::path picture = folder / "reading-desk.png";
        writeDeskPicture(session, picture);
        printLine(QString::fromStdString(picture.string()));
    }
    return Fine;
}

} // namespace app
