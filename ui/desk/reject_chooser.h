#pragma once
#include <QWidget>
#include "core/session/trial.h"

class QKeyEvent;
class QPainter;
class QLineEdit;

namespace ui {

class RowList;

/// Why a trial is rejected: every reason with its letter and what it means. Lies over the traces while it is open, so
/// that the evidence stays in view; a letter or Enter chooses, Esc leaves the trial as it is.
class RejectChooser : public QWidget {
    Q_OBJECT
public:
    RejectChooser(QWidget& over, QWidget* parent);
    void open(const QString& title, bool rejected); ///< `rejected`: the trial can be kept again

signals:
    void chosen(session::RejectReason reason, const QString& note);
    void keepAsked();
    void closed();

protected:
    bool event(QEvent*) override;
    bool eventFilter(QObject*, QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void paintEvent(QPaintEvent*) override;

private:
    void take(int row);
    void close();
    void place();
    void paintRow(QPainter& painter, const QRect& rect, int row) const;
    bool key(const QKeyEvent& event);

    QWidget& m_over;
    class Label *m_title, *m_hint;
    RowList* m_reasons;
    QLineEdit* m_note;
    bool m_rejected = false;
};

} // namespace ui
