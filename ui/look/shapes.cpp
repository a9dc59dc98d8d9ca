#include "ui/look/shapes.h"

#include <QPainter>
#include <QPainterPath>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr qreal side = 12; // of every shape's design but the trial's
constexpr QSize trialSize(24, 14);

bool isTrial(Shape shape) { return shape >= Shape::TrialProposed && shape <= Shape::TrialToSettle; }

QPen strokePen(const QColor& colour, qreal width = 2)
{
    return QPen(colour, width, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin);
}

void drawTriangle(QPainter& p, const QColor& colour, bool filled)
{
    // The hollow one's outer edge is the filled one's: the stroke runs 1 px inside it.
    if (filled) {
        p.setPen(Qt::NoPen);
        p.setBrush(colour);
        p.drawPolygon(QPolygonF({{0, 1}, {12, 1}, {6, 12}}));
    } else {
        p.setPen(strokePen(colour));
        p.setBrush(Qt::NoBrush);
        p.drawPolygon(QPolygonF({{1.7, 2}, {10.3, 2}, {6, 9.9}}));
    }
}

void drawSquare(QPainter& p, const QColor& colour, bool filled)
{
    if (filled) {
        p.fillRect(QRectF(1, 1, 10, 10), colour);
    } else {
        p.setPen(strokePen(colour));
        p.setBrush(Qt::NoBrush);
        p.drawRect(QRectF(2, 2, 8, 8));
    }
}

void drawDiamond(QPainter& p, const QColor& colour)
{
    p.setPen(strokePen(colour));
    p.setBrush(Qt::NoBrush);
    p.drawPolygon(QPolygonF({{6, 1.5}, {10.5, 6}, {6, 10.5}, {1.5, 6}}));
    p.fillRect(QRectF(5, 5, 2, 2), colour);
}

QPainterPath clockHands()
{
    QPainterPath hands;
    hands.moveTo(6, 2.8);
    hands.lineTo(6, 6.5);
    hands.lineTo(8.8, 6.5);
    return hands;
}

void drawClock(QPainter& p, Shape shape, const QColor& colour)
{
    const QRectF disc(0.5, 0.5, 11, 11);
    QPainterPath round;
    round.addEllipse(disc);
    if (shape == Shape::ClockSettled) {
        QPainterPathStroker stroker;
        stroker.setWidth(1.5);
        p.fillPath(round.subtracted(stroker.createStroke(clockHands())), colour);
        return;
    }
    QPen pen = strokePen(colour, 1.5);
    if (shape == Shape::ClockUnknown)
        pen.setDashPattern({1.6, 1.4});
    p.setPen(pen);
    p.setBrush(Qt::NoBrush);
    p.drawEllipse(disc.adjusted(0.5, 0.5, -0.5, -0.5));
    if (shape == Shape::ClockProposed)
        p.drawPath(clockHands());
    if (shape == Shape::ClockDispute) {
        QPainterPath left;
        left.addRect(QRectF(0, 0, 5.5, 12));
        p.fillPath(round.intersected(left), colour);
        p.drawLine(QPointF(6.75, 1), QPointF(6.75, 11));
    }
}

void drawStroke(QPainter& p, qreal x, const QColor& colour, bool dotted)
{
    if (!dotted) {
        p.fillRect(QRectF(x, 1, 3, 12), colour);
        return;
    }
    for (int i = 0; i < 3; ++i)
        p.fillRect(QRectF(x, 1 + 5 * i, 2, 2), colour);
}

void drawTrial(QPainter& p, Shape shape, const Tokens& t, const std::optional<QColor>& replaced)
{
    const QColor press = replaced.value_or(t.press);
    const QColor response = replaced.value_or(t.response);
    const QColor quiet = replaced.value_or(t.text3);
    if (shape == Shape::TrialProposed) {
        drawStroke(p, 3, quiet, true);
        drawStroke(p, 9, quiet, true);
        return;
    }
    if (shape == Shape::TrialRejected) {
        drawStroke(p, 3, quiet, false);
        drawStroke(p, 9, quiet, false);
        p.setPen(strokePen(replaced.value_or(t.text1)));
        p.drawLine(QPointF(1, 11.5), QPointF(15, 2.5));
        return;
    }
    drawStroke(p, 3, press, false);
    drawStroke(p, 9, shape == Shape::TrialHalfRead ? quiet : response, shape == Shape::TrialHalfRead);
    const QColor attention = replaced.value_or(t.attention);
    if (shape == Shape::TrialDoubt) {
        QPainterPath wave(QPointF(14.5, 8.5));
        wave.cubicTo(16, 4, 18, 5.5, 19, 7.5);
        wave.cubicTo(20, 9.5, 21.5, 10, 22.7, 6.2);
        p.setPen(QPen(attention, 1.6, Qt::SolidLine, Qt::RoundCap));
        p.setBrush(Qt::NoBrush);
        p.drawPath(wave);
    }
    if (shape == Shape::TrialToSettle) {
        p.setRenderHint(QPainter::Antialiasing, true);
        p.fillRect(QRectF(15, 5, 8, 1.5), attention);
        p.fillRect(QRectF(15, 8.5, 8, 1.5), attention);
        p.setPen(strokePen(attention, 1.5));
        p.drawLine(QPointF(17, 12), QPointF(21, 3));
    }
}

