#include "ui/chart/chart_painter.h"

#include <QBuffer>
#include <QColorSpace>
#include <QImageWriter>
#include <QPageSize>
#include <QPainter>
#include <QPdfWriter>
#include <QUuid>
#include <algorithm>

namespace ui {

void paintPiece(QPainter& painter, const ChartPiece& piece)
{
    painter.setPen(Qt::NoPen);
    painter.setBrush(piece.fill);
    switch (piece.form) {
    case ChartPiece::Form::Rectangle: painter.drawRect(piece.box); break;
    case ChartPiece::Form::Disc: painter.drawEllipse(piece.box); break;
    case ChartPiece::Form::Words:
    case ChartPiece::Form::Outline: painter.drawPath(piece.outline); break;
    case ChartPiece::Form::Picture: {
        const bool enlarged = painter.transform().mapRect(piece.box).width() > piece.picture.width();
        painter.setRenderHint(QPainter::SmoothPixmapTransform, !enlarged || piece.part == ChartPart::Logo);
        painter.drawImage(piece.box, piece.picture);
        break;
    }
    }
}

void paintChart(QPainter& painter, const QRectF& target, const ChartScene& scene)
{
    const qreal scale = std::min(target.width() / scene.size.width(), target.height() / scene.size.height());
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.translate(target.center());
    painter.scale(scale, scale);
    painter.translate(-scene.size.width() / 2, -scene.size.height() / 2);
    if (scene.background.alpha() > 0)
        painter.fillRect(QRectF({0, 0}, scene.size), scene.background);
    for (const ChartPiece& piece : scene.pieces)
        paintPiece(painter, piece);
    painter.restore();
}

QImage chartImage(const ChartScene& scene)
{
    const bool opaque = scene.background.alpha() > 0;
    QImage image(scene.pixels, opaque ? QImage::Format_RGB32 : QImage::Format_ARGB32_Premultiplied);
    image.fill(opaque ? scene.background : QColor(Qt::transparent));
    image.setColorSpace(QColorSpace::SRgb);
    // The default is the screen's.
    image.setDotsPerMeterX(3780);
    image.setDotsPerMeterY(3780);
    QPainter painter(&image);
    paintChart(painter, QRectF(image.rect()), scene);
    return image;
}

QByteArray pngBytes(const QImage& image)
{
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QImageWriter writer(&buffer, QByteArrayLiteral("png"));
    const bool written = writer.write(image);
    Q_ASSERT_X(written, "pngBytes", "Qt always writes PNG into memory");
    Q_UNUSED(written)
    return bytes;
}

QByteArray chartPng(const ChartScene& scene) { return pngBytes(chartImage(scene)); }

/// Qt writes when it was made, by which equal charts would differ, in a length that depends on the time zone. Blanks of
/// one length take its place, and the file's table of places is moved by what that adds.
static void withoutDate(QByteArray& pdf, const char* key)
{
    constexpr qsizetype longest = 42; // "/CreationDate (D:20261130181200+14'00')", and some
    const qsizetype date = pdf.indexOf(key), end = pdf.indexOf(')', date) + 1;
    if (date < 0 || end <= date)
        return;
    const qsizetype added = longest - (end - date);
    pdf.replace(date, end - date, QByteArray(longest, ' '));
    const auto moveFigure = [&](qsizetype at, qsizetype digits) {
        const qsizetype place = pdf.mid(at, digits).toLongLong();
        if (place > date)
            pdf.replace(at, digits, QByteArray::number(place + added).rightJustified(digits, '0'));
    };
    const qsizetype start = pdf.lastIndexOf("startxref\n") + 10;
    const qsizetype table = pdf.lastIndexOf("\nxref\n");
    for (qsizetype at = table; (at = pdf.indexOf(" 00000 n", at)) > 0; at += 8)
        moveFigure(at - 10, 10);
    moveFigure(start, pdf.indexOf('\n', start) - start);
}

QByteArray chartPdf(const std::vector<ChartScene>& scenes)
{
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QPdfWriter writer(&buffer);
    writer.setCreator(QStringLiteral("Tallyframe"));
    writer.setPageMargins({});
    // Qt 6.8 writes the dates a second time, as XMP, unless it is given that.
    writer.setDocumentXmpMetadata(QByteArrayLiteral("<?xpacket begin='' id='W5M0MpCehiHzreSzNTczkc9d'?>\n"
                                                    "<x:xmpmeta xmlns:x='adobe:ns:meta/'/>\n<?xpacket end='r'?>\n"));
#if QT_VERSION >= QT_VERSION_CHECK(6, 8, 0)
    QByteArray content;
    for (const ChartScene& scene : scenes)
        content += chartSvg(scene);
    writer.setDocumentId(QUuid::createUuidV5(QUuid(), content)); // or it is a new one each time
#endif
    QPainter painter;
    for (const ChartScene& scene : scenes) {
        // A pixel at 96 dots an inch, as CSS has it: three quarters of a point.
        writer.setPageSize(QPageSize(QSizeF(scene.pixels) * 0.75, QPageSize::Point, {}, QPageSize::ExactMatch));
        if (painter.isActive())
            writer.newPage();
        else
            painter.begin(&writer);
        paintChart(painter, QRectF(0, 0, writer.width(), writer.height()), scene);
    }
    painter.end();
    withoutDate(bytes, "/CreationDate");
    withoutDate(bytes, "/ModDate"); // since Qt 6.8
    return bytes;
}

} // namespace ui
