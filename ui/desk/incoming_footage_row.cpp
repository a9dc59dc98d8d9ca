#include "ui/desk/incoming_footage_row.h"
#include "ui/desk/table_head.h"
#include "ui/look/look.h"

#include <QFileInfo>
#include <QHBoxLayout>
#include <QPainter>
#include <QPushButton>

namespace ui {

namespace {

constexpr int rowHeight = 38;

QString wordOf(const Captures::Incoming& item)
{
    using Step = Captures::Incoming::Step;
    switch (item.step) {
    case Step::Waiting: return IncomingFootageRow::tr("waiting");
    case Step::Scanning: return IncomingFootageRow::tr("numbering frames, %1 %").arg(qRound(item.progress * 100));
    case Step::Adding: return IncomingFootageRow::tr("next in");
    }
    return {};
}

} // namespace

void paintShare(QPainter& painter, const QRectF& bar, double share)
{
    painter.fillRect(bar, tokens().hairline);
    painter.fillRect(QRectF(bar.left(), bar.top(), bar.width() * qBound(0.0, share, 1.0), bar.height()),
                     tokens().text2);
}

IncomingFootageRow::IncomingFootageRow(QWidget* parent) : QWidget(parent), m_cancel(new QPushButton(tr("Cancel")))
{
    setFixedHeight(rowHeight);
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(0, 0, grid::padding, 4);
    row->addStretch(1);
    makeCompact(*m_cancel);
    m_cancel->setFocusPolicy(Qt::TabFocus);
    row->addWidget(m_cancel);
    connect(m_cancel, &QPushButton::clicked, this, [this] { emit cancelAsked(m_item.path); });
}

void IncomingFootageRow::show(const Captures::Incoming& item)
{
    m_item = item;
    setToolTip(item.path);
    setAccessibleName(QFileInfo(item.path).fileName());
    setAccessibleDescription(wordOf(item));
    update();
}

void IncomingFootageRow::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const int room = m_cancel->x() - 12 - grid::padding;
    painter.setFont(ui::font(Text::Body));
    painter.setPen(tokens().text1);
    const QString name = QFileInfo(m_item.path).fileName();
    const QString shown = painter.fontMetrics().elidedText(name, Qt::ElideMiddle, room * 45 / 100);
    painter.drawText(grid::padding, 16, shown);
    const int after = grid::padding + painter.fontMetrics().horizontalAdvance(shown) + 10;
    painter.setFont(ui::font(Text::Caption));
    painter.setPen(tokens().text2);
    paintLine(painter, QRect(after, 4, grid::padding + room - after, 16), wordOf(m_item));
    paintShare(painter, QRectF(grid::padding, 25, room, 3), m_item.progress);
}

} // namespace ui
