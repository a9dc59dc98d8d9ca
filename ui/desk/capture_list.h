#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/desk/captures.h"
#include "ui/look/shapes.h"

namespace ui {

class RowList;

/// The session's captures: configuration, how far each is read, the state of its clock, or what is wrong with its
/// footage. Below them what is on its way in, with its progress.
class CaptureList : public QWidget {
    Q_OBJECT
public:
    CaptureList(SessionModel& model, DeskState& state, Captures& captures, QWidget* parent = nullptr);
    int contentHeight() const;

signals:
    void chosen(session::CaptureId id);
    void relinkAsked(session::CaptureId id);
    void menuAsked(session::CaptureId id, const QPoint& globalPlace);

protected:
    bool eventFilter(QObject*, QEvent*) override;

private:
    struct Row {
        session::CaptureId id;
        QString name, run, cap, count, shortCount, word;
        QString checked;                   ///< how far decoding is, in place of the clock; empty: not under way
        Shape shape = Shape::ClockUnknown; ///< of the word
        bool counted = false, attention = false, relink = false;
        double progress = -1; ///< 0..1 while indexing
        QString toolTip;
    };
    void refresh();
    void refreshIncoming();
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;

    SessionModel& m_model;
    DeskState& m_state;
    Captures& m_captures;
    QVector<Row> m_rows;
    RowList* m_list;
    QWidget* m_incoming;
    QVector<class IncomingFootageRow*> m_incomingRows;
};

} // namespace ui
