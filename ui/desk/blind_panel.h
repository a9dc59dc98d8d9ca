#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/look/panel.h"

class QPushButton;

namespace ui {

class CommitEdit;
class RowList;

/// The left column while reading blind: how far it is, what is hidden, the trials by their place in this reading only,
/// and the reader's name where the session is a packet.
class BlindPanel : public QWidget {
    Q_OBJECT
public:
    BlindPanel(SessionModel& model, DeskState& state, QWidget* parent = nullptr);
    void askName(); ///< the keyboard to the reader's name

signals:
    void placeChosen(qint64 trial);
    void stopAsked();
    void nameLeft(); ///< by Enter: the keyboard is the desk's again

private:
    void refresh();

    SessionModel& m_model;
    DeskState& m_state;
    Panel *m_head, *m_places;
    QWidget* m_progress;
    Label* m_words;
    QWidget* m_naming;
    CommitEdit* m_name;
    RowList* m_list;
    QPushButton* m_stop;
    struct Row {
        session::TrialId trial;
        QString word;
        Shape shape;
    };
    QVector<Row> m_rows;
};

/// Asks which share to read blind and draws it. Where there is nothing to draw it says why instead.
QString askForBlindReading(SessionModel& model, QWidget& over, const std::function<void()>& drawn);

} // namespace ui
