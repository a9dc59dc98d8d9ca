#pragma once
#include "ui/desk/desk_overlay.h"
#include "core/session/document.h"
#include <QVector>

class QKeyEvent;
class QPainter;

namespace ui {

class RowList;

/// One thing that waits: a trial, or a press that no trial has.
struct Todo {
    session::CaptureId capture;
    session::TrialId trial; ///< 0: a proposed press, or the capture
    qint64 frame = 0;       ///< of the press; -1: none is marked
    QString name;           ///< "trial 3 of run01"
    QString what;           ///< "half read"; "warned: The response is at or before the press; ..."
    bool attention = false; ///< in doubt, open or warned
};

/// What waits in the session, captures in their order: trials that are half read, to accept, in doubt, to settle, or
/// look like a slip by the session alone, one row each; proposed presses that nobody has read, of the capture `desk` as
/// the desk has them; captures that nobody has looked through.
QVector<Todo> todosOf(const session::Document& document, session::CaptureId desk, const QVector<qint64>& proposed);

/// That list over the traces. Enter goes to what is chosen, Esc leaves.
class TodoList : public DeskOverlay {
    Q_OBJECT
public:
    TodoList(QWidget& over, QWidget* parent);
    void open(const QVector<Todo>& todos); ///< not empty
    qsizetype count() const { return m_todos.size(); }

signals:
    void chosen(const ui::Todo& todo);

protected:
    void keyPressEvent(QKeyEvent*) override;

private:
    void take(int row);
    void paintRow(QPainter& painter, const QRect& rect, int row) const;

    class Label* m_title;
    RowList* m_rows;
    QVector<Todo> m_todos;
};

} // namespace ui
