#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/model/session_results.h"

namespace ui {

class Label;
class Panel;

/// How far the current configuration is, and its delays so far when they were asked for: until then nothing here can
/// lead the eye.
class MeanSoFarPanel : public QWidget {
    Q_OBJECT
public:
    MeanSoFarPanel(SessionModel& model, SessionResults& results, DeskState& state, QWidget* parent = nullptr);
    void setLow(bool low); ///< little room

private:
    void refresh();

    SessionModel& m_model;
    SessionResults& m_results;
    DeskState& m_state;
    Panel* m_panel;
    Label *m_figure, *m_beside, *m_note;
    class DelayDots* m_dots;
    bool m_low = false;
};

} // namespace ui
