#pragma once
#include <QColor>
#include <QPainterPath>
#include <QRectF>
#include <QSizeF>
#include <QString>
#include <vector>

namespace ui {

/// What a piece of a chart is, so that a check can ask for all names or all dots.
enum class ChartPart {
    Title,
    Subtitle,
    Group,
    Name,
    Detail,
    Value,
    Uncertainty,
    Column,
    Tick,
    Footer,
    State, // words
    Grid,
    Axis,
    Baseline,
    Bar,
    Interval,
    Dot,
    Ring, ///< Ring: what keeps a dot apart from what lies behind it
};

/// A filled form: rectangle, disc or words as outlines. Nothing is stroked, so picture and drawing file can't differ.
struct ChartPiece {
    enum class Form { Rectangle, Disc, Words };
    Form form = Form::Rectangle;
    ChartPart part = ChartPart::Grid;
    QColor fill;
    QRectF box;           ///< Words: bounds of the outlines
    QPainterPath outline; ///< Words only
    QString words;        ///< Words only
    int pixelSize = 0;    ///< Words only
    int lane = -1;        ///< row of the model it belongs to
};

/// A laid-out chart: pieces from back to front, in pixels from the top left.
struct ChartScene {
    QSizeF size;
    QColor background;
    std::vector<ChartPiece> pieces;
    int rowsLeftOut = 0;   ///< rows for which there is no room; the last footer line says so
    QStringList shortened; ///< texts that were too long even so
};

} // namespace ui