void drawArrow(QPainter& p, Shape shape, const QColor& colour)
{
    p.translate(6, 6);
    p.rotate(shape == Shape::ArrowLeft ? 180 : shape == Shape::ArrowUp ? 270 : shape == Shape::ArrowDown ? 90 : 0);
    p.setPen(strokePen(colour, 1.8));
    p.setBrush(Qt::NoBrush);
    p.drawLine(QPointF(-5, 0), QPointF(4, 0));
    p.drawPolyline(QPolygonF({{0.8, -3.8}, {4.6, 0}, {0.8, 3.8}}));
}

QColor ownColour(Shape shape, const Tokens& t)
{
    switch (shape) {
    case Shape::Press:
    case Shape::PressHollow: return t.press;
    case Shape::Response:
    case Shape::ResponseHollow: return t.response;
    case Shape::ClockDispute:
    case Shape::Warning: return t.attention;
    default: return t.text2;
    }
}

void draw(QPainter& p, Shape shape, const Tokens& t, const std::optional<QColor>& replaced)
{
    const QColor colour = replaced.value_or(ownColour(shape, t));
    switch (shape) {
    case Shape::Press:
    case Shape::PressHollow: return drawTriangle(p, colour, shape == Shape::Press);
    case Shape::Response:
    case Shape::ResponseHollow: return drawSquare(p, colour, shape == Shape::Response);
    case Shape::Delay:
        p.fillRect(QRectF(1, 2, 2, 8), colour);
        p.fillRect(QRectF(9, 2, 2, 8), colour);
        p.fillRect(QRectF(3, 5, 6, 2), colour);
        return;
    case Shape::Note:
        p.fillRect(QRectF(1, 3, 7, 2), colour);
        p.fillRect(QRectF(1, 7, 10, 2), colour);
        return;
    case Shape::Check:
        p.setPen(strokePen(colour));
        p.drawPolyline(QPolygonF({{1.5, 6.5}, {4.7, 9.6}, {10.8, 2.4}}));
        return;
    case Shape::ClockSettled:
    case Shape::ClockProposed:
    case Shape::ClockDispute:
    case Shape::ClockUnknown: return drawClock(p, shape, colour);
    case Shape::Warning: return drawDiamond(p, colour);
    case Shape::ArrowLeft:
    case Shape::ArrowRight:
    case Shape::ArrowUp:
    case Shape::ArrowDown: return drawArrow(p, shape, colour);
    case Shape::Chevron:
        p.setPen(strokePen(colour, 1.6));
        p.drawPolyline(QPolygonF({{2, 4}, {6, 8}, {10, 4}}));
        return;
    default: return drawTrial(p, shape, t, replaced);
    }
}

} // namespace

QSize shapeSize(Shape shape) { return isTrial(shape) ? trialSize : QSize(int(side), int(side)); }

void paintShape(QPainter& painter, Shape shape, const QRectF& box, const Tokens& t, std::optional<QColor> colour)
{
    const QSizeF size = shapeSize(shape);
    const qreal scale = std::min({1.0, box.width() / size.width(), box.height() / size.height()});
    painter.save();
    // Whole pixels, or else the 1 and 2 px strokes blur.
    painter.translate(std::floor(box.center().x() - scale * size.width() / 2 + 0.5),
                      std::floor(box.center().y() - scale * size.height() / 2 + 0.5));
    painter.scale(scale, scale);
    painter.setRenderHint(QPainter::Antialiasing);
    draw(painter, shape, t, colour);
    painter.restore();
}

void paintRowState(QPainter& painter, const QRectF& row, bool selected, bool hovered, const Tokens& t)
{
    if (selected) {
        painter.fillRect(row, t.selected);
        painter.fillRect(QRectF(row.left(), row.top(), grid::selectionBar, row.height()), t.text1);
    } else if (hovered) {
        painter.fillRect(row, t.hover);
    }
}

} // namespace ui
