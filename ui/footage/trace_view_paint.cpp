// TraceView: what is painted.
#include "ui/footage/trace_view.h"

#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

using session::RegionKind;

QColor colourOf(RegionKind kind) { return kind == RegionKind::Lamp ? tokens().press : tokens().response; }

QFont cursorFont() { return ui::font(Text::State, QFont::DemiBold); }

qint64 tickStep(double column)
{
    constexpr double room = 70;
    qint64 step = 1;
    for (int i = 0; double(step) * column < room; ++i)
        step = (i % 3 == 0 ? step * 2 : i % 3 == 1 ? step / 2 * 5 : step * 2); // 1 2 5 10 20 50 ...
    return step;
}

} // namespace

Shape markShape(RegionKind kind, bool marked)
{
    if (kind == RegionKind::Lamp)
        return marked ? Shape::Press : Shape::PressHollow;
    return marked ? Shape::Response : Shape::ResponseHollow;
}

void TraceView::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    paintOverview(painter);
    paintLane(painter, RegionKind::Lamp);
    paintLane(painter, RegionKind::Screen);
    if (m_frames > 0) {
        paintAxis(painter);
        paintCursor(painter);
        paintMarks(painter);
    }
}

void TraceView::paintOverview(QPainter& painter)
{
    const Tokens& t = tokens();
    const QRect area = overview();
    painter.setFont(ui::font(Text::State));
    painter.setPen(t.text2);
    painter.drawText(QRect(0, area.top(), area.left() - 8, area.height()), Qt::AlignVCenter | Qt::AlignLeft,
                     area.left() == m_labelsWide ? tr("whole capture") : tr("capture"));
    if (m_overview.isNull()) {
        const qreal ratio = devicePixelRatioF();
        m_overview = QPixmap((QSizeF(area.size()) * ratio).toSize());
        m_overview.setDevicePixelRatio(ratio);
        m_overview.fill(t.field);
        if (const qint64 end = known(m_lamp); end > 0 && !m_seenUpTo) {
            QPainter p(&m_overview);
            const LevelScale scale{m_lamp.low, m_lamp.high, 4, area.height() - 5};
            QColor quiet = t.press;
            quiet.setAlphaF(0.75f);
            for (const QRect& r : stairs(
                     *m_lamp.trace, 0, end, scale, [&](qint64 n) { return int(n * area.width() / m_frames); }, 1))
                p.fillRect(r, quiet);
        }
    }
    painter.drawPixmap(area.topLeft(), m_overview);
    if (m_frames == 0 || m_seenUpTo)
        return;

    const auto x = [&](qint64 frame) { return area.left() + int(frame * area.width() / m_frames); };
    painter.setFont(ui::font(Text::Caption));
    const QFontMetrics metrics = painter.fontMetrics();
    const auto box = [&](const TraceTrial& trial) {
        const int width = metrics.horizontalAdvance(trial.number) + 8;
        return QRect(std::max(area.left(), x(trial.frame) - width - 1), area.top() + 2, width, area.height() - 4);
    };
    QVector<QRect> taken;
    for (const TraceTrial& trial : m_trials)
        if (trial.atHand)
            taken << box(trial);
    for (const TraceTrial& trial : m_trials) {
        const QRect label = box(trial);
        const bool free = std::none_of(taken.begin(), taken.end(), [&](const QRect& r) { return r.intersects(label); });
        if (trial.atHand)
            painter.fillRect(label, t.text1);
        else if (!free)
            continue;
        else
            taken << label;
        painter.setPen(trial.atHand ? t.field : t.text2);
        painter.drawText(label, Qt::AlignCenter, trial.number);
    }
    // What is under way is told where the trace ends.
    const qint64 end = known(m_lamp);
    if (m_lamp.trace && end < m_frames && m_fault.isEmpty()) {
        const QString words = tr("traced %1 %").arg(100 * end / m_frames);
        const int width = metrics.horizontalAdvance(words) + 12;
        const QRect label(std::min(x(end) + 4, area.right() - width), area.top() + 2, width, area.height() - 4);
        painter.fillRect(label, t.field);
        painter.setPen(t.text2);
        painter.drawText(label, Qt::AlignCenter, words);
    }
    painter.fillRect(QRect(x(m_frame) - 3, area.top() - 3, 6, 2), t.text1);
    painter.fillRect(QRect(x(m_frame) - 3, area.bottom() + 2, 6, 2), t.text1);
}

