#include "ui/desk/table_head.h"
#include "ui/look/tokens.h"

#include <QPainter>

namespace ui {

QRect TableHead::cell(const QRect& row, int column, int end) const
{
    constexpr int gap = 8;
    const int room = row.width() - 2 * grid::padding;
    const auto left = [&](int of) {
        return row.left() + grid::padding + (of < columns() ? room * m_columns[of].begin / 100 : room);
    };
    return {left(column), row.top(), left(end) - left(column) - gap, row.height()};
}

void TableHead::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    painter.setFont(ui::font(Text::Caption));
    painter.setPen(tokens().text2);
    for (int column = 0; column < columns(); ++column)
        painter.drawText(cell(QRect(0, 0, m_rows.width(), height()), column), Qt::AlignVCenter | Qt::TextDontClip,
                         m_columns[column].name);
    painter.fillRect(QRect(0, height() - 1, width(), 1), tokens().hairline);
}

void paintLine(QPainter& painter, const QRect& room, const QString& text, Qt::TextElideMode elide)
{
    painter.drawText(room, Qt::AlignVCenter, painter.fontMetrics().elidedText(text, elide, room.width()));
}

} // namespace ui
