// FrameView: zooming, panning, drawing a region.
#include "ui/footage/frame_view.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int wheelStep = 120;    // eighths of a degree
constexpr double handleReach = 6; // view units

bool isArrow(int key)
{
    return key == Qt::Key_Left || key == Qt::Key_Right || key == Qt::Key_Up || key == Qt::Key_Down;
}

bool isRegionKey(int key)
{
    return isArrow(key) || key == Qt::Key_Return || key == Qt::Key_Enter || key == Qt::Key_Escape;
}

} // namespace

QVector<double> FrameView::zoomSteps() { return {0.25, 1 / 3.0, 0.5, 2 / 3.0, 1, 1.5, 2, 3, 4, 6, 8, 12, 16}; }

double FrameView::zoom() const { return m_mapping.scale * devicePixelRatioF(); }

QString FrameView::zoomText() const
{
    const QString percent = tr("%1 %").arg(std::lround(zoom() * 100));
    return m_fitted ? tr("fit, %1").arg(percent) : percent;
}

void FrameView::setZoom(double zoom) { zoomTo(zoom, QRectF(rect()).center()); }

void FrameView::zoomIn() { zoomStep(1, QRectF(rect()).center()); }

void FrameView::zoomOut() { zoomStep(-1, QRectF(rect()).center()); }

void FrameView::zoomFit()
{
    m_fitted = true;
    viewMoved();
    emit zoomChanged();
}

/// What lies under `about` stays there.
void FrameView::zoomTo(double zoom, QPointF about)
{
    if (m_mapping.picture.isEmpty())
        return;
    const double scale = std::clamp(zoom, zoomSteps().front(), zoomSteps().back()) / devicePixelRatioF();
    const QPointF fromMiddle = about - QRectF(rect()).center();
    m_mapping.centre += fromMiddle / m_mapping.scale - fromMiddle / scale;
    m_mapping.scale = scale;
    m_fitted = false;
    viewMoved();
    emit zoomChanged();
}

void FrameView::zoomStep(int steps, QPointF about)
{
    const QVector<double> all = zoomSteps();
    // Between two steps either neighbour is one step away.
    const auto next =
        steps > 0 ? std::ranges::upper_bound(all, zoom() * 1.001) : std::ranges::lower_bound(all, zoom() * 0.999);
    const qsizetype place = next - all.begin() + (steps > 0 ? steps - 1 : steps);
    zoomTo(all[std::clamp<qsizetype>(place, 0, all.size() - 1)], about);
}

void FrameView::wheelEvent(QWheelEvent* event)
{
    m_wheel += event->angleDelta().y();
    if (const int steps = m_wheel / wheelStep; steps != 0) {
        m_wheel -= steps * wheelStep;
        zoomStep(steps, event->position());
    }
    event->accept();
}

void FrameView::mousePressEvent(QMouseEvent* event)
{
    const bool draws = m_editor.isArmed() && event->button() == Qt::LeftButton;
    if (draws) {
        m_editor.press(m_mapping.toNative(event->position()), reach());
        update();
    } else if (event->button() == Qt::LeftButton || event->button() == Qt::MiddleButton) {
        m_panned = event->position();
    }
    updateCursor(event->position());
}

void FrameView::leaveEvent(QEvent*)
{
    unsetCursor();
    m_pointer.reset();
    update();
}

void FrameView::mouseMoveEvent(QMouseEvent* event)
{
    m_pointer = event->position();
    if (m_pixelShown)
        update();
    if (m_panned) {
        m_mapping.centre -= (event->position() - *m_panned) / m_mapping.scale;
        m_panned = event->position();
        viewMoved();
    } else if (m_editor.isDragging()) {
        m_editor.dragTo(m_mapping.toNative(event->position()));
        update();
    }
    updateCursor(event->position());
}

void FrameView::mouseReleaseEvent(QMouseEvent* event)
{
    if (m_panned && event->button() != Qt::RightButton)
        m_panned.reset();
    else if (m_editor.isDragging() && event->button() == Qt::LeftButton && m_editor.release())
        finishRegion();
    update();
    updateCursor(event->position());
}

