#include "ui/evidence/evidence_pieces.h"
#include "ui/look/tokens.h"

#include <QTransform>
#include <algorithm>
#include <cmath>

namespace ui {

QString eventWord(MarkedEvent event)
{
    return event == MarkedEvent::Press ? QStringLiteral("press") : QStringLiteral("response");
}

QColor eventColour(MarkedEvent event, const QColor& background)
{
    const Tokens& colours = tokens(background.lightnessF() < 0.5f ? Theme::Dark : Theme::Light);
    return event == MarkedEvent::Press ? colours.press : colours.response;
}

void addSign(ChartScene& scene, MarkedEvent event, const QRectF& box, const QColor& colour)
{
    ChartPiece sign;
    sign.form = ChartPiece::Form::Outline;
    sign.part = ChartPart::Shape;
    sign.fill = colour;
    if (event == MarkedEvent::Press)
        sign.outline.addPolygon(QPolygonF{box.topLeft(), box.topRight(), QPointF(box.center().x(), box.bottom())});
    else
        sign.outline.addRect(box);
    sign.outline.closeSubpath();
    sign.box = box;
    scene.pieces.push_back(std::move(sign));
}

void addRing(ChartScene& scene, const QRectF& inside, qreal width, const QColor& colour)
{
    const QRectF outer = inside.adjusted(-width, -width, width, width);
    for (const QRectF& side : {QRectF(outer.left(), outer.top(), outer.width(), width),
                               QRectF(outer.left(), inside.bottom(), outer.width(), width),
                               QRectF(outer.left(), inside.top(), width, inside.height()),
                               QRectF(inside.right(), inside.top(), width, inside.height())})
        addForm(scene, ChartPiece::Form::Rectangle, ChartPart::Frame, colour, side);
}

std::vector<QRectF> partsOf(const QRectF& room, std::size_t count, qreal gap, bool beside)
{
    const auto n = static_cast<qreal>(count);
    const QSizeF each = beside ? QSizeF((room.width() - (n - 1) * gap) / n, room.height())
                               : QSizeF(room.width(), (room.height() - (n - 1) * gap) / n);
    std::vector<QRectF> parts;
    for (std::size_t i = 0; i < count; ++i) {
        const auto place = static_cast<qreal>(i);
        parts.emplace_back(
            room.topLeft()
                + (beside ? QPointF(place * (each.width() + gap), 0) : QPointF(0, place * (each.height() + gap))),
            each);
    }
    return parts;
}

void centreBelow(ChartScene& scene, std::size_t first, const QRectF& room)
{
    qreal bottom = room.top();
    for (std::size_t i = first; i < scene.pieces.size(); ++i)
        bottom = std::max(bottom, scene.pieces[i].box.bottom());
    const qreal down = std::floor(std::max(0.0, room.bottom() - bottom) / 2);
    for (std::size_t i = first; i < scene.pieces.size(); ++i) {
        ChartPiece& piece = scene.pieces[i];
        piece.box.translate(0, down);
        piece.outline.translate(0, down);
    }
}

QImage imageOf(const media::RgbImage& rgb)
{
    return QImage(rgb.pixels.data(), rgb.width, rgb.height, 3 * rgb.width, QImage::Format_RGB888)
        .convertToFormat(QImage::Format_RGB32);
}

QSizeF shownShape(const media::Footage& footage)
{
    const double aspect = footage.pixelAspect.toDouble();
    const QSizeF shape(footage.size.width * aspect, footage.size.height);
    return footage.rotation % 180 == 0 ? shape : shape.transposed();
}

QRectF shownPart(const media::Footage& footage, const QRectF& native, const QRectF& box)
{
    const QTransform turned = QTransform()
                                  .translate(0.5, 0.5)
                                  .rotate(footage.rotation)
                                  .translate(-0.5, -0.5)
                                  .scale(1.0 / footage.size.width, 1.0 / footage.size.height);
    const QRectF part = turned.mapRect(native);
    return {box.left() + part.left() * box.width(), box.top() + part.top() * box.height(), part.width() * box.width(),
            part.height() * box.height()};
}

} // namespace ui
