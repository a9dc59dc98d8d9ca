#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/report/chart_model.h"
#include "ui/model/session_model.h"
#include "ui/publish/publish_checks.h"

namespace ui {

class ChoiceBox;
class CommitEdit;
class CommitText;
class EarlierPanel;
class Fold;

/// What the analyst words and chooses of the chart, and the checks before it goes out.
class ChartSettings : public QWidget {
    Q_OBJECT
public:
    explicit ChartSettings(SessionModel& model, QWidget* parent = nullptr);
    void refresh(const report::ChartModel& chart, const QVector<PublishCheck>& checks);
    EarlierPanel& earlier() { return *m_earlier; }
    void commit(); ///< hands on what is being typed
    /// Does what helps with the finding of that number, from 1. False: it has none.
    bool remedy(int number);

signals:
    /// One that lies on another page; `at` is the number of the trial, capture or clock.
    void remedyAsked(ui::Remedy remedy, qint64 at);

private:
    void change(const QString& label, const std::function<void(session::PublishSettings&)>& change);

    SessionModel& m_model;
    CommitText *m_title, *m_subtitle, *m_footnote;
    ChoiceBox *m_form, *m_order, *m_groups, *m_theme, *m_size, *m_ground, *m_notes, *m_rate, *m_pace;
    CommitEdit *m_pixels, *m_seconds;
    Fold *m_more, *m_motion;
    std::vector<std::pair<Remedy, qint64>> m_remedies; ///< by their numbers, and where
    EarlierPanel* m_earlier;
    std::vector<report::GroupChoice> m_groupChoices;
    QStringList m_ownThemes;
    Panel* m_checks;
};

} // namespace ui