void TraceView::paintLane(QPainter& painter, RegionKind kind) const
{
    const Tokens& t = tokens();
    const bool isLamp = kind == RegionKind::Lamp;
    const Lane& lane = isLamp ? m_lamp : m_screen;
    const QRect area = plot(kind);
    painter.fillRect(area, t.field);

    paintLegend(painter, kind);
    const qint64 end = known(lane);
    if (m_frames == 0)
        return;
    const QString words = !lane.trace ? (isLamp ? tr("no lamp region yet") : tr("no screen region yet"))
                          : !m_fault.isEmpty() && end < m_frames ? m_fault
                          : !m_seenUpTo && end <= m_from         ? tr("not traced so far yet")
                                                                 : QString();
    if (!words.isEmpty()) {
        painter.setFont(ui::font(Text::State));
        painter.setPen(m_fault.isEmpty() || !lane.trace ? t.text2 : t.attention);
        const QRect room = area.adjusted(8, 0, -8, 0);
        painter.drawText(room, Qt::AlignCenter, painter.fontMetrics().elidedText(words, Qt::ElideRight, room.width()));
    }
    const qint64 last = std::min(end, m_from + m_span);
    if (last <= m_from)
        return;
    const auto x = [this](qint64 n) { return int(xOf(double(n))); };
    const int foot = area.bottom() + 1, bars = barsHeight(area);
    if (bars > 0) {
        painter.fillRect(QRect(area.left(), foot - bars - 1, area.width(), 1), t.hairline);
        QColor quiet = colourOf(kind);
        quiet.setAlphaF(0.6f);
        for (const QRect& r :
             changeBars(*lane.trace, m_from, last, {lane.change.low, lane.change.high, foot - bars + 1, foot}, x))
            painter.fillRect(r & area, quiet);
        if (!isLamp)
            paintSinceReference(painter);
    }
    const int margin = area.height() < 40 ? 4 : 6;
    const LevelScale scale{lane.low, lane.high, area.top() + margin, foot - bars - margin - (bars > 0 ? 0 : 3)};
    for (const QRect& r : stairs(*lane.trace, m_from, last, scale, x, 2))
        painter.fillRect(r & area, colourOf(kind));
}

/// In the room of the screen's bars, to a scale of its own: what counts is where it leaves its rest.
void TraceView::paintSinceReference(QPainter& painter) const
{
    const Tokens& t = tokens();
    const QRect area = plot(RegionKind::Screen);
    const int foot = area.bottom() + 1, top = foot - barsHeight(area) + 1;
    const qint64 until = m_seenUpTo ? *m_seenUpTo + 1 : m_frames;
    const qint64 first = std::max(m_from, m_reference);
    const qint64 last = std::min({m_reference + qint64(m_sinceReference.size()), m_from + m_span, until});
    if (first >= last)
        return;
    double most = 2; // of 255; less is noise
    for (const media::RegionLevels& one : m_sinceReference)
        most = std::max(most, one.mean);
    const auto x = [this](qint64 n) { return int(xOf(double(n + m_reference))); };
    const LevelScale scale{0, most, top + 1, foot - 2};
    for (const QRect& r : stairs(m_sinceReference, first - m_reference, last - m_reference, scale, x, 1))
        painter.fillRect(r & area, t.text1);
    painter.setFont(ui::font(Text::Caption));
    painter.setPen(t.text2);
    const QString words = tr("since the press");
    const int width = painter.fontMetrics().horizontalAdvance(words);
    const QRect label(int(xOf(double(m_reference))) - 10 - width, top, width + 8, foot - top);
    if (label.left() <= area.left() || m_reference < m_from)
        return;
    painter.fillRect(label, t.field); // bars may be busy here
    painter.drawText(label, Qt::AlignCenter | Qt::TextDontClip, words);
}

