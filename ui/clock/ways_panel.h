#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/clock/capture_footage.h"
#include <functional>

namespace ui {

class ChoiceBox;
class EventsForm;
class PlanForm;

/// Ways to a reference beside the fit to a blinking lamp, one form at a time, and what to film for one.
class WaysPanel : public QWidget {
    Q_OBJECT
public:
    explicit WaysPanel(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    void setFrameInView(std::function<std::optional<FrameInView>()> ask);

signals:
    void problem(const QString& sentence);

private:
    void choose(qint64 way);

    ChoiceBox* m_way;
    EventsForm *m_time, *m_refreshes;
    PlanForm* m_plan;
};

} // namespace ui
