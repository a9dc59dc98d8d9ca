#pragma once
#include <QVector>
#include <QWidget>

class QPainter;

namespace ui {

/// The names of a list's columns above it, and where each column of a row is.
class TableHead : public QWidget {
public:
    struct Column {
        QString name;
        int begin; ///< percent of the width between the margins
    };
    /// `rows` is the viewport of the list below: a bar beside it takes room from the columns.
    TableHead(const QVector<Column>& columns, const QWidget& rows) : m_columns(columns), m_rows(rows)
    {
        setFixedHeight(22);
    }

    /// Room of a column in `row`, or of it and those after it before `end`.
    QRect cell(const QRect& row, int column, int end) const;
    QRect cell(const QRect& row, int column) const { return cell(row, column, column + 1); }
    int columns() const { return static_cast<int>(m_columns.size()); }

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QVector<Column> m_columns;
    const QWidget& m_rows;
};

/// In one line, shortened to the room.
void paintLine(QPainter& painter, const QRect& room, const QString& text, Qt::TextElideMode = Qt::ElideRight);

} // namespace ui
