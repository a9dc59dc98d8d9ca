// The shapes that are drawn from numbers: progress strokes and the verdict.
#include "ui/look/shapes.h"

#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

struct StrokeSizes {
    int width, gap, groupGap;
};
constexpr StrokeSizes strokeSizes[] = {{3, 2, 6}, {2, 2, 5}, {2, 1, 3}, {1, 1, 3}};
constexpr int strokeHeight = 9;

int widthOf(qsizetype strokes, const StrokeSizes& s)
{
    if (strokes == 0)
        return 0;
    const auto groups = (strokes + 4) / 5;
    return int(strokes * s.width + (strokes - groups) * s.gap + (groups - 1) * s.groupGap);
}

void paintBar(QPainter& p, const QRectF& box, const QVector<Stroke>& strokes, const Tokens& t)
{
    const auto share = [&](Stroke wanted) {
        return double(std::count(strokes.begin(), strokes.end(), wanted)) / double(strokes.size());
    };
    const QRectF track(box.left(), std::floor(box.center().y()) - 2, box.width(), 4);
    p.fillRect(track, t.selected);
    const double done = share(Stroke::Read) + share(Stroke::Rejected);
    p.fillRect(QRectF(track.left(), track.top(), std::round(track.width() * done), track.height()), t.text2);
}

} // namespace

void paintProgress(QPainter& painter, const QRectF& box, const QVector<Stroke>& strokes, const Tokens& t)
{
    if (strokes.isEmpty())
        return;
    const auto fits = std::find_if(std::begin(strokeSizes), std::end(strokeSizes),
                                   [&](const StrokeSizes& s) { return widthOf(strokes.size(), s) <= box.width(); });
    painter.save();
    if (fits == std::end(strokeSizes)) {
        paintBar(painter, box, strokes, t);
        painter.restore();
        return;
    }
    qreal x = std::floor(box.left());
    const qreal top = std::floor(box.center().y() - strokeHeight / 2.0);
    for (qsizetype i = 0; i < strokes.size(); ++i) {
        const QRectF stroke(x, top, fits->width, strokeHeight);
        switch (strokes[i]) {
        case Stroke::Read: painter.fillRect(stroke, t.text1); break;
        case Stroke::HalfRead:
            painter.fillRect(stroke, t.disabled);
            painter.fillRect(stroke.adjusted(0, std::ceil(strokeHeight / 2.0), 0, 0), t.text1);
            break;
        case Stroke::Rejected:
            painter.setRenderHint(QPainter::Antialiasing);
            painter.setPen(QPen(t.text1, 1.5));
            painter.drawLine(stroke.bottomLeft() + QPointF(-0.5, 0), stroke.topRight() + QPointF(1, 0));
            painter.setRenderHint(QPainter::Antialiasing, false);
            break;
        case Stroke::Open: // an outline where there is room for one
            painter.fillRect(stroke, t.disabled);
            if (fits->width >= 3)
                painter.fillRect(stroke.adjusted(1, 1, -1, -1), t.panel);
            break;
        }
        x += fits->width + (i % 5 == 4 ? fits->groupGap : fits->gap);
    }
    painter.restore();
}

void paintVerdict(QPainter& painter, const QRectF& box, const VerdictGlyph& g, const Tokens& t)
{
    const auto at = [&](double value) { return box.left() + (value - g.from) / (g.to - g.from) * box.width(); };
    const auto inside = [&](double x) { return std::clamp(x, box.left(), box.right()); };
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false);
    if (g.margin > 0) {
        const qreal left = inside(std::round(at(-g.margin)));
        painter.fillRect(QRectF(left, box.top(), inside(std::round(at(g.margin))) - left, box.height()), t.selected);
    }
    if (g.from <= 0 && 0 <= g.to)
        painter.fillRect(QRectF(std::round(at(0)), box.top(), 1, box.height()), t.text3);

    painter.setRenderHint(QPainter::Antialiasing);
    const qreal y = std::floor(box.center().y());
    const qreal cap = std::min<qreal>(4, std::floor(box.height() / 2) - 1);
    const auto end = [&](double value, double direction) {
        const qreal x = at(value);
        if (x < box.left() || x > box.right()) {
            const qreal edge = direction < 0 ? box.left() : box.right();
            painter.setPen(Qt::NoPen);
            painter.setBrush(t.text1);
            painter.drawPolygon(
                QPolygonF({{edge, y}, {edge - direction * cap, y - cap}, {edge - direction * cap, y + cap}}));
            return edge;
        }
        const qreal left = direction < 0 ? std::round(x) : std::round(x) - 2;
        painter.fillRect(QRectF(left, y - cap, 2, 2 * cap), t.text1);
        return std::round(x);
    };
    const qreal left = end(g.low, -1);
    const qreal right = end(g.high, 1);
    painter.fillRect(QRectF(left, y - 1, right - left, 2), t.text1);
    if (g.sameLow)
        for (const double inner : {*g.sameLow, *g.sameHigh})
            painter.fillRect(QRectF(std::round(at(inner)) - 0.5, y - cap + 1, 1, 2 * cap - 2), t.text1);
    if (g.estimate && at(*g.estimate) >= box.left() && at(*g.estimate) <= box.right()) {
        painter.setPen(Qt::NoPen);
        painter.setBrush(t.text1);
        painter.drawEllipse(QPointF(at(*g.estimate), y), 3.5, 3.5);
    }
    painter.restore();
}

} // namespace ui
