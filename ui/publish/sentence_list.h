#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/model/session_model.h"

class QPushButton;

namespace ui {

class CommitText;

/// Sentences to read out, each beside the figures it rests on: the program's and below them the analyst's own, which he
/// writes here with placeholders for figures.
class SentenceList : public Panel {
    Q_OBJECT
public:
    explicit SentenceList(SessionModel& model, QWidget* parent = nullptr);
    void show(const session::Document& document, const analysis::Results& results);
    void commit(); ///< hands on what is being typed

private:
    void offerFigures(const analysis::Results& results);

    SessionModel& m_model;
    CommitText* m_own;
    QPushButton* m_insert;
    QStringList m_offered; ///< configurations in the menu
    QVBoxLayout* m_rows;
    QPushButton* m_copy;
    QString m_script;
};

} // namespace ui
