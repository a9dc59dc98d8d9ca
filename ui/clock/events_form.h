#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/timing/reference_fit.h"
#include "ui/clock/capture_footage.h"
#include <functional>

class QPushButton;

namespace ui {

class ChoiceBox;
class CommitEdit;
class FormGrid;

/// The capture rate from two events of known distance: a known time apart, or so many refreshes of a display whose
/// refresh rate was measured.
class EventsForm : public QWidget {
    Q_OBJECT
public:
    enum class Distance { Time, Refreshes };
    EventsForm(SessionModel& model, Distance distance, QWidget* parent = nullptr);
    void show(session::ClockId clock);
    void setFrameInView(std::function<std::optional<FrameInView>()> ask);

signals:
    void problem(const QString& sentence);

private:
    /// What the fields make of it; `fault` says what is missing or wrong, and then nothing else holds.
    struct Worked {
        QString fault;
        timing::ReferenceFit fit;
        double seconds = 0;
    };
    QWidget* frameRow(CommitEdit*& edit, QPushButton*& take, const char* name);
    void takeFrameInView(CommitEdit& edit);
    Worked work() const;
    void showWorked();
    void use();
    std::string distanceName() const;

    SessionModel& m_model;
    const Distance m_distance;
    session::ClockId m_clock;
    session::CaptureId m_capture;
    qint64 m_choice = 0;
    std::function<std::optional<FrameInView>()> m_inView;
    ChoiceBox *m_captures, *m_shared;
    CommitEdit *m_first = nullptr, *m_second = nullptr, *m_apart, *m_refresh = nullptr, *m_tolerance, *m_name;
    QPushButton *m_takeFirst = nullptr, *m_takeSecond = nullptr, *m_use;
    Label* m_result;
};

} // namespace ui
