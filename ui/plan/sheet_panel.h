#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/session_model.h"

class QPushButton;
class QSaveFile;
class QStackedLayout;

namespace ui {

class CommitEdit;
class KeyButton;
class RowList;

/// The planned runs in the order to film them: drawn by a seed, ticked off or filled by captures, printed or written as
/// CSV.
class SheetPanel : public QWidget {
    Q_OBJECT
public:
    explicit SheetPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();
    void draw();        ///< by the seed that is typed, else by chance; once there is no sheet
    void tickCurrent(); ///< on and off
    RowList& list() { return *m_list; }
    bool writePdf(const QString& path); ///< false, and `problem`, when it can't be written
    bool writeCsv(const QString& path);

private:
    struct Row {
        QString block, configuration, trials, filmed;
        bool first = false; ///< of its block
        bool next = false, ticked = false, taken = false;
    };
    void buildEmpty();
    void buildFull();
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;
    void print();
    bool write(const QString& path, const std::function<bool(QSaveFile&)>& fill);
    void ask(const QString& title, const QString& suffix, bool (SheetPanel::*write)(const QString&));

    SessionModel& m_model;
    QVector<Row> m_rows;
    QStackedLayout* m_stack = nullptr;
    Panel* m_panel = nullptr;
    Label* m_lacks = nullptr;
    Label* m_hint = nullptr;
    CommitEdit* m_seed = nullptr;
    KeyButton* m_draw = nullptr;
    QPushButton *m_tick = nullptr, *m_drop = nullptr;
    RowList* m_list = nullptr;
};

} // namespace ui
