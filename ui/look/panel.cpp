#include "ui/look/panel.h"

#include <QHBoxLayout>
#include <QPainter>

namespace ui {

Panel::Panel(const QString& title, QWidget* parent)
    : QWidget(parent), m_title(new Label(title, Text::Body, Tone::Primary, QFont::DemiBold)),
      m_trailing(new Label({}, Text::State, Tone::Secondary)), m_shape(new ShapeLabel(Shape::Press)),
      m_header(new QHBoxLayout), m_body(new QVBoxLayout)
{
    m_shape->hide();
    m_title->setElided(Qt::ElideRight);
    m_header->setContentsMargins(grid::padding, 0, grid::padding, 0);
    m_header->setSpacing(8);
    m_header->addWidget(m_shape);
    m_header->addWidget(m_title, 1);
    m_header->addWidget(m_trailing);

    auto* header = new QWidget;
    header->setFixedHeight(grid::panelHeader);
    header->setLayout(m_header);

    m_body->setContentsMargins(grid::padding, 0, grid::padding, 8);
    m_body->setSpacing(grid::unit);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 1); // the hairline's row
    layout->setSpacing(0);
    layout->addWidget(header);
    layout->addLayout(m_body, 1);
}

void Panel::setTitle(const QString& title) { m_title->setText(title); }

void Panel::setShape(std::optional<Shape> shape)
{
    m_shape->setVisible(shape.has_value());
    if (shape)
        m_shape->setShape(*shape);
}

void Panel::setTrailing(const QString& text, Tone tone)
{
    m_trailing->setText(text);
    m_trailing->setTone(tone);
}

void Panel::addToHeader(QWidget* widget) { m_header->addWidget(widget); }

void Panel::setHairline(bool shown)
{
    m_hairline = shown;
    update();
}

void Panel::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().panel);
    if (m_hairline)
        painter.fillRect(QRect(0, height() - 1, width(), 1), tokens().hairline);
}

Label* emptyNote(const QString& sentence, Text size)
{
    auto* note = wrapping(sentence, size, Tone::Secondary);
    note->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    return note;
}

} // namespace ui
