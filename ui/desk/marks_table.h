#pragma once
#include "ui/desk/desk_overlay.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/reading/incoming_marks.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"

class QPainter;

namespace ui {

class Label;
class RowList;
class TableHead;

/// A table of marks that were taken elsewhere, over the frame and its traces: what each row would become and what is
/// wrong with it. 0 or 1 says what number its first frame has, B whether presses beside others come in, too, Enter
/// brings in what can come in, as one edit, Esc leaves.
class MarksTable : public DeskOverlay {
    Q_OBJECT
public:
    MarksTable(SessionModel& model, FootagePool& pool, QWidget& over, QWidget* parent);
    void ask(); ///< for a file, and shows what is in it

signals:
    void cue(const QString& sentence);
    void problem(const QString& sentence);

protected:
    void keyPressEvent(QKeyEvent*) override;

private:
    enum Column { Line, File, Press, Response, Tag };
    void read(const QString& path);
    void refresh();
    void bringIn();
    void broughtIn(const std::vector<reading::MadeTrial>& made, const std::vector<reading::IncomingTrial>& rows);
    reading::ConfirmedFootage confirmed() const;
    QString captureName(const reading::IncomingTrial& row) const;
    void paintRow(QPainter& painter, const QRect& rect, int row) const;

    SessionModel& m_model;
    FootagePool& m_pool;
    Title m_title;
    Label* m_said;
    TableHead* m_head;
    RowList* m_list;
    QString m_name; ///< of the file
    std::vector<reading::CsvRow> m_table;
    std::vector<reading::IncomingTrial> m_rows;
    std::optional<reading::FirstFrame> m_first; ///< empty: the analyst hasn't said yet
    reading::Beside m_beside = reading::Beside::StaysOut;
    bool m_busy = false;
    Worker m_worker; ///< last: its jobs end before anything above goes
};

} // namespace ui
