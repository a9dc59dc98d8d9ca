#include "ui/desk/desk_overlay.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"

#include <QApplication>
#include <QEvent>
#include <QPainter>
#include <QVBoxLayout>

namespace ui {

DeskOverlay::DeskOverlay(QWidget& over, QWidget* parent)
    : QWidget(parent), m_over(over), m_column(new QVBoxLayout(this))
{
    setFocusPolicy(Qt::StrongFocus);
    m_column->setContentsMargins(1, 9, 1, 9);
    m_column->setSpacing(4);
    over.installEventFilter(this);
    connect(qApp, &QApplication::focusChanged, this, [this](QWidget*, QWidget* now) { keepFocus(now); });
    hide();
}

QHBoxLayout* DeskOverlay::addLine()
{
    auto* line = new QHBoxLayout;
    line->setContentsMargins(grid::padding, 0, grid::padding, 0);
    line->setSpacing(12);
    m_column->addLayout(line);
    return line;
}

DeskOverlay::Title DeskOverlay::addTitle()
{
    const Title title{new Label({}, Text::Body, Tone::Primary, QFont::DemiBold),
                      new Label({}, Text::State, Tone::Secondary)};
    QHBoxLayout* line = addLine();
    line->addWidget(title.left);
    line->addStretch(1);
    line->addWidget(title.right);
    return title;
}

void DeskOverlay::addKeys(const QVector<KeyHint>& keys)
{
    QHBoxLayout* line = addLine();
    for (const KeyHint& key : keys)
        line->addWidget(new KeyCaps(key.caps, key.meaning));
    line->addStretch(1);
}

void DeskOverlay::appear(QWidget& keyboard)
{
    m_keyboard = &keyboard;
    place();
    show();
    raise();
    keyboard.setFocus();
}

void DeskOverlay::leave()
{
    hide();
    emit closed();
}

void DeskOverlay::place() { setGeometry(placeIn(QRect(m_over.mapTo(parentWidget(), QPoint()), m_over.size()))); }

/// Whatever is clicked beside it.
void DeskOverlay::keepFocus(const QWidget* now)
{
    if (isVisible() && now && parentWidget()->isAncestorOf(now) && now != this && !isAncestorOf(now))
        m_keyboard->setFocus();
}

bool DeskOverlay::event(QEvent* event)
{
    if (event->type() == QEvent::ShortcutOverride) {
        event->accept();
        return true;
    }
    return QWidget::event(event);
}

bool DeskOverlay::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == &m_over && event->type() == QEvent::Resize && isVisible())
        place();
    return QWidget::eventFilter(watched, event);
}

void DeskOverlay::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.fillRect(rect(), tokens().panel);
    painter.setPen(tokens().fieldEdge);
    painter.drawRect(rect().adjusted(0, 0, -1, -1));
}

} // namespace ui
