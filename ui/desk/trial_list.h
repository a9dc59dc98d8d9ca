#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"

namespace ui {

class RowList;

/// Trials of the capture on the desk, by press. Delays only while they are shown.
class TrialList : public QWidget {
    Q_OBJECT
public:
    TrialList(SessionModel& model, DeskState& state, QWidget* parent = nullptr);

signals:
    void chosen(session::TrialId id);
    void counted(int done, int toRead); ///< for the panel's header

protected:
    void paintEvent(QPaintEvent*) override;

private:
    struct Row {
        session::TrialId id;
        QString number, press, response, delay, word;
        int shape = 0; ///< ui::Shape
        bool attention = false, struck = false;
    };
    struct Columns {
        int glyph, pressRight, responseRight, delayRight, state; ///< -1: not shown
    };
    Columns columns() const;
    void refresh();
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;

    SessionModel& m_model;
    DeskState& m_state;
    QVector<Row> m_rows;
    RowList* m_list;
};

} // namespace ui
