#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/session_model.h"
#include <functional>

namespace ui {

class ChoiceBox;
class CommitEdit;

/// Shifts and doubts that all delays share: the lamp's lead, the onset rule, and whether delays are brought to a common
/// height.
class CorrectionsPanel : public QWidget {
    Q_OBJECT
public:
    explicit CorrectionsPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();

private:
    /// A number of the event definition; `least` to `most`.
    CommitEdit* field(const char* name, const QString& hint, double least, double most,
                      std::function<void(session::EventDefinition&, double)> set);
    void change(const std::function<void(session::EventDefinition&)>& change);

    SessionModel& m_model;
    CommitEdit *m_lead = nullptr, *m_leadWidth = nullptr, *m_onsetWidth = nullptr, *m_height = nullptr,
               *m_tolerance = nullptr;
    ChoiceBox* m_common = nullptr;
    Label* m_words = nullptr;
};

} // namespace ui
