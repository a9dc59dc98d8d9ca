#pragma once
#include "ui/controls/fold.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/disk_jobs.h"
#include "ui/model/session_model.h"

namespace ui {

class Label;

/// Results of other sessions in the chart: added from their files, taken out, read again; and the set-up that was
/// measured in both, by which they are compared.
class EarlierPanel : public Fold {
    Q_OBJECT
public:
    explicit EarlierPanel(SessionModel& model, QWidget* parent = nullptr);
    void refresh();                ///< what the session shows
    void choose();                 ///< asks for a session's file and adds it
    void add(const QString& path); ///< absolute; read in the background
    void askForBridge();           ///< opens and gives the keyboard to the first list that says nothing yet

private:
    using Take = std::function<session::Edit(const session::Document&, const session::EarlierSession&)>;
    void read(const QString& path, Take take);
    QWidget* rowOf(const session::Document& document, const session::EarlierSession& earlier);

    SessionModel& m_model;
    QVBoxLayout* m_rows;
    Label* m_says;
    session::Table<session::EarlierSession> m_shown; ///< and what they can be compared by
    session::Table<session::Configuration> m_configurations;
    DiskJobs m_jobs; ///< last: what they deliver uses all of the above
};

} // namespace ui
