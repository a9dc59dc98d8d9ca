#include "ui/footage/frame_reel.h"

#include "ui/footage/close_up.h"
#include "ui/look/shapes.h"

#include <QMouseEvent>
#include <QPainter>
#include <algorithm>

namespace ui {
namespace {

constexpr int numbersHeight = 20, rowGap = 2, cellGap = 2, reelMargin = 12, namesWidth = 84;
constexpr double cellProportion = 1.3; // width to height
constexpr int mostColumns = 41;
constexpr int slotsARow = 64; // of the renderer; more than there are columns

} // namespace

FrameReel::FrameReel(QWidget* parent)
    : QWidget(parent),
      m_renderer([this](int slot, const RenderResult& result) { rendered(result, std::size_t(slot / slotsARow)); })
{
    setAccessibleName(tr("reel of frames"));
    setMouseTracking(true);
    setCursor(Qt::PointingHandCursor);
}

void FrameReel::setPlaces(const std::optional<media::Rect>& lamp, const std::optional<media::Rect>& screen,
                          const PictureGeometry& geometry, bool closer)
{
    m_closer = closer;
    if (m_regions[0] == lamp && m_regions[1] == screen && m_geometry == geometry)
        return;
    m_regions = {lamp, screen};
    m_geometry = geometry;
    forget();
}

void FrameReel::setFootage(const std::shared_ptr<const media::Footage>& footage)
{
    if (m_footage == footage)
        return;
    m_footage = footage;
    forget();
}

void FrameReel::setFrame(qint64 frame, qint64 count)
{
    if (frame == m_frame && count == m_count)
        return;
    m_frame = frame;
    m_count = count;
    refresh();
}

void FrameReel::setMarks(const QVector<TraceMark>& marks)
{
    m_marks = marks;
    update();
}

void FrameReel::setBlind(std::optional<std::pair<qint64, qint64>> firstAndSeen)
{
    if (m_blind == firstAndSeen)
        return;
    m_blind = firstAndSeen;
    refresh();
}

void FrameReel::setBrightness(double gain, double gamma)
{
    if (gain == m_gain && gamma == m_gamma)
        return;
    m_gain = gain;
    m_gamma = gamma;
    ++m_generation;
    for (auto& [frame, known] : m_cells)
        known.isGiven = false; // what stands there stays until it comes anew
    refresh();
}

void FrameReel::forget()
{
    ++m_generation;
    m_cells.clear();
    refresh();
}

/// Keeps what is still to be seen, and tells that others are wanted.
void FrameReel::refresh()
{
    if (!isVisible())
        return;
    const qint64 from = first(), to = from + columns();
    std::erase_if(m_cells, [&](const auto& known) { return known.first < from || known.first >= to; });
    update();
    emit framesChanged();
}

QSize FrameReel::cell() const
{
    const int height = std::max(16, (this->height() - numbersHeight - rowGap - 8) / 2);
    return {int(height * cellProportion), height};
}

int FrameReel::columns() const
{
    const int fitting = (width() - namesWidth - reelMargin) / (cell().width() + cellGap);
    return std::clamp((fitting - 1) / 2 * 2 + 1, 1, mostColumns);
}

qint64 FrameReel::first() const { return m_frame - columns() / 2; }

bool FrameReel::isInReach(qint64 frame) const
{
    return frame >= (m_blind ? m_blind->first : 0) && frame < m_count && (!m_blind || frame <= m_blind->second);
}

QRect FrameReel::column(qint64 frame) const
{
    const int pitch = cell().width() + cellGap;
    const int left = namesWidth + (width() - namesWidth - reelMargin - columns() * pitch) / 2;
    return {left + int(frame - first()) * pitch, 0, cell().width(), height()};
}

std::vector<timing::FrameNumber> FrameReel::frames() const
{
    std::vector<timing::FrameNumber> all;
    if (!isVisible() || !m_footage || (!m_regions[0] && !m_regions[1]))
        return all;
    for (qint64 away = 0; away <= columns() / 2; ++away)
        for (const qint64 frame : {m_frame + away, m_frame - away})
            if (isInReach(frame) && (away > 0 || all.empty()))
                all.push_back({frame});
    return all;
}

bool FrameReel::wants(timing::FrameNumber n) const
{
    const auto known = m_cells.find(n.value);
    return known == m_cells.end() || !known->second.isGiven;
}

std::vector<media::Rect> FrameReel::shownRects() const
{
    std::vector<media::Rect> rects;
    for (const auto& region : m_regions)
        if (isVisible() && region && !m_geometry.isEmpty())
            rects.push_back(closeUpSource(*region, m_geometry, cell()));
    return rects;
}

void FrameReel::setPicture(timing::FrameNumber n, const media::CachedPicture& picture)
{
    if (!picture || !isInReach(n.value) || n.value < first() || n.value >= first() + columns())
        return;
    Cell& known = m_cells[n.value];
    if (known.isGiven || m_geometry.isEmpty())
        return;
    std::vector<std::pair<std::size_t, RenderRequest>> requests;
    for (const std::size_t row : {0, 1}) {
        if (!m_regions[row])
            continue;
        RenderRequest request;
        request.picture = picture;
        request.view = closeUpView(*m_regions[row], m_geometry, cell(), devicePixelRatioF());
        request.view.gain = m_gain;
        request.view.gamma = m_gamma;
        request.frame = n.value;
        request.tag = m_generation;
        if (!picture.shows(request.view))
            return; // it was reduced for other views: the native one is on its way
        requests.emplace_back(row, std::move(request));
    }
    known.isGiven = true;
    for (auto& [row, request] : requests)
        m_renderer.request(int(row) * slotsARow + int(n.value % slotsARow), std::move(request));
}

void FrameReel::rendered(const RenderResult& result, std::size_t row)
{
    const auto known = m_cells.find(result.frame);
    if (result.tag != m_generation || known == m_cells.end())
        return;
    known->second.rows[row] = result.image;
    update(column(result.frame));
}

bool FrameReel::isShown(qint64 frame) const
{
    const auto known = m_cells.find(frame);
    return known != m_cells.end() && (!m_regions[0] || !known->second.rows[0].isNull())
           && (!m_regions[1] || !known->second.rows[1].isNull());
}

qint64 FrameReel::frameAt(QPointF at) const
{
    const int pitch = cell().width() + cellGap, left = column(first()).left();
    const qint64 frame = first() + qint64(std::floor((at.x() - left) / pitch));
    return at.x() >= left && frame < first() + columns() && isInReach(frame) ? frame : -1;
}

void FrameReel::mousePressEvent(QMouseEvent* event)
{
    if (const qint64 frame = frameAt(event->position()); frame >= 0 && event->button() == Qt::LeftButton)
        emit frameChosen(frame);
}

void FrameReel::resizeEvent(QResizeEvent*) { forget(); }

void FrameReel::showEvent(QShowEvent*) { refresh(); }

void FrameReel::paintEvent(QPaintEvent* event)
{
    const Tokens& t = tokens();
    QPainter painter(this);
    const QSize size = cell();
    const std::array tops{numbersHeight + 4, numbersHeight + 4 + size.height() + rowGap};
    const std::array names{tr("lamp"), tr("screen")};
    painter.setFont(ui::font(Text::State));
    for (const std::size_t row : {0, 1}) {
        const QRect place(reelMargin, tops[row], namesWidth - reelMargin, size.height());
        paintShape(painter, row == 0 ? Shape::Press : Shape::Response,
                   QRectF(place.left(), place.top(), 12, place.height()));
        painter.setPen(t.text2);
        painter.drawText(place.adjusted(18, 0, 0, 0), Qt::AlignVCenter | Qt::AlignLeft, names[row]);
        if (row == 1 && m_closer) {
            painter.setFont(ui::font(Text::Caption));
            painter.drawText(place.adjusted(18, place.height() / 2 + 6, 0, 0), Qt::AlignTop | Qt::AlignLeft,
                             tr("at the hint"));
            painter.setFont(ui::font(Text::State));
        }
    }
    if (!m_regions[0] && !m_regions[1]) {
        painter.setPen(t.text2);
        painter.drawText(rect().adjusted(namesWidth, 0, 0, 0), Qt::AlignCenter,
                         tr("Draw the lamp region (L) or the screen region (S): the reel shows them frame by frame."));
        return;
    }
    const qreal ratio = devicePixelRatioF();
    for (qint64 frame = first(); frame < first() + columns(); ++frame) {
        const QRect place = column(frame);
        if (!isInReach(frame) || !event->rect().intersects(place))
            continue;
        const bool inView = frame == m_frame;
        if (inView) {
            painter.fillRect(place.adjusted(-3, 0, 3, 0), t.selected);
            painter.fillRect(QRect(place.left() - 3, 0, place.width() + 6, 3), t.text1);
        }
        const auto mark = std::ranges::find_if(m_marks, [&](const TraceMark& m) { return m.frame == frame; });
        QRect number(place.left(), 3, place.width(), numbersHeight - 3);
        painter.setFont(ui::font(Text::State, inView ? QFont::DemiBold : QFont::Normal));
        painter.setPen(inView ? t.text1 : t.text2);
        const QString text = QString::number(frame - (m_blind ? m_blind->first : 0));
        if (mark != m_marks.end()) {
            const int wide = painter.fontMetrics().horizontalAdvance(text) + 16;
            paintShape(painter, markShape(mark->kind, mark->marked),
                       QRectF(number.center().x() - wide / 2, number.top(), 12, number.height()));
            number.setLeft(number.center().x() - wide / 2 + 16);
            painter.drawText(number, Qt::AlignLeft | Qt::AlignVCenter, text);
        } else {
            painter.drawText(number, Qt::AlignCenter, text);
        }
        const auto known = m_cells.find(frame);
        for (const std::size_t row : {0, 1}) {
            if (!m_regions[row])
                continue;
            const QRect box(place.left(), tops[row], size.width(), size.height());
            const QImage image = known == m_cells.end() ? QImage() : known->second.rows[row];
            painter.fillRect(box, image.isNull() ? t.field : t.surround);
            if (image.isNull())
                continue;
            painter.save();
            painter.scale(1 / ratio, 1 / ratio); // device pixels, so that they are copied, not scaled
            painter.drawImage(QPointF(std::floor((box.left() + box.width() / 2.0) * ratio - image.width() / 2.0),
                                      std::floor((box.top() + box.height() / 2.0) * ratio - image.height() / 2.0)),
                              image);
            painter.restore();
        }
    }
}

} // namespace ui
