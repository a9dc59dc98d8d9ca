#pragma once
#include "ui/look/panel.h"
#include "ui/model/session_model.h"

namespace ui {

class Checklist;
class CommitEdit;
class Fold;

/// Everything that is written down of one configuration: its name and group, the rest folded behind.
class ConfigurationForm : public QWidget {
    Q_OBJECT
public:
    explicit ConfigurationForm(SessionModel& model, QWidget* parent = nullptr);
    void show(session::ConfigurationId id); ///< 0: nothing to show
    void refresh();
    void startRenaming(); ///< puts the keyboard into the name

private:
    void change(const std::function<void(session::Configuration&)>& change);

    SessionModel& m_model;
    session::ConfigurationId m_id;
    Panel* m_panel = nullptr;
    Fold *m_rates = nullptr, *m_listPanel = nullptr;
    QWidget *m_form = nullptr, *m_empty = nullptr;
    CommitEdit *m_name = nullptr, *m_group = nullptr, *m_refresh = nullptr, *m_gameRate = nullptr, *m_height = nullptr;
    Checklist* m_checklist = nullptr;
};

} // namespace ui
