#pragma once
#include "ui/desk/desk_overlay.h"
#include "core/session/trial.h"

class QKeyEvent;
class QPainter;
class QLineEdit;

namespace ui {

class RowList;

/// Why a trial is rejected: each reason with its letter and what it means, the usual five first, all by the space bar.
/// Lies over the traces while it is open, so that the evidence stays in view. A letter chooses, Enter rejects, Esc
/// leaves the trial as it is; whoever types on types a reason's name, or one of his own, and no keys of the desk.
class RejectChooser : public DeskOverlay {
    Q_OBJECT
public:
    RejectChooser(QWidget& over, QWidget* parent);
    void open(const QString& title, bool rejected); ///< `rejected`: the trial can be kept again

signals:
    void chosen(session::RejectReason reason, const QString& note);
    void keepAsked();

protected:
    bool focusNextPrevChild(bool next) override;
    bool eventFilter(QObject*, QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    QRect placeIn(const QRect& over) const override;

private:
    void take(int row);
    void showReasons(bool all);
    void typed(const QString& letter);
    void paintRow(QPainter& painter, const QRect& rect, int row) const;
    bool key(const QKeyEvent& event);

    class Label *m_title, *m_hint;
    RowList* m_reasons;
    QLineEdit* m_note;
    QStringList m_spoken;
    QString m_typed;
    bool m_rejected = false;
};

} // namespace ui
