#include "ui/desk/mark_row.h"
#include "ui/look/key_cap.h"

#include <QMouseEvent>
#include <QPainter>

namespace ui {

namespace {

constexpr int shapeLeft = 12, wordLeft = 34, valueLeft = 104, gap = 8;

} // namespace

MarkRow::MarkRow(const QString& word, const QStringList& caps, QWidget* parent)
    : QWidget(parent), m_word(word), m_caps(caps)
{
    setFixedHeight(sizeHint().height());
    setMouseTracking(true);
    setAccessibleName(word);
    if (QFontMetrics(ui::font(Text::Body, QFont::DemiBold)).horizontalAdvance(word) > valueLeft - wordLeft - 4)
        setToolTip(word);
}

void MarkRow::show(const Shown& what)
{
    m_shown = what;
    setAccessibleDescription(what.value + QLatin1String(", ") + what.trailing);
    update();
}

int MarkRow::trailingLeft() const
{
    const QFontMetrics metrics(ui::font(Text::State, m_shown.next ? QFont::DemiBold : QFont::Normal));
    return width() - grid::padding - keyCapsSize(m_caps).width() - gap - metrics.horizontalAdvance(m_shown.trailing);
}

void MarkRow::paintEvent(QPaintEvent*)
{
    const Tokens& t = tokens();
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    paintRowState(painter, rect(), m_shown.next, m_hovered != Part::None);
    paintShape(painter, m_shown.shape, QRectF(shapeLeft, 0, 14, height()));
    painter.setFont(ui::font(Text::Body, m_shown.next ? QFont::DemiBold : QFont::Normal));
    painter.setPen(m_shown.next ? t.text1 : t.text2);
    painter.drawText(QRect(wordLeft, 0, valueLeft - wordLeft, height()), Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(m_word, Qt::ElideRight, valueLeft - wordLeft - 4));

    const int right = trailingLeft();
    QFont value = m_shown.given ? ui::font(Text::Emphasis, QFont::DemiBold) : ui::font(Text::Body);
    value.setUnderline(m_hovered == Part::Value && m_shown.given);
    painter.setFont(value);
    painter.setPen(m_shown.given || m_shown.next ? t.text1 : t.text2);
    painter.drawText(QRect(valueLeft, 0, right - valueLeft - gap, height()), Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(m_shown.value, Qt::ElideRight, right - valueLeft - gap));

    QFont trailing = ui::font(Text::State, m_shown.next ? QFont::DemiBold : QFont::Normal);
    trailing.setUnderline(m_hovered == Part::Key && m_shown.enabled);
    painter.setFont(trailing);
    painter.setPen(!m_shown.enabled ? t.disabled : m_shown.next ? t.text1 : t.text2);
    painter.drawText(QRect(right, 0, width(), height()), Qt::AlignVCenter, m_shown.trailing);
    const QSize caps = keyCapsSize(m_caps);
    paintKeyCaps(painter, QRectF(width() - grid::padding - caps.width(), 0, caps.width(), height()), m_caps,
                 CapSurface::Panel, m_shown.enabled);
}

MarkRow::Part MarkRow::partAt(const QPoint& place) const
{
    if (!rect().contains(place))
        return Part::None;
    if (place.x() >= trailingLeft() - gap)
        return m_shown.enabled ? Part::Key : Part::None;
    return m_shown.given ? Part::Value : Part::None;
}

void MarkRow::mouseMoveEvent(QMouseEvent* event)
{
    const Part part = partAt(event->position().toPoint());
    setCursor(part == Part::None ? Qt::ArrowCursor : Qt::PointingHandCursor);
    if (part != std::exchange(m_hovered, part))
        update();
}

void MarkRow::leaveEvent(QEvent*)
{
    m_hovered = Part::None;
    update();
}

void MarkRow::mouseReleaseEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton)
        return;
    switch (partAt(event->position().toPoint())) {
    case Part::Value: emit goAsked(); break;
    case Part::Key: emit keyAsked(); break;
    case Part::None: break;
    }
}

} // namespace ui
