#pragma once
#include <QWidget>
#include "ui/look/panel.h"
#include "ui/model/session_model.h"
#include <map>

class QVBoxLayout;

namespace ui {

class ChoiceBox;
class KeyButton;

/// Which line of the run sheet each new capture belongs to, as far as its order tells: shown, changed and accepted
/// here, never taken silently. Tags against the order are told. Not there while there is nothing to propose.
class SheetProposals : public QWidget {
    Q_OBJECT
public:
    explicit SheetProposals(SessionModel& model, QWidget* parent = nullptr);
    void accept(); ///< all that are shown, by one edit
    bool any() const { return !m_shown.isEmpty(); }

signals:
    void changed();                    ///< there is more, less or nothing to propose
    void cue(const QString& sentence); ///< a capture has just been tagged against the order

private:
    struct Shown {
        session::CaptureId capture;
        qint64 line = 0; ///< from 1; 0: left off the sheet
        QString warning;
    };
    class Row;
    void refresh();

    SessionModel& m_model;
    Panel* m_panel;
    QVector<Shown> m_shown;                        ///< in the captures' order
    std::map<session::CaptureId, qint64> m_chosen; ///< by the analyst, instead of what is proposed
    QVector<Row*> m_rows;
    Label* m_more;
    KeyButton* m_accept;
    QString m_warned; ///< said already
};

} // namespace ui
