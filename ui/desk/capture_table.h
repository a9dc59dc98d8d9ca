#pragma once
#include "ui/desk/desk_overlay.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/analysis/capture_tags.h"
#include "ui/model/session_model.h"

class QLineEdit;
class QPainter;

namespace ui {

class Label;
class RowList;
class TableHead;

/// Every capture with the configuration, run and clock that it will be tagged with, over the frame and its traces.
/// Keys change what is selected, nothing is in the session before Enter, which makes one edit of all. Esc leaves.
/// Only regions go to what is selected at once, as they do to all captures.
class CaptureTable : public DeskOverlay {
    Q_OBJECT
public:
    CaptureTable(SessionModel& model, QWidget& over, QWidget* parent);
    void open();                        ///< captures that something is proposed for are selected; the session has some
    void tell(const QString& sentence); ///< of the selection, until it changes

signals:
    void cue(const QString& sentence);                              ///< what was done, or that nothing was to do
    void regionsWanted(const std::set<session::CaptureId>& chosen); ///< at once: those of the capture on the desk

protected:
    bool focusNextPrevChild(bool next) override;
    bool eventFilter(QObject*, QEvent*) override;
    void keyPressEvent(QKeyEvent*) override;

private:
    enum Column { Capture, Configuration, Run, Camera };
    void selectOpen();
    void refresh();
    void describe();
    QString clockWords() const;
    template <class Do> void changeSelected(Do change);
    void chooseConfiguration(int place);
    void shareRun();
    void shareCamera();
    void toggleReference();
    void apply();
    std::vector<int> selected() const;
    int current() const;
    const analysis::TagRow& at(int row) const;
    const session::Capture& captureAt(int row) const;
    QString cameraWord(const analysis::TagRow& row) const;
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;

    SessionModel& m_model;
    Label *m_count, *m_example, *m_reason;
    QLineEdit* m_pattern;
    TableHead* m_head;
    RowList* m_list;
    std::map<session::CaptureId, analysis::TagChoice> m_choices;
    std::vector<analysis::TagRow> m_rows;
};

} // namespace ui
