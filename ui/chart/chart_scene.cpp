#include "ui/chart/chart_scene.h"
#include <algorithm>

namespace ui {

void addWords(ChartScene& scene, const Typeface& face, const QString& words, ChartPart part, ChartWeight weight,
              int size, const QColor& colour, QPointF baseline, int lane)
{
    if (words.isEmpty())
        return;
    ChartPiece piece;
    piece.form = ChartPiece::Form::Words;
    piece.part = part;
    piece.fill = colour;
    piece.outline = face.line(words, weight, size).outline;
    piece.outline.translate(baseline);
    piece.box = piece.outline.boundingRect();
    piece.words = words;
    piece.words.replace(QChar::Nbsp, QLatin1Char(' '));
    piece.pixelSize = size;
    piece.lane = lane;
    scene.pieces.push_back(std::move(piece));
}

void addWordsRight(ChartScene& scene, const Typeface& face, const QString& words, ChartPart part, ChartWeight weight,
                   int size, const QColor& colour, QPointF baseline, int lane)
{
    const ChartLine line = face.line(words, weight, size);
    // Some letters reach beyond their advance.
    const qreal width = std::max(line.width, line.outline.boundingRect().right());
    addWords(scene, face, words, part, weight, size, colour, baseline - QPointF(width, 0), lane);
}

qreal addLines(ChartScene& scene, const Typeface& face, const QStringList& lines, ChartPart part, ChartWeight weight,
               int size, const QColor& colour, QPointF baseline, qreal pitch)
{
    for (const QString& line : lines) {
        addWords(scene, face, line, part, weight, size, colour, baseline);
        baseline.ry() += pitch;
    }
    return baseline.y();
}

void addForm(ChartScene& scene, ChartPiece::Form form, ChartPart part, const QColor& colour, const QRectF& box,
             int lane)
{
    ChartPiece piece;
    piece.form = form;
    piece.part = part;
    piece.fill = colour;
    piece.box = box;
    piece.lane = lane;
    scene.pieces.push_back(std::move(piece));
}

void addPicture(ChartScene& scene, ChartPart part, const QImage& image, const QRectF& box)
{
    ChartPiece piece;
    piece.form = ChartPiece::Form::Picture;
    piece.part = part;
    piece.picture = image;
    piece.box = box;
    scene.pieces.push_back(std::move(piece));
}

} // namespace ui
