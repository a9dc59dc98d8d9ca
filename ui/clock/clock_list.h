#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/session/document.h"

namespace ui {

class RowList;

/// Every clock of the session with its state, and what the states mean.
class ClockList : public QWidget {
    Q_OBJECT
public:
    explicit ClockList(QWidget* parent = nullptr);
    void show(const session::Document& document, session::ClockId selected);
    RowList& list() { return *m_list; }

signals:
    void chosen(session::ClockId id);

private:
    struct Row {
        session::ClockId id;
        QString name, rate, captures;
        session::ClockState state;
    };
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;

    QVector<Row> m_rows;
    RowList* m_list;
};

} // namespace ui
