#include "ui/clock/fit_plot.h"
#include "ui/look/lettering.h"
#include "ui/look/tokens.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr double leastReach = 1.5, mostReach = 12;
constexpr int scaleWidth = 34, axisHeight = 18;
constexpr double disc = 2.5, hit = 9;

} // namespace

FitPlot::FitPlot(QWidget* parent) : QWidget(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
    setAccessibleName(tr("Edges and how far they lie off the line"));
}

void FitPlot::show(const std::vector<timing::FittedEdge>& edges, const std::vector<bool>& kept)
{
    m_edges = edges;
    m_kept = kept;
    m_reach = leastReach;
    for (const timing::FittedEdge& edge : m_edges)
        m_reach = std::clamp(std::abs(edge.residual) * 1.15, m_reach, mostReach);
    const int last = static_cast<int>(m_edges.size()) - 1;
    go(std::clamp(m_current, last < 0 ? -1 : 0, last));
    update();
}

QRectF FitPlot::field() const { return QRectF(rect()).adjusted(scaleWidth, 6, -8, -axisHeight); }

QPointF FitPlot::placeOf(int edge) const
{
    const QRectF inside = field().adjusted(8, 0, -8, 0);
    const auto frame = [&](std::size_t i) { return static_cast<double>(m_edges[i].edge.frame.value); };
    const double first = frame(0), span = std::max(1.0, frame(m_edges.size() - 1) - first);
    const auto& shown = m_edges[static_cast<std::size_t>(edge)];
    const double x = inside.left() + (static_cast<double>(shown.edge.frame.value) - first) / span * inside.width();
    return {x, inside.center().y() - std::clamp(shown.residual / m_reach, -1.0, 1.0) * inside.height() / 2};
}

void FitPlot::go(int edge)
{
    if (edge == m_current)
        return;
    m_current = edge;
    update();
    emit currentChanged(m_current);
}

void FitPlot::paintBand(QPainter& painter, const QRectF& field) const
{
    const Tokens& t = tokens();
    painter.fillRect(field, t.field);
    const double frame = field.height() / 2 / m_reach, middle = field.center().y();
    QColor band = t.text3;
    band.setAlpha(48);
    painter.fillRect(QRectF(field.left(), middle - frame, field.width(), 2 * frame), band);
    painter.setPen(QPen(t.text3, 1));
    painter.drawLine(QPointF(field.left(), middle), QPointF(field.right(), middle));
    setLettering(painter, Text::Caption, t.text2);
    for (const int at : {1, 0, -1})
        painter.drawText(
            QRectF(0, middle - at * frame - 8, scaleWidth - 6, 16), Qt::AlignRight | Qt::AlignVCenter,
            at == 0 ? QStringLiteral("0")
                    : withMinus(QStringLiteral("%1").arg(at)).prepend(at > 0 ? QStringLiteral("+") : QString()));
}

void FitPlot::paintEdge(QPainter& painter, int edge) const
{
    const Tokens& t = tokens();
    const auto at = static_cast<std::size_t>(edge);
    const QPointF place = placeOf(edge);
    painter.setPen(QPen(t.text1, 1.4));
    if (!m_kept[at] || !m_edges[at].used) {
        painter.setPen(QPen(t.attention, 1.6));
        painter.drawLine(place + QPointF(-3.5, -3.5), place + QPointF(3.5, 3.5));
        painter.drawLine(place + QPointF(-3.5, 3.5), place + QPointF(3.5, -3.5));
    } else {
        painter.setBrush(m_edges[at].edge.kind == timing::EdgeKind::On ? QBrush(t.text1) : QBrush(t.field));
        painter.drawEllipse(place, disc, disc);
    }
    if (edge == m_current) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(hasFocus() ? t.focus : t.text2, 1.5));
        painter.drawEllipse(place, 7, 7);
    }
}

void FitPlot::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const QRectF inside = field();
    paintBand(painter, inside);
    const Tokens& t = tokens();
    if (!m_edges.empty()) {
        for (int edge = 0; edge < static_cast<int>(m_edges.size()); ++edge)
            paintEdge(painter, edge);
        setLettering(painter, Text::Caption, t.text2);
        const QRectF axis(inside.left(), inside.bottom() + 2, inside.width(), axisHeight - 2);
        painter.drawText(axis, Qt::AlignLeft | Qt::AlignVCenter,
                         tr("camera frame %1").arg(m_edges.front().edge.frame.value));
        painter.drawText(axis, Qt::AlignRight | Qt::AlignVCenter, QString::number(m_edges.back().edge.frame.value));
    }
    if (hasFocus()) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(t.focus, 1));
        painter.drawRect(inside);
    }
}

void FitPlot::keyPressEvent(QKeyEvent* event)
{
    const int last = static_cast<int>(m_edges.size()) - 1;
    if (last < 0 || (event->modifiers() & ~Qt::KeypadModifier)) {
        QWidget::keyPressEvent(event);
        return;
    }
    switch (event->key()) {
    case Qt::Key_Left: go(std::max(0, m_current - 1)); break;
    case Qt::Key_Right: go(std::min(last, m_current + 1)); break;
    case Qt::Key_Home: go(0); break;
    case Qt::Key_End: go(last); break;
    case Qt::Key_Space: emit toggled(m_current); break;
    default: QWidget::keyPressEvent(event);
    }
}

void FitPlot::mousePressEvent(QMouseEvent* event)
{
    int nearest = -1;
    double distance = hit;
    for (int edge = 0; edge < static_cast<int>(m_edges.size()); ++edge) {
        const QPointF away = placeOf(edge) - event->position();
        if (const double d = std::hypot(away.x(), away.y()); d < distance) {
            distance = d;
            nearest = edge;
        }
    }
    if (nearest < 0)
        return;
    if (nearest == m_current)
        emit toggled(nearest); // the first click only shows which it is
    go(nearest);
}

} // namespace ui
