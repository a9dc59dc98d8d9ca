#include "ui/look/label.h"

#include <QHelpEvent>
#include <QPainter>
#include <QToolTip>
#include <algorithm>

namespace ui {
namespace {

/// Palette roles that applyLook() fills with the tones, so that a change of theme reaches every label by itself.
QPalette::ColorRole roleOf(Tone tone)
{
    switch (tone) {
    case Tone::Secondary: return QPalette::LinkVisited;
    case Tone::Tertiary: return QPalette::PlaceholderText;
    case Tone::Attention: return QPalette::BrightText;
    case Tone::Primary: break;
    }
    return QPalette::WindowText;
}

constexpr int shapeGap = 6;

} // namespace

QString menuText(const QString& name)
{
    QString text = name;
    return text.replace(QLatin1Char('&'), QLatin1String("&&")).replace(QLatin1Char('\t'), QLatin1Char(' '));
}

Label::Label(const QString& text, Text size, Tone tone, QFont::Weight weight, QWidget* parent) : QLabel(text, parent)
{
    setFont(ui::font(size, weight));
    setTextFormat(Qt::PlainText);
    setTone(tone);
}

Label* wrapping(const QString& text, Text size, Tone tone, QFont::Weight weight)
{
    auto* label = new Label(text, size, tone, weight);
    label->setWordWrap(true);
    return label;
}

Label* selectable(Label* label)
{
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

void Label::setTone(Tone tone) { setForegroundRole(roleOf(tone)); }

void Label::setElided(Qt::TextElideMode mode)
{
    m_elide = mode;
    QSizePolicy policy = sizePolicy();
    policy.setHorizontalPolicy(mode == Qt::ElideNone ? QSizePolicy::Preferred : QSizePolicy::Expanding);
    setSizePolicy(policy);
    updateGeometry();
    update();
}

QSize Label::minimumSizeHint() const
{
    if (m_elide == Qt::ElideNone)
        return QLabel::minimumSizeHint();
    return {std::min(QLabel::sizeHint().width(), fontMetrics().averageCharWidth() * 4), QLabel::sizeHint().height()};
}

void Label::paintEvent(QPaintEvent* event)
{
    if (m_elide == Qt::ElideNone)
        return QLabel::paintEvent(event);
    QPainter painter(this);
    painter.setPen(palette().color(isEnabled() ? QPalette::Active : QPalette::Disabled, foregroundRole()));
    painter.setFont(font());
    painter.drawText(contentsRect(), int(alignment()) | Qt::TextSingleLine,
                     fontMetrics().elidedText(text(), m_elide, contentsRect().width()));
}

bool Label::event(QEvent* event)
{
    if (event->type() == QEvent::ToolTip && m_elide != Qt::ElideNone && toolTip().isEmpty()
        && fontMetrics().horizontalAdvance(text()) > contentsRect().width()) {
        QToolTip::showText(static_cast<QHelpEvent*>(event)->globalPos(), text(), this);
        return true;
    }
    return QLabel::event(event);
}

ShapeLabel::ShapeLabel(Shape shape, const QString& word, Text size, Tone tone, QWidget* parent)
    : QWidget(parent), m_shape(shape), m_word(new Label(word, size, tone, QFont::Normal, this))
{
    setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
}

void ShapeLabel::setShape(Shape shape)
{
    m_shape = shape;
    updateGeometry();
    update();
}

void ShapeLabel::setWord(const QString& word)
{
    m_word->setText(word);
    updateGeometry();
}

void ShapeLabel::setTone(Tone tone) { m_word->setTone(tone); }

QSize ShapeLabel::sizeWith(QSize word) const
{
    const QSize shape = shapeSize(m_shape);
    if (m_word->text().isEmpty() || word.isEmpty())
        return shape;
    return {shape.width() + shapeGap + word.width(), std::max(shape.height(), word.height())};
}

QSize ShapeLabel::sizeHint() const { return sizeWith(m_word->sizeHint()); }

QSize ShapeLabel::minimumSizeHint() const { return sizeWith(m_word->minimumSizeHint()); }

void ShapeLabel::resizeEvent(QResizeEvent*)
{
    const int left = shapeSize(m_shape).width() + shapeGap;
    m_word->setGeometry(left, 0, std::max(0, width() - left), height());
}

void ShapeLabel::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const auto colour = isEnabled() ? std::nullopt : std::optional(tokens().disabled);
    paintShape(painter, m_shape, QRectF(0, 0, shapeSize(m_shape).width(), height()), tokens(), colour);
}

} // namespace ui
