#include "ui/chart/chart_painter.h"
#include "core/report/markup.h"

#include <cmath>

namespace ui {
namespace {

/// Two decimals, no more than needed: a hundredth of a pixel can't be seen.
QByteArray number(qreal value)
{
    const double rounded = std::round(value * 100) / 100;
    return QByteArray::number(rounded == 0 ? 0.0 : rounded, 'g', 8);
}

QByteArray escaped(const QString& words) { return report::asMarkup(words).toUtf8(); }

QByteArray point(const QPainterPath::Element& e) { return number(e.x) + ' ' + number(e.y); }

QByteArray pathOf(const QPainterPath& path)
{
    QByteArray d;
    for (int i = 0; i < path.elementCount(); ++i) {
        const QPainterPath::Element e = path.elementAt(i);
        switch (e.type) {
        case QPainterPath::MoveToElement: d += (i > 0 ? "ZM" : "M") + point(e); break;
        case QPainterPath::LineToElement: d += 'L' + point(e); break;
        case QPainterPath::CurveToElement:
            d += 'C' + point(e) + ' ' + point(path.elementAt(i + 1)) + ' ' + point(path.elementAt(i + 2));
            i += 2;
            break;
        case QPainterPath::CurveToDataElement: break; // read with its curve
        }
    }
    return d.isEmpty() ? d : d + 'Z';
}

QByteArray fillOf(const QColor& colour)
{
    QByteArray fill = " fill=\"" + colour.name().toLatin1() + '"';
    if (colour.alpha() < 255)
        fill += " fill-opacity=\"" + number(colour.alphaF()) + '"';
    return fill + "/>\n";
}

QByteArray placed(const QRectF& box)
{
    return " x=\"" + number(box.x()) + "\" y=\"" + number(box.y()) + "\" width=\"" + number(box.width())
           + "\" height=\"" + number(box.height()) + '"';
}

QByteArray elementOf(const ChartPiece& piece)
{
    const QRectF& box = piece.box;
    switch (piece.form) {
    case ChartPiece::Form::Rectangle: return "<rect" + placed(box) + fillOf(piece.fill);
    case ChartPiece::Form::Disc:
        return "<circle cx=\"" + number(box.center().x()) + "\" cy=\"" + number(box.center().y()) + "\" r=\""
               + number(box.width() / 2) + '"' + fillOf(piece.fill);
    case ChartPiece::Form::Words:
    case ChartPiece::Form::Outline: return "<path d=\"" + pathOf(piece.outline) + '"' + fillOf(piece.fill);
    case ChartPiece::Form::Picture:
        return "<image" + placed(box) + " preserveAspectRatio=\"none\""
               + (piece.part == ChartPart::Logo ? "" : " image-rendering=\"pixelated\"")
               + " xlink:href=\"data:image/png;base64," + pngBytes(piece.picture).toBase64() + "\"/>\n";
    }
    return {};
}

} // namespace

QByteArray chartSvg(const ChartScene& scene)
{
    const QByteArray width = number(scene.size.width()), height = number(scene.size.height());
    QString title;
    QStringList words;
    for (const ChartPiece& piece : scene.pieces) {
        if (piece.form != ChartPiece::Form::Words)
            continue;
        if (piece.part == ChartPart::Title)
            title += (title.isEmpty() ? QString() : QStringLiteral(" ")) + piece.words;
        else
            words << piece.words;
    }
    const QByteArray ground = "<rect width=\"" + width + "\" height=\"" + height + '"' + fillOf(scene.background);
    QByteArray svg = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "
                     "xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\" width=\""
                     + QByteArray::number(scene.pixels.width()) + "\" height=\""
                     + QByteArray::number(scene.pixels.height()) + "\" viewBox=\"0 0 " + width + ' ' + height
                     + "\" role=\"img\">\n";
    svg += "<title>" + escaped(title) + "</title>\n<desc>" + escaped(words.join(QStringLiteral("; "))) + "</desc>\n";
    if (scene.background.alpha() > 0)
        svg += ground;
    for (const ChartPiece& piece : scene.pieces)
        svg += elementOf(piece);
    return svg + "</svg>\n";
}

} // namespace ui
