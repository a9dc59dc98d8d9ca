#include "ui/results/checks_panel.h"
#include "core/report/sentences.h"
#include "ui/controls/form_grid.h"

namespace ui {

ChecksPanel::ChecksPanel(QWidget* parent) : QWidget(parent), m_words(emptyNote({}))
{
    m_words->setTextInteractionFlags(Qt::TextSelectableByMouse);
    auto* panel = new Panel(tr("Checks, none of which decides"));
    panel->setHairline(false);
    auto* content = new QWidget;
    auto* inside = new QVBoxLayout(content);
    inside->setContentsMargins(grid::padding, 0, grid::padding, 8);
    inside->addWidget(m_words);
    inside->addStretch(1);
    panel->body()->setContentsMargins(0, 0, 0, 0);
    panel->body()->addWidget(scrolled(content));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(panel);
}

void ChecksPanel::show(const ResultsView& view)
{
    QStringList lines;
    if (const analysis::ConfigurationResult* result = view.compared())
        for (const std::string& sentence : report::checkSentences(*view.document, view.comparing(), *result))
            lines << QString::fromStdString(sentence);
    m_words->setText(lines.isEmpty()
                         ? tr("Trials that count are checked for outliers, drift, groups and runs that differ.")
                         : lines.join(QLatin1Char('\n')));
}

} // namespace ui
