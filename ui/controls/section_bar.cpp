#include "ui/controls/section_bar.h"
#include "ui/look/lettering.h"
#include "ui/look/look.h"
#include "ui/look/shapes.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>
#include <algorithm>
#include <numeric>

namespace ui {
namespace {

constexpr int barHeight = 34, side = 9, markWidth = 16, underline = 2;
constexpr int leastWidth = 2 * side + markWidth + 24; ///< of a section whose name is shortened

} // namespace

SectionBar::SectionBar(QWidget* parent) : QWidget(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
    setMouseTracking(true);
}

void SectionBar::setSections(const QVector<Section>& sections)
{
    if (sections == m_sections)
        return;
    m_sections = sections;
    const auto shows = [](const Section& section) { return !section.hidden; };
    if (std::ranges::none_of(m_sections,
                             [&](const Section& section) { return shows(section) && section.id == m_current; })) {
        const auto first = std::ranges::find_if(m_sections, shows);
        m_current = first == m_sections.end() ? QString() : first->id;
    }
    say();
    updateGeometry();
    update();
}

void SectionBar::say()
{
    const auto now = std::ranges::find(m_sections, m_current, &Section::id);
    setAccessibleDescription(now == m_sections.end() ? QString() : now->name);
}

void SectionBar::choose(const QString& id)
{
    const auto wanted = std::ranges::find(m_sections, id, &Section::id);
    if (wanted == m_sections.end() || wanted->hidden || id == m_current)
        return;
    m_current = id;
    say();
    update();
}

void SectionBar::take(const QString& id)
{
    if (id.isEmpty() || id == m_current)
        return;
    choose(id);
    emit chosen(m_current);
}

void SectionBar::step(int by)
{
    const int count = static_cast<int>(m_sections.size());
    const auto now = std::ranges::find(m_sections, m_current, &Section::id);
    if (now == m_sections.end())
        return;
    int at = static_cast<int>(now - m_sections.begin());
    do
        at = (at + by + count) % count;
    while (m_sections[at].hidden);
    take(m_sections[at].id);
}

int SectionBar::widthOf(const Section& section) const
{
    if (section.hidden)
        return 0;
    return QFontMetrics(ui::font(Text::State, QFont::DemiBold)).horizontalAdvance(section.name) + 2 * side
           + (section.marked ? markWidth : 0);
}

QVector<int> SectionBar::widths() const
{
    QVector<int> widths;
    for (const Section& section : m_sections)
        widths << widthOf(section);
    while (std::reduce(widths.begin(), widths.end()) > width() - 2 * (grid::padding - side)) {
        int& longest = *std::ranges::max_element(widths);
        if (longest <= leastWidth)
            break;
        --longest;
    }
    return widths;
}

QSize SectionBar::sizeHint() const
{
    int width = 2 * (grid::padding - side);
    for (const Section& section : m_sections)
        width += widthOf(section);
    return {width, barHeight};
}

QSize SectionBar::minimumSizeHint() const
{
    return {std::min(sizeHint().width(), int(m_sections.size()) * leastWidth), barHeight};
}

QString SectionBar::at(int x) const
{
    int left = grid::padding - side;
    const QVector<int> all = widths();
    for (qsizetype i = 0; i < all.size(); ++i) {
        if (x >= left && x < left + all[i])
            return m_sections[i].id;
        left += all[i];
    }
    return {};
}

void SectionBar::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const Tokens& t = tokens();
    painter.fillRect(QRect(0, height() - 1, width(), 1), t.hairline);
    int left = grid::padding - side;
    const QVector<int> all = widths();
    for (qsizetype i = 0; i < all.size(); ++i) {
        const Section& section = m_sections[i];
        const int width = all[i];
        if (width == 0)
            continue;
        const QRect place(left, 0, width, height());
        left += width;
        const bool now = section.id == m_current;
        if (!now && section.id == m_hovered)
            painter.fillRect(place.adjusted(0, 0, 0, -1), t.hover);
        setLettering(painter, Text::State, now ? t.text1 : t.text2, now ? QFont::DemiBold : QFont::Normal);
        const QRect words = place.adjusted(side, 0, -side - (section.marked ? markWidth : 0), 0);
        const bool whole = width == widthOf(section);
        painter.drawText(words, Qt::AlignCenter,
                         whole ? section.name
                               : painter.fontMetrics().elidedText(section.name, Qt::ElideRight, words.width()));
        if (section.marked) {
            painter.setRenderHint(QPainter::Antialiasing);
            paintShape(painter, Shape::Warning, QRectF(words.right() + 5, 0, 11, height()));
            painter.setRenderHint(QPainter::Antialiasing, false);
        }
        if (now)
            painter.fillRect(QRect(place.left() + side, height() - underline, width - 2 * side, underline), t.text1);
        if (now && hasFocus())
            paintFocusInside(painter, QRectF(place.adjusted(0, 2, 0, -underline - 1)));
    }
}

void SectionBar::keyPressEvent(QKeyEvent* event)
{
    if (event->modifiers() & ~Qt::KeypadModifier)
        return QWidget::keyPressEvent(event);
    switch (event->key()) {
    case Qt::Key_Left: step(-1); break;
    case Qt::Key_Right: step(1); break;
    case Qt::Key_Return:
    case Qt::Key_Enter: emit entered(); break;
    default: QWidget::keyPressEvent(event);
    }
}

void SectionBar::mousePressEvent(QMouseEvent* event)
{
    if (event->button() == Qt::LeftButton)
        take(at(qRound(event->position().x())));
}

void SectionBar::mouseMoveEvent(QMouseEvent* event)
{
    const QString over = at(qRound(event->position().x()));
    if (over == m_hovered)
        return;
    m_hovered = over;
    update();
}

void SectionBar::leaveEvent(QEvent* event)
{
    m_hovered.clear();
    update();
    QWidget::leaveEvent(event);
}

bool SectionBar::event(QEvent* event)
{
    if (event->type() == QEvent::ToolTip && width() < sizeHint().width()) {
        const auto* help = static_cast<QHelpEvent*>(event);
        const auto under = std::ranges::find(m_sections, at(help->x()), &Section::id);
        QToolTip::showText(help->globalPos(), under == m_sections.end() ? QString() : under->name, this);
        return true;
    }
    if (event->type() == QEvent::FocusIn || event->type() == QEvent::FocusOut)
        update();
    return QWidget::event(event);
}

} // namespace ui
