#include "ui/chart/chart_painter.h"

#include <QBuffer>
#include <QColorSpace>
#include <QImage>
#include <QImageWriter>
#include <QPainter>
#include <algorithm>

namespace ui {

void paintChart(QPainter& painter, const QRectF& target, const ChartScene& scene)
{
    const qreal scale = std::min(target.width() / scene.size.width(), target.height() / scene.size.height());
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.translate(target.center());
    painter.scale(scale, scale);
    painter.translate(-scene.size.width() / 2, -scene.size.height() / 2);
    painter.fillRect(QRectF({0, 0}, scene.size), scene.background);
    painter.setPen(Qt::NoPen);
    for (const ChartPiece& piece : scene.pieces) {
        painter.setBrush(piece.fill);
        switch (piece.form) {
        case ChartPiece::Form::Rectangle: painter.drawRect(piece.box); break;
        case ChartPiece::Form::Disc: painter.drawEllipse(piece.box); break;
        case ChartPiece::Form::Words: painter.drawPath(piece.outline); break;
        }
    }
    painter.restore();
}

QByteArray chartPng(const ChartScene& scene)
{
    QImage image(scene.size.toSize(), QImage::Format_RGB32);
    image.setColorSpace(QColorSpace::SRgb);
    // The default is the screen's.
    image.setDotsPerMeterX(3780);
    image.setDotsPerMeterY(3780);
    QPainter painter(&image);
    paintChart(painter, QRectF(image.rect()), scene);
    painter.end();

    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QImageWriter writer(&buffer, QByteArrayLiteral("png"));
    const bool written = writer.write(image);
    Q_ASSERT_X(written, "chartPng", "Qt always writes PNG into memory");
    Q_UNUSED(written)
    return bytes;
}

} // namespace ui