/// Left of a lane: whose it is, the brightness of the frame in view beside the stairs, its change beside the bars.
void TraceView::paintLegend(QPainter& painter, RegionKind kind) const
{
    const Tokens& t = tokens();
    const Lane& lane = kind == RegionKind::Lamp ? m_lamp : m_screen;
    const QRect area = plot(kind);
    const int bars = barsHeight(area);
    const int middle = area.center().y() - bars / 2;
    const bool tall = area.height() - bars >= 36;
    paintShape(painter, markShape(kind, lane.trace != nullptr), QRectF(0, tall ? middle - 18 : middle - 8, 12, 16));
    painter.setFont(ui::font(Text::Body));
    painter.setPen(t.text1);
    const int room = area.left() - 20;
    painter.drawText(QRect(18, tall ? middle - 20 : middle - 10, room, 20), Qt::AlignVCenter | Qt::AlignLeft,
                     kind == RegionKind::Lamp ? tr("lamp") : tr("screen"));
    const bool measured = m_frame >= 0 && m_frame < known(lane);
    const media::RegionLevels levels = measured ? (*lane.trace)[std::size_t(m_frame)] : media::RegionLevels();
    painter.setPen(t.text2);
    if (tall && measured) {
        painter.setFont(ui::font(Text::State));
        painter.drawText(QRect(18, middle, room, 18), Qt::AlignVCenter | Qt::AlignLeft,
                         QString::number(std::lround(levels.mean)));
    }
    if (bars == 0 || !lane.trace)
        return;
    const auto change = changeIn(levels);
    painter.setFont(ui::font(Text::Caption));
    const QString words = change ? tr("change %1").arg(*change, 0, 'f', 1) : tr("change");
    const bool fits = painter.fontMetrics().horizontalAdvance(words) <= area.left() - 4;
    painter.drawText(QRect(0, area.bottom() + 1 - bars, area.left() - 4, bars),
                     Qt::AlignVCenter | Qt::AlignLeft | Qt::TextDontClip, fits ? words : tr("change"));
}

void TraceView::paintAxis(QPainter& painter) const
{
    if (m_seenUpTo)
        return;
    const Tokens& t = tokens();
    const int top = plots().bottom() + 1;
    painter.setFont(ui::font(Text::State));
    const qint64 step = tickStep(column());
    const qint64 last = std::min(m_frames, m_from + m_span);
    const QRect taken = cursorNumber().adjusted(-4, 0, 4, 0);
    for (qint64 n = (m_from + step - 1) / step * step; n < last; n += step) {
        const int x = int((xOf(double(n)) + xOf(double(n) + 1)) / 2);
        painter.fillRect(QRect(x, top, 1, 4), t.fieldEdge);
        const QString number = QString::number(n);
        const int width = painter.fontMetrics().horizontalAdvance(number) + 4;
        const QRect room(x - width / 2, top + 5, width, axisHeight - 6);
        if (room.left() < plots().left() - 8 || x + width / 2 > plots().right() + 1 || room.intersects(taken))
            continue;
        painter.setPen(t.text2);
        painter.drawText(room, Qt::AlignCenter, number);
    }
}

/// The frame in view: a column over both plots, its number under it.
void TraceView::paintCursor(QPainter& painter) const
{
    const QRect box = cursorNumber();
    if (box.isEmpty())
        return;
    const Tokens& t = tokens();
    const QRect all = plots();
    const int left = int(xOf(double(m_frame)));
    const int width = std::max(3, int(xOf(double(m_frame) + 1)) - left);
    QColor veil = t.text1;
    veil.setAlphaF(0.18f);
    painter.fillRect(QRect(left, all.top(), width, all.height()), veil);
    painter.fillRect(QRect(left, all.top(), 1, all.height()), t.text1);
    painter.fillRect(QRect(left + width - 1, all.top(), 1, all.height()), t.text1);
    if (m_seenUpTo)
        return;
    painter.fillRect(box, t.text1);
    painter.setFont(cursorFont());
    painter.setPen(t.panel);
    painter.drawText(box, Qt::AlignCenter, QString::number(m_frame));
}

/// Under the frame in view; empty where that is scrolled away.
QRect TraceView::cursorNumber() const
{
    if (m_frame < m_from || m_frame >= m_from + m_span)
        return {};
    const QRect all = plots();
    const int width = QFontMetrics(cursorFont()).horizontalAdvance(QString::number(m_frame)) + 16;
    const int middle = int(xOf(double(m_frame) + 0.5));
    const int left = std::clamp(middle - width / 2, all.left(), std::max(all.left(), all.right() + 1 - width));
    return {left, all.bottom() + 3, width, axisHeight - 4};
}

