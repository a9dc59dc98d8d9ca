#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/footage/footage_pool.h"

namespace ui {

class ChoiceBox;
class CommitEdit;
class KeyButton;
class Label;
class MarkRow;
class Panel;
class ShapeLabel;

/// The current trial, or the one that the next press mark begins: configuration, marks, delay when asked for, note,
/// what to watch out for, and the keys that end it.
class TrialPanel : public QWidget {
    Q_OBJECT
public:
    TrialPanel(SessionModel& model, FootagePool& pool, DeskState& state, QWidget* parent = nullptr);
    void focusNote(); ///< without a trial, too: what is typed there then is no key of the desk
    void setFootageSlips(const QStringList& slips); ///< what the footage says against the marks
    void setMarkable(bool markable);                ///< the footage is there
    void setAtProposed(bool at);                    ///< no trial is current, and Enter takes over the press in view
    void setLow(bool low); ///< little room: leaves out what the menus have too, and checks that found nothing

signals:
    void markAsked(session::MarkKind kind);
    void frameAsked(timing::FrameNumber n);
    void acceptAsked();
    void doubtAsked();
    void rejectAsked();
    void noReactionAsked();
    void clearAsked();
    void configurationChosen(session::ConfigurationId id);
    void noteWritten(session::TrialId id, const QString& note);
    void noteLeft(); ///< by Enter or Esc: the keyboard is the desk's again
    void regionChosen(session::RegionKind kind, session::RegionId id);

protected:
    bool eventFilter(QObject*, QEvent*) override;

private:
    void refresh();
    void refreshMarks();
    void refreshChoices();
    QString delayText() const;
    QStringList warnings() const;
    const session::Reading* shownReading() const;

    SessionModel& m_model;
    FootagePool& m_pool;
    DeskState& m_state;
    QStringList m_footageSlips;
    bool m_markable = true, m_atProposed = false, m_low = false;
    session::TrialId m_noteOf;
    Panel* m_panel;
    ChoiceBox *m_configuration, *m_lamps, *m_screens;
    QWidget *m_regions, *m_more, *m_checksLine;
    MarkRow *m_press, *m_response;
    ShapeLabel* m_checksSign;
    Label *m_delay, *m_checks;
    CommitEdit* m_note;
    KeyButton *m_accept, *m_doubt, *m_reject, *m_noReaction, *m_clear;
};

} // namespace ui