void FrameView::updateCursor(QPointF at)
{
    if (m_panned)
        return setCursor(Qt::ClosedHandCursor);
    if (m_editor.isArmed()) {
        if (m_editor.isDragging())
            return;
        const RegionEditor::Grip grip = m_editor.gripAt(m_mapping.toNative(at), reach());
        const bool x = grip.edges & (RegionEditor::Left | RegionEditor::Right);
        const bool y = grip.edges & (RegionEditor::Top | RegionEditor::Bottom);
        const bool falling = bool(grip.edges & RegionEditor::Left) == bool(grip.edges & RegionEditor::Top);
        return setCursor(x && y        ? (falling ? Qt::SizeFDiagCursor : Qt::SizeBDiagCursor)
                         : x           ? Qt::SizeHorCursor
                         : y           ? Qt::SizeVerCursor
                         : grip.inside ? Qt::SizeAllCursor
                                       : Qt::CrossCursor);
    }
    const QSizeF shown = m_mapping.picture.uprightSize() * m_mapping.scale;
    if (shown.width() > width() + 0.5 || shown.height() > height() + 0.5)
        setCursor(Qt::OpenHandCursor);
    else
        unsetCursor();
}

/// In turned pixels.
QSizeF FrameView::reach() const
{
    const QSizeF stretch = m_mapping.picture.stretch();
    return {handleReach / m_mapping.scale / stretch.width(), handleReach / m_mapping.scale / stretch.height()};
}

void FrameView::beginRegion(session::RegionKind kind, std::optional<media::Rect> existing)
{
    if (m_mapping.picture.isEmpty())
        return;
    m_editor.begin(kind, m_mapping.picture, existing);
    m_edited = existing;
    if (existing && !QRectF(rect()).intersects(m_mapping.toView(*existing))) {
        m_mapping.centre = m_mapping.picture.toUpright(
            QPointF(existing->x + existing->width / 2.0, existing->y + existing->height / 2.0));
        viewMoved();
    }
    setFocus();
    updateCursor(mapFromGlobal(QCursor::pos()));
    update();
}

void FrameView::proposeRegion(session::RegionKind kind, const media::Rect& found)
{
    beginRegion(kind, found);
    m_edited.reset();
}

void FrameView::cancelRegion()
{
    if (!m_editor.isArmed())
        return;
    m_editor.end();
    m_edited.reset();
    unsetCursor();
    update();
    emit regionCancelled();
}

void FrameView::finishRegion()
{
    const std::optional<media::Rect> drawn = m_editor.draft();
    if (!drawn || drawn == m_edited)
        return cancelRegion();
    const session::RegionKind kind = m_editor.kind();
    m_editor.end();
    m_edited.reset();
    unsetCursor();
    update();
    emit regionDrawn(kind, *drawn);
}

bool FrameView::event(QEvent* event)
{
    // While a region is drawn its keys are not the page's.
    if (event->type() == QEvent::ShortcutOverride && m_editor.isArmed()
        && isRegionKey(static_cast<QKeyEvent*>(event)->key())) {
        event->accept();
        return true;
    }
    if (event->type() == QEvent::FocusIn || event->type() == QEvent::FocusOut || event->type() == QEvent::PaletteChange)
        update();
    return QWidget::event(event);
}

void FrameView::keyPressEvent(QKeyEvent* event)
{
    if (!m_editor.isArmed() || !regionKey(*event))
        QWidget::keyPressEvent(event);
}

bool FrameView::regionKey(const QKeyEvent& key)
{
    if (key.key() == Qt::Key_Escape) {
        cancelRegion();
        return true;
    }
    if (key.key() == Qt::Key_Return || key.key() == Qt::Key_Enter) {
        if (m_editor.draft())
            finishRegion();
        return true;
    }
    if (!isArrow(key.key()) || m_editor.isDragging())
        return false;
    const int step = key.modifiers() & Qt::ControlModifier ? 10 : 1;
    const int dx = key.key() == Qt::Key_Left ? -step : key.key() == Qt::Key_Right ? step : 0;
    const int dy = key.key() == Qt::Key_Up ? -step : key.key() == Qt::Key_Down ? step : 0;
    const QPointF middle = m_mapping.toNative(QRectF(rect()).center());
    if (key.modifiers() & Qt::ShiftModifier)
        m_editor.resize(dx, dy, middle);
    else
        m_editor.move(dx, dy, middle);
    update();
    return true;
}

} // namespace ui
