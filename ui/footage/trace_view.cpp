#include "ui/footage/trace_view.h"

#include <QMouseEvent>
#include <QWheelEvent>
#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

namespace ui {
namespace {

constexpr int labelsWide = 92, labelsNarrow = 64; // the column left of the plots, at least
constexpr int narrowBelow = 800;
constexpr int overviewHeight = 22;
constexpr int marksHeight = 26;
constexpr int laneGap = 4;
constexpr qint64 spans[] = {24, 36, 48, 72, 96, 144, 240, 480, 960, 1920};
constexpr int wheelStep = 120;
constexpr double leastRange = 8; // levels; less would blow noise up to look like change

} // namespace

TraceView::TraceView(QWidget* parent) : QWidget(parent)
{
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
    setAccessibleName(tr("traces of lamp and screen"));
    const auto widest = [](Text size, std::initializer_list<QString> words) {
        int room = 0;
        for (const QString& each : words)
            room = std::max(room, QFontMetrics(ui::font(size)).horizontalAdvance(each));
        return room;
    };
    const int either =
        std::max(widest(Text::Body, {tr("lamp"), tr("screen")}) + 20, widest(Text::Caption, {tr("change")}) + 4);
    m_labelsWide = std::max({labelsWide, either, widest(Text::State, {tr("whole capture")}) + 8});
    m_labelsNarrow = std::max({labelsNarrow, either, widest(Text::State, {tr("capture")}) + 8});
    setToolTip(
        tr("Line: mean brightness of the region. Bars under it: how much its samples changed since the frame before, "
           "luma or chroma, whichever changed more; movement shows here even where brightness stays. "
           "Thin line over the bars of the screen: change since just before the marked press."));
}

void TraceView::setFrameCount(qint64 frames)
{
    m_frames = frames;
    m_frame = 0;
    m_from = 0;
    m_lamp = {};
    m_screen = {};
    m_sinceReference.clear();
    m_fault.clear();
    m_marks.clear();
    m_trials.clear();
    m_seenUpTo.reset();
    m_overview = {};
    update();
}

void TraceView::setLane(Lane& lane, TracePtr trace)
{
    if (lane.trace == trace)
        return;
    lane.trace = std::move(trace);
    if (!lane.trace || lane.trace->empty())
        return;
    const auto less = [](const media::RegionLevels& a, const media::RegionLevels& b) { return a.mean < b.mean; };
    const auto [low, high] = std::minmax_element(lane.trace->begin(), lane.trace->end(), less);
    const double widened = std::max(0.0, leastRange - (high->mean - low->mean)) / 2;
    lane.low = low->mean - widened;
    lane.high = high->mean + widened;
    lane.change = changeScale(*lane.trace, 0, 0);
}

void TraceView::setTraces(TracePtr lamp, TracePtr screen)
{
    setLane(m_lamp, std::move(lamp));
    setLane(m_screen, std::move(screen));
    m_overview = {};
    update();
}

void TraceView::setSinceReference(const TracePtr& levels, qint64 reference)
{
    m_sinceReference.clear();
    m_reference = reference;
    if (levels)
        for (const media::RegionLevels& one : *levels) {
            const media::Change change = one.sinceReference.value_or(media::Change{});
            m_sinceReference.push_back({std::max(change.luma, change.chroma), 0, 0});
        }
    update();
}

void TraceView::setFault(const QString& sentence)
{
    m_fault = sentence;
    update();
}

void TraceView::setFrame(qint64 frame)
{
    const qint64 before = std::exchange(m_frame, frame);
    keepInView(before);
    update();
}

void TraceView::setMarks(const QVector<TraceMark>& marks)
{
    m_marks = marks;
    update();
}

void TraceView::setTrials(const QVector<TraceTrial>& trials)
{
    m_trials = trials;
    update();
}

void TraceView::setDistanceShown(bool shown)
{
    if (std::exchange(m_distanceShown, shown) != shown)
        update();
}

void TraceView::setBlind(std::optional<qint64> seenUpTo)
{
    m_seenUpTo = seenUpTo;
    m_overview = {};
    update();
}

void TraceView::showMore() { changeSpan(1, xOf(double(m_frame) + 0.5)); }

void TraceView::showFewer() { changeSpan(-1, xOf(double(m_frame) + 0.5)); }

/// The frame under `about` stays there.
void TraceView::changeSpan(int steps, double about)
{
    const auto at = std::lower_bound(std::begin(spans), std::end(spans), m_span) - std::begin(spans);
    const qint64 span = spans[std::clamp<std::ptrdiff_t>(at + steps, 0, std::ssize(spans) - 1)];
    const double share = std::clamp((about - plots().left()) / std::max(1, plots().width()), 0.0, 1.0);
    m_from += std::llround(share * double(m_span - span));
    m_span = span;
    keepInView(m_frame);
    update();
}

/// The plot stands still while the frame in view moves inside it, so that the eye keeps its place.
void TraceView::keepInView(qint64 before)
{
    if (m_drag == Drag::Plot)
        return; // columns must not run away from under the pointer
    const qint64 margin = m_span / 10;
    if (m_frame < m_from + margin || m_frame >= m_from + m_span - margin) {
        const qint64 step = m_frame - before;
        const bool jump = std::abs(step) > m_span / 2;
        m_from = m_frame - (jump ? m_span * 2 / 5 : step < 0 ? m_span * 3 / 4 : m_span / 4);
    }
    m_from = std::clamp<qint64>(m_from, 0, std::max<qint64>(0, m_frames - m_span));
}

QRect TraceView::overview() const
{
    const int left = width() < narrowBelow ? m_labelsNarrow : m_labelsWide;
    return QRect(left, 4, std::max(1, width() - left), overviewHeight);
}

int TraceView::marksRow() const { return overview().bottom() + 1 + 4; }

QRect TraceView::plots() const
{
    const int top = marksRow() + marksHeight;
    return QRect(overview().left(), top, overview().width(), std::max(2, height() - axisHeight - top));
}

QRect TraceView::plot(session::RegionKind kind) const
{
    const QRect all = plots();
    const int each = (all.height() - laneGap) / 2;
    return QRect(all.left(), kind == session::RegionKind::Lamp ? all.top() : all.bottom() + 1 - each, all.width(),
                 each);
}

int TraceView::barsHeight(const QRect& plot) { return plot.height() < 28 ? 0 : std::clamp(plot.height() / 4, 10, 28); }

double TraceView::column() const { return double(plots().width()) / double(m_span); }

double TraceView::xOf(double frame) const { return plots().left() + std::round((frame - double(m_from)) * column()); }

qint64 TraceView::known(const Lane& lane) const
{
    if (!lane.trace)
        return 0;
    const qint64 traced = std::min(qint64(lane.trace->size()), m_frames);
    return m_seenUpTo ? std::min(traced, *m_seenUpTo + 1) : traced;
}

qint64 TraceView::frameAt(Drag where, double x) const
{
    const QRect area = where == Drag::Overview ? overview() : plots();
    const double share = std::clamp((x - area.left()) / area.width(), 0.0, 1.0);
    const qint64 first = where == Drag::Overview ? 0 : m_from;
    const qint64 span = where == Drag::Overview ? m_frames : std::min(m_span, m_frames - m_from);
    const double frames = where == Drag::Overview ? double(m_frames) : double(m_span);
    return first + std::clamp<qint64>(qint64(std::floor(share * frames)), 0, std::max<qint64>(0, span - 1));
}

void TraceView::resizeEvent(QResizeEvent*) { m_overview = {}; }

void TraceView::changeEvent(QEvent* event)
{
    if (event->type() == QEvent::PaletteChange) {
        m_overview = {};
        update();
    }
    QWidget::changeEvent(event);
}

void TraceView::mousePressEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton || m_frames == 0)
        return;
    const QPoint at = event->position().toPoint();
    const QRect below(plots().left(), marksRow(), plots().width(), height() - marksRow());
    m_drag = overview().adjusted(0, -4, 0, 4).contains(at) && !m_seenUpTo ? Drag::Overview
             : below.contains(at)                                         ? Drag::Plot
                                                                          : Drag::None;
    if (m_drag != Drag::None)
        emit frameChosen(frameAt(m_drag, event->position().x()));
}

void TraceView::mouseMoveEvent(QMouseEvent* event)
{
    if (m_drag == Drag::None)
        return;
    const qint64 frame = frameAt(m_drag, event->position().x());
    if (frame != m_frame)
        emit frameChosen(frame);
}

void TraceView::mouseReleaseEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton)
        return;
    m_drag = Drag::None;
    keepInView(m_frame);
    update();
}

void TraceView::wheelEvent(QWheelEvent* event)
{
    m_wheel += event->angleDelta().y();
    if (const int steps = m_wheel / wheelStep; steps != 0) {
        m_wheel -= steps * wheelStep;
        changeSpan(-steps, event->position().x());
    }
    event->accept();
}

} // namespace ui
