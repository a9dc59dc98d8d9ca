#include "ui/controls/fold.h"
#include "ui/controls/layouts.h"
#include "ui/look/lettering.h"
#include "ui/look/look.h"
#include "ui/look/shapes.h"

#include <QKeyEvent>
#include <QPainter>
#include <QVBoxLayout>

namespace ui {
namespace {

constexpr int foldHeadHeight = 40, foldChevron = 12;

} // namespace

Fold::Fold(const QString& title, const QString& purpose, QWidget* parent)
    : QWidget(parent), m_head(new FoldHead(title)), m_inside(new QWidget), m_body(new QVBoxLayout(m_inside))
{
    setPurpose(purpose);
    m_body->setContentsMargins(0, 0, 0, 8);
    m_body->setSpacing(grid::unit);
    m_inside->hide();
    auto* column = columnIn(this, 0);
    column->addWidget(m_head);
    column->addWidget(m_inside);
    connect(m_head, &QAbstractButton::clicked, this, [this](bool open) {
        m_inside->setVisible(open);
        emit opened(open);
    });
}

void Fold::setPurpose(const QString& words) { m_head->setPurpose(words); }

void Fold::setOpen(bool open)
{
    m_head->setChecked(open);
    m_inside->setVisible(open);
}

bool Fold::isOpen() const { return m_head->isChecked(); }

FoldHead::FoldHead(const QString& title, QWidget* parent) : QAbstractButton(parent)
{
    setCheckable(true);
    setText(title);
    setFocusPolicy(Qt::StrongFocus);
    setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
}

void FoldHead::setPurpose(const QString& words)
{
    m_purpose = words;
    setAccessibleDescription(words);
    setToolTip(words);
    update();
}

QSize FoldHead::sizeHint() const { return {160, foldHeadHeight}; }

QSize FoldHead::minimumSizeHint() const { return {80, foldHeadHeight}; }

void FoldHead::keyPressEvent(QKeyEvent* event)
{
    if (event->key() != Qt::Key_Return && event->key() != Qt::Key_Enter)
        return QAbstractButton::keyPressEvent(event);
    click();
}

void FoldHead::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const Tokens& t = tokens();
    painter.fillRect(rect(), underMouse() ? t.hover : t.panel);
    painter.fillRect(QRect(0, 0, width(), 1), t.hairline);
    painter.setRenderHint(QPainter::Antialiasing);
    const QPointF middle(grid::padding + foldChevron / 2.0, height() / 2.0);
    painter.save();
    painter.translate(middle);
    if (!isChecked())
        painter.rotate(-90);
    paintShape(painter, Shape::Chevron, QRectF(-foldChevron / 2.0, -foldChevron / 2.0, foldChevron, foldChevron), t,
               t.text2);
    painter.restore();
    const int left = grid::padding + foldChevron + 8;
    const QRect words(left, 4, width() - left - grid::padding, height() - 8);
    setLettering(painter, Text::Body, t.text1, QFont::DemiBold);
    drawShortened(painter, words, Qt::AlignLeft | Qt::AlignTop, text());
    setLettering(painter, Text::Caption, t.text2);
    drawShortened(painter, words, Qt::AlignLeft | Qt::AlignBottom, m_purpose);
    if (hasFocus())
        paintFocusInside(painter, QRectF(rect().adjusted(2, 3, -2, -2)));
}

} // namespace ui
