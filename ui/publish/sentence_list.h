#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "core/report/sentences.h"

class QPushButton;

namespace ui {

/// Sentences to read out, each beside the figures it rests on.
class SentenceList : public QWidget {
    Q_OBJECT
public:
    explicit SentenceList(QWidget* parent = nullptr);
    void show(const analysis::Results& results);

private:
    Panel* m_panel;
    QVBoxLayout* m_rows;
    QPushButton* m_copy;
    QString m_script;
};

} // namespace ui
