#pragma once
#include "ui/look/panel.h" // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include "ui/results/results_view.h"

namespace ui {

/// What the trials of the selected configuration show besides their mean; none of it decides.
class ChecksPanel : public Panel {
    Q_OBJECT
public:
    explicit ChecksPanel(QWidget* parent = nullptr);
    void show(const ResultsView& view);

private:
    Label* m_words;
};

} // namespace ui
