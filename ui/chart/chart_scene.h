#pragma once
#include "ui/chart/chart_text.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/session/ids.h"
#include <QColor>
#include <QImage>
#include <QPainterPath>
#include <QRectF>
#include <QSize>
#include <QString>
#include <vector>

namespace ui {

/// What a piece of a published picture is, so that a check can ask for all names or all dots.
enum class ChartPart {
    Title,
    Subtitle,
    Page, ///< "1 of 2"
    Group,
    Name,
    Detail,
    Value,
    Uncertainty,
    Verdict,
    Column,
    Tick,
    Margin, ///< the band's words
    Footer,
    State, // words
    Band,
    Grid,
    Axis, ///< line of 0
    Baseline,
    Bar,
    Box,
    Whisker,
    Median,
    Interval,
    InnerMark, ///< an end of what "same within the margin" goes by
    Point,     ///< a difference
    Dot,
    Ring, ///< Ring: what keeps a dot apart from what lies behind it
    Logo,
    Picture, ///< of footage
    Frame,   ///< around a picture
    Shape,   ///< press or response
};

/// A filled form: rectangle, disc, outlines with or without words, or a picture. Nothing is stroked, so picture and
/// drawing file can't differ.
struct ChartPiece {
    enum class Form { Rectangle, Disc, Words, Outline, Picture };
    Form form = Form::Rectangle;
    ChartPart part = ChartPart::Grid;
    QColor fill;
    QRectF box;           ///< Words, Outline: bounds of the outlines
    QPainterPath outline; ///< Words, Outline
    QString words;        ///< Words only, as the rest
    int pixelSize = 0;
    QImage picture; ///< Picture only; drawn into `box` without smoothing where it is enlarged
    int lane = -1;  ///< row it belongs to
};

/// A laid-out picture: pieces from back to front, in units from the top left. A unit is what a pixel is to a picture
/// whose shorter side has 1080 of them, so that the same sizes are legible in every picture (unitsOf()).
struct ChartScene {
    QSizeF size; ///< units
    QSize pixels;
    QColor background; ///< of no opacity: nothing lies behind
    std::vector<ChartPiece> pieces;
    std::vector<session::ConfigurationId> lanes; ///< rows shown, from the top
    QStringList shortened;                       ///< texts that were too long even so
};

/// One line; `baseline` is where its first letter stands, or its last one ends.
void addWords(ChartScene& scene, const Typeface& face, const QString& words, ChartPart part, ChartWeight weight,
              int size, const QColor& colour, QPointF baseline, int lane = -1);
void addWordsRight(ChartScene& scene, const Typeface& face, const QString& words, ChartPart part, ChartWeight weight,
                   int size, const QColor& colour, QPointF baseline, int lane = -1);
/// One below the other, `pitch` apart; where the next would stand.
qreal addLines(ChartScene& scene, const Typeface& face, const QStringList& lines, ChartPart part, ChartWeight weight,
               int size, const QColor& colour, QPointF baseline, qreal pitch);
void addForm(ChartScene& scene, ChartPiece::Form form, ChartPart part, const QColor& colour, const QRectF& box,
             int lane = -1);
void addPicture(ChartScene& scene, ChartPart part, const QImage& image, const QRectF& box);

} // namespace ui
