#include "app/desk_picture.h"
#include "core/error.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QSaveFile>

namespace app {
namespace {

/// Pictures, close-ups and traces come from background threads one after the other; nothing tells that the last one has
/// been drawn, so the window counts as finished when it has looked the same for a while.
QImage settledPicture(ui::MainWindow& window)
{
    constexpr int longEnough = 1500, tooLong = 30000; // ms
    QImage last;
    QElapsedTimer total, unchanged;
    total.start();
    unchanged.start();
    while (unchanged.elapsed() < longEnough && total.elapsed() < tooLong) {
        QApplication::processEvents(QEventLoop::AllEvents, 50);
        const QImage now = window.grab().toImage();
        if (now != last) {
            last = now;
            unchanged.restart();
        }
    }
    return last;
}

} // namespace

void writeDeskPicture(const QString& session, const std::filesystem::path& picture)
{
    ui::SessionModel model;
    ui::FootagePool pool;
    QString problem;
    QObject::connect(&model, &ui::SessionModel::problem, [&](const QString& sentence) { problem = sentence; });
    if (!model.open(session))
        throw core::Error(core::ErrorKind::Unreadable, problem.toStdString());

    ui::MainWindow window(model, pool);
    window.resize(1920, 1080);
    window.showPage(QStringLiteral("Read"));
    window.show();

    QSaveFile file(QString::fromStdString(picture.string()));
    if (!file.open(QIODevice::WriteOnly) || !settledPicture(window).save(&file, "PNG") || !file.commit())
        throw core::Error(core::ErrorKind::WriteFailed, "The picture " + picture.string() + " can't be written: "
                                                            + file.errorString().toStdString() + ".");
}

} // namespace app
