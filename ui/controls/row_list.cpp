#include "ui/controls/row_list.h"
#include "ui/look/look.h"
#include "ui/look/shapes.h"

#include <QKeyEvent>
#include <QPainter>
#include <QSignalBlocker>
#include <QStyledItemDelegate>
#include <algorithm>

namespace ui {

class RowDelegate : public QStyledItemDelegate {
public:
    explicit RowDelegate(RowList& list) : QStyledItemDelegate(&list), m_list(list) {}

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override
    {
        const bool selected = option.state & QStyle::State_Selected;
        painter->save();
        painter->setRenderHint(QPainter::Antialiasing);
        paintRowState(*painter, QRectF(option.rect), selected, option.state & QStyle::State_MouseOver);
        m_list.m_paint(*painter, option.rect, index.row(), selected);
        if (m_list.m_hairlines)
            painter->fillRect(QRect(option.rect.left(), option.rect.bottom(), option.rect.width(), 1),
                              tokens().hairline);
        painter->restore();
        if (m_list.hasFocus() && m_list.currentRow() == index.row())
            paintFocusInside(*painter, QRectF(option.rect));
    }

    QSize sizeHint(const QStyleOptionViewItem&, const QModelIndex&) const override { return {40, m_list.rowHeight()}; }

private:
    RowList& m_list;
};

RowList::RowList(int rowHeight, Paint paint, QWidget* parent)
    : QListWidget(parent), m_rowHeight(rowHeight), m_paint(std::move(paint))
{
    setItemDelegate(new RowDelegate(*this));
    setFrameShape(QFrame::NoFrame);
    setUniformItemSizes(true);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    setMouseTracking(true);
    connect(this, &QListWidget::currentRowChanged, this, &RowList::rowChosen);
}

void RowList::setRows(const QStringList& spoken)
{
    const QSignalBlocker quiet(this);
    const int current = currentRow();
    while (count() > spoken.size())
        delete takeItem(count() - 1);
    for (int row = 0; row < spoken.size(); ++row) {
        if (row == count())
            addItem(spoken[row]);
        else if (item(row)->text() != spoken[row])
            item(row)->setText(spoken[row]);
    }
    setCurrentRow(std::min(current, count() - 1));
    if (m_fitted)
        setFixedHeight(sizeHint().height());
    viewport()->update();
}

void RowList::selectRow(int row)
{
    if (row == currentRow())
        return;
    const QSignalBlocker quiet(this);
    setCurrentRow(row);
    viewport()->update();
}

void RowList::setFitted(bool fitted)
{
    m_fitted = fitted;
    setVerticalScrollBarPolicy(fitted ? Qt::ScrollBarAlwaysOff : Qt::ScrollBarAsNeeded);
    updateGeometry();
}

QSize RowList::sizeHint() const { return {200, std::max(1, count()) * m_rowHeight}; }

QSize RowList::minimumSizeHint() const { return {80, m_fitted ? sizeHint().height() : m_rowHeight}; }

void RowList::keyPressEvent(QKeyEvent* event)
{
    if (m_passedOn.contains(event->key()) || event->modifiers() & (Qt::ControlModifier | Qt::AltModifier))
        event->ignore();
    else if (event->text().isEmpty() || event->key() == Qt::Key_Space)
        QListWidget::keyPressEvent(event);
    else
        event->ignore(); // letters are the page's keys, not a search
}

bool RowList::event(QEvent* event)
{
    if (event->type() == QEvent::FocusIn || event->type() == QEvent::FocusOut)
        viewport()->update();
    return QListWidget::event(event);
}

void RowList::wheelEvent(QWheelEvent* event)
{
    if (m_fitted)
        event->ignore();
    else
        QListWidget::wheelEvent(event);
}

} // namespace ui
