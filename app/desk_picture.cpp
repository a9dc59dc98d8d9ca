#include "app/commands.h"
#include "core/error.h"
#include "ui/look/look.h"
#include "ui/window/main_window.h"

#include <QAction>
#include <QApplication>
#include <QBuffer>
#include <QElapsedTimer>
#include <algorithm>
#include <functional>

namespace app {
namespace {

void showUntil(const std::function<bool()>& done, int atMost)
{
    QElapsedTimer timer;
    timer.start();
    while (!done() && timer.elapsed() < atMost)
        QApplication::processEvents(QEventLoop::AllEvents, 50);
}

/// The capture in view is the first; the others are opened after it and change nothing in the picture.
bool footageUnderWay(const ui::SessionModel& model, ui::FootagePool& pool)
{
    const auto captures = session::inOrder(model.document()->captures);
    if (captures.empty())
        return false;
    const session::Capture& capture = *captures.front();
    const QString path = model.footagePath(capture);
    const ui::KnownFootage* known = pool.find(path);
    if (!known || known->state() == ui::FootageState::Found)
        return true;
    if (!known->isOpen())
        return false;
    if (known->isDecoding)
        return true;
    const auto isTraced = [&](const session::Region& region) {
        const media::Rect rect{region.x, region.y, region.width, region.height};
        return !pool.traceFault(path, rect).isEmpty()
               || std::ssize(*pool.trace(path, rect)) == pool.footage(path)->frameCount().value;
    };
    return !std::ranges::all_of(capture.regions, isTraced);
}

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

QByteArray deskPicture(const QString& session)
{
    ui::SessionModel model;
    ui::FootagePool pool;
    QString problem;
    QObject::connect(&model, &ui::SessionModel::problem, [&](const QString& sentence) { problem = sentence; });
    model.open(session);
    showUntil([&] { return model.phase() != ui::SessionModel::Phase::Opening; }, 120000);
    if (model.phase() != ui::SessionModel::Phase::Open)
        throw core::Error(core::ErrorKind::Unreadable, problem.toStdString());

    ui::MainWindow window(model, pool);
    ui::setTheme(ui::Theme::Dark); // the same picture whatever look is used at home
    window.resize(1920, 1080);
    window.showPage(QStringLiteral("Read"));
    window.show();
    showUntil([&] { return !footageUnderWay(model, pool); }, 120000);
    // To the first trial, as the analyst would go there.
    for (QAction* action : window.findChildren<QAction*>())
        if (action->shortcut() == QKeySequence(Qt::Key_PageDown))
            action->trigger();

    QByteArray png;
    QBuffer buffer(&png);
    if (!buffer.open(QIODevice::WriteOnly) || !settledPicture(window).save(&buffer, "PNG"))
        throw core::Error(core::ErrorKind::WriteFailed, "The picture of the reading desk can't be made.");
    return png;
}

} // namespace app
