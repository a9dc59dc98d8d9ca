#include "ui/window/key_bar.h"
#include "ui/look/key_cap.h"
#include "ui/look/tokens.h"

#include <QHBoxLayout>
#include <QMouseEvent>

namespace ui {

namespace {

constexpr int barHeight = 30, between = 16;

} // namespace

KeyBar::KeyBar(QWidget* parent) : QWidget(parent), m_row(new QHBoxLayout(this))
{
    setFixedHeight(barHeight);
    m_row->setContentsMargins(grid::padding, 0, grid::padding, 0);
    m_row->setSpacing(between);
    m_row->addStretch(1);
    m_help = new KeyCaps({QStringLiteral("F1")}, tr("help, all keys"), this);
    m_help->setCursor(Qt::PointingHandCursor);
    m_row->addWidget(m_help);
}

void KeyBar::setKeys(const QVector<KeyHint>& keys)
{
    qDeleteAll(m_caps);
    m_caps.clear();
    for (const KeyHint& hint : keys) {
        if (!hint.inBar)
            continue;
        auto* caps = new KeyCaps(hint.caps, hint.meaning, this);
        m_row->insertWidget(static_cast<int>(m_caps.size()), caps);
        m_caps << caps;
    }
    fit();
}

void KeyBar::resizeEvent(QResizeEvent*) { fit(); }

/// The most used keys stand first; the others are left to the overlay where there is no room.
void KeyBar::fit()
{
    int used = 2 * grid::padding + m_help->sizeHint().width() + between;
    for (QWidget* caps : std::as_const(m_caps)) {
        used += caps->sizeHint().width() + between;
        caps->setVisible(used <= width());
    }
}

void KeyBar::mouseReleaseEvent(QMouseEvent* event)
{
    if (m_help->geometry().contains(event->position().toPoint()))
        emit helpAsked();
}

} // namespace ui