/// Shapes stand over the left edge of their frame's column, where it begins. Marks have their words before hints.
void TraceView::paintMarks(QPainter& painter) const
{
    const Tokens& t = tokens();
    const QRect all = plots();
    const int row = marksRow();
    QVector<TraceMark> shown = m_marks;
    shown.removeIf([this](const TraceMark& mark) { return mark.frame < m_from || mark.frame >= m_from + m_span; });
    std::stable_partition(shown.begin(), shown.end(), [](const TraceMark& mark) { return mark.marked; });

    QVector<QRect> taken;
    for (const TraceMark& mark : std::as_const(shown)) {
        const int x = int(xOf(double(mark.frame)));
        painter.setRenderHint(QPainter::Antialiasing, false);
        QPen line(colourOf(mark.kind), 2, Qt::SolidLine, Qt::FlatCap);
        if (!mark.marked)
            line.setDashPattern({2, 2});
        painter.setPen(line);
        painter.drawLine(QPoint(x, row + 20), QPoint(x, all.bottom() + 1));
        paintShape(painter, markShape(mark.kind, mark.marked), QRectF(x - 6, row + 6, 12, 12));
        taken << QRect(x - 7, row + 2, 14, 20);
    }
    for (const TraceMark& mark : std::as_const(shown)) {
        const bool lamp = mark.kind == RegionKind::Lamp;
        const int x = int(xOf(double(mark.frame)));
        QString words = mark.words;
        if (words.isEmpty()) {
            words = lamp ? tr("press") : tr("response");
            if (!m_seenUpTo)
                words += QLatin1Char(' ') + QString::number(mark.frame);
        }
        painter.setFont(ui::font(Text::State, mark.marked ? QFont::DemiBold : QFont::Normal));
        const int width = painter.fontMetrics().horizontalAdvance(words) + 2;
        const QRect left(x - 10 - width, row + 2, width, 20), right(x + 10, row + 2, width, 20);
        const auto free = [&](const QRect& box) {
            return box.left() >= 0 && box.right() < this->width()
                   && std::none_of(taken.begin(), taken.end(), [&](const QRect& r) { return r.intersects(box); });
        };
        // A press has its words on the left, a response on the right: the distance stands between them.
        const QRect wanted = lamp ? left : right, other = lamp ? right : left;
        if (!free(wanted) && !free(other))
            continue;
        const QRect box = free(wanted) ? wanted : other;
        painter.setPen(mark.marked ? t.text1 : t.text2);
        painter.drawText(box, Qt::AlignVCenter | (box == left ? Qt::AlignRight : Qt::AlignLeft), words);
        taken << box;
    }
    if (!m_seenUpTo && m_distanceShown)
        paintDistance(painter, taken);
}

/// From the marked press to the response, or to the first hint of one, counted in frames.
void TraceView::paintDistance(QPainter& painter, const QVector<QRect>& words) const
{
    const TraceMark* press = nullptr;
    const TraceMark* response = nullptr;
    for (const TraceMark& mark : m_marks)
        if (mark.kind == RegionKind::Lamp && mark.marked)
            press = &mark;
    if (!press)
        return;
    for (const TraceMark& mark : m_marks) {
        const bool sooner = !response || (mark.marked && !response->marked)
                            || (mark.marked == response->marked && mark.frame < response->frame);
        if (mark.kind == RegionKind::Screen && mark.frame > press->frame && sooner)
            response = &mark;
    }
    const auto isShown = [this](const TraceMark& mark) { return mark.frame >= m_from && mark.frame < m_from + m_span; };
    if (!response || !isShown(*press) || !isShown(*response))
        return;
    const int from = int(xOf(double(press->frame))) + 14;
    const int to = int(xOf(double(response->frame))) - 12;
    const int row = marksRow();
    const QRect room(from, row + 2, to - from, 20);
    if (std::any_of(words.begin(), words.end(), [&](const QRect& r) { return r.intersects(room); }))
        return;
    const QString text = tr("%n frame(s)", nullptr, int(response->frame - press->frame));
    painter.setFont(ui::font(Text::State));
    const int width = painter.fontMetrics().horizontalAdvance(text) + 16;
    if (room.width() < width + 24)
        return;
    const Tokens& t = tokens();
    const int y = row + 12;
    const int middle = (from + to) / 2;
    painter.fillRect(QRect(from, y, middle - width / 2 - from, 1), t.text3);
    painter.fillRect(QRect(middle + width / 2, y, to - middle - width / 2, 1), t.text3);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setPen(QPen(t.text3, 1));
    painter.drawPolyline(QPolygonF({{to - 4.0, y - 3.5}, {to + 0.0, y + 0.5}, {to - 4.0, y + 4.5}}));
    painter.setPen(t.text2);
    painter.drawText(QRect(middle - width / 2, row + 2, width, 20), Qt::AlignCenter, text);
}

} // namespace ui
