#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/look/shapes.h"

namespace ui {

class RowList;

/// Trials of the capture on the desk, by press. Delays only while they are shown.
class TrialList : public QWidget {
    Q_OBJECT
public:
    TrialList(SessionModel& model, DeskState& state, QWidget* parent = nullptr);
    /// Presses that the traces suggest and no trial has yet; ascending. Listed among the trials, never counted as such.
    void setProposed(const QVector<qint64>& presses);
    qsizetype proposed() const { return m_proposed.size(); }
    int contentHeight() const;

signals:
    void chosen(session::TrialId id);
    void frameChosen(qint64 frame); ///< of a proposed press

protected:
    void paintEvent(QPaintEvent*) override;

private:
    struct Row {
        session::TrialId id; ///< 0: proposed
        qint64 frame = 0;    ///< of the press
        QString number, press, response, delay, word;
        Shape shape = Shape::TrialProposed;
        bool attention = false, struck = false;
    };
    struct Columns {
        int glyph, pressRight, responseRight, delayRight, state; ///< -1: not shown
    };
    Columns columns() const;
    void refresh();
    void selectCurrent();
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;

    SessionModel& m_model;
    DeskState& m_state;
    QVector<Row> m_rows;
    QVector<qint64> m_proposed;
    RowList* m_list;
};

} // namespace ui
