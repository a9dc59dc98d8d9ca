#include "ui/footage/region_overlay.h"

#include "ui/look/shapes.h"

#include <QFontMetricsF>
#include <QPainter>
#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

namespace ui {
namespace {

constexpr qreal labelHeight = 20;
constexpr qreal handleSide = 7;

QColor colourOnFootage(session::RegionKind kind)
{
    return kind == session::RegionKind::Lamp ? footageTokens().press : footageTokens().response;
}

QRectF wholePixels(const QRectF& r)
{
    return QRectF(QPointF(std::round(r.left()), std::round(r.top())),
                  QPointF(std::round(r.right()), std::round(r.bottom())));
}

/// Ring of `width` just outside `inner`.
void ring(QPainter& p, const QRectF& inner, qreal width, const QPen& pen)
{
    p.setPen(pen);
    p.setBrush(Qt::NoBrush);
    p.drawRect(inner.adjusted(-width / 2, -width / 2, width / 2, width / 2));
}

void paintCasedFrame(QPainter& painter, const QRectF& box, session::RegionKind kind, qreal width)
{
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing, false);
    QPen casing(Qt::black, width + 2, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin);
    ring(painter, box, width, casing);
    QPen line(colourOnFootage(kind), width, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin);
    if (kind == session::RegionKind::Screen)
        line.setDashPattern({8 / width, 5 / width});
    ring(painter, box, width, line);
    painter.restore();
}

QRectF labelBox(const QPainter& p, const QRectF& box, const QString& name, const QSizeF& view,
                const QVector<QRectF>& taken)
{
    const qreal width = std::ceil(QFontMetricsF(p.font()).horizontalAdvance(name)) + 32;
    const qreal left = std::clamp(box.left() - 3, 0.0, std::max(0.0, view.width() - width));
    const QRectF above(left, box.top() - 3 - labelHeight, width, labelHeight);
    const QRectF below(left, box.bottom() + 3, width, labelHeight);
    const QRectF inside(left, std::max(0.0, box.top()), width, labelHeight);
    const auto free = [&](const QRectF& r) {
        return r.top() >= 0 && r.bottom() <= view.height()
               && std::none_of(taken.begin(), taken.end(), [&](const QRectF& t) { return t.intersects(r); });
    };
    return free(above) ? above : free(below) ? below : inside;
}

} // namespace

void paintRegions(QPainter& painter, const ViewMapping& mapping, const QVector<ShownRegion>& regions)
{
    painter.save();
    painter.setFont(font(Text::State, QFont::DemiBold));
    const QRectF view(QPointF(0, 0), mapping.view);
    QVector<QRectF> labels;
    for (const ShownRegion& region : regions) {
        const QRectF box = wholePixels(mapping.toView(region.rect));
        if (!box.adjusted(-4, -4, 4, 4).intersects(view))
            continue;
        const bool lamp = region.kind == session::RegionKind::Lamp;
        paintCasedFrame(painter, box, region.kind, region.inUse ? 2 : 1);
        const QRectF label = labelBox(painter, box, region.name, mapping.view, labels);
        labels << label;
        painter.fillRect(label, onFootageLabel);
        paintShape(painter, lamp ? Shape::Press : Shape::Response,
                   QRectF(label.left() + 6, label.top(), 12, label.height()), footageTokens());
        painter.setPen(region.inUse ? footageTokens().text1 : footageTokens().text2);
        painter.drawText(label.adjusted(24, 0, 0, 0), Qt::AlignVCenter | Qt::AlignLeft, region.name);
    }
    painter.restore();
}

void paintBlocks(QPainter& painter, const ViewMapping& mapping, const std::vector<media::Rect>& blocks)
{
    std::set<std::tuple<int, int, int, int>> sides; // from one corner to the other; one that two blocks share is none
    const auto add = [&](int x1, int y1, int x2, int y2) {
        if (const auto [at, isNew] = sides.insert({x1, y1, x2, y2}); !isNew)
            sides.erase(at);
    };
    for (const media::Rect& r : blocks) {
        const int right = r.x + r.width, bottom = r.y + r.height;
        add(r.x, r.y, right, r.y);
        add(r.x, bottom, right, bottom);
        add(r.x, r.y, r.x, bottom);
        add(right, r.y, right, bottom);
    }
    QVector<QLineF> lines;
    const auto corner = [&](int x, int y) {
        const QPointF at = mapping.toView(QPointF(x, y));
        return QPointF(std::round(at.x()), std::round(at.y()));
    };
    for (const auto& [x1, y1, x2, y2] : sides)
        lines << QLineF(corner(x1, y1), corner(x2, y2));
    painter.save();
    for (const auto& [colour, width] : {std::pair(QColor(Qt::black), 3.0), std::pair(footageTokens().text1, 1.0)}) {
        painter.setPen(QPen(colour, width, Qt::SolidLine, Qt::SquareCap));
        painter.drawLines(lines);
    }
    painter.restore();
}

void paintDraft(QPainter& painter, const ViewMapping& mapping, session::RegionKind kind, const media::Rect& rect)
{
    const QRectF box = wholePixels(mapping.toView(rect));
    paintCasedFrame(painter, box, kind, 2);
    painter.save();
    painter.setPen(QPen(Qt::black, 1));
    painter.setBrush(footageTokens().text1);
    const qreal xs[] = {box.left(), std::round(box.center().x()), box.right()};
    const qreal ys[] = {box.top(), std::round(box.center().y()), box.bottom()};
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j) {
            const bool middle = (i == 1 && box.width() < 4 * handleSide) || (j == 1 && box.height() < 4 * handleSide);
            if ((i == 1 && j == 1) || middle)
                continue;
            const qreal outX = (i - 1) * 1.0, outY = (j - 1) * 1.0; // on the frame, which lies outside the region
            painter.drawRect(
                QRectF(xs[i] + outX - handleSide / 2 - 0.5, ys[j] + outY - handleSide / 2 - 0.5, handleSide, handleSide)
                    .translated(0.5, 0.5)
                    .toRect());
        }
    painter.restore();
}

} // namespace ui
