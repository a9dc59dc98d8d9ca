#include "ui/results/checks_panel.h"
#include "core/report/sentences.h"
#include "ui/controls/layouts.h"

namespace ui {

ChecksPanel::ChecksPanel(QWidget* parent)
    : Panel(tr("Checks, none of which decides"), parent), m_words(selectable(emptyNote({})))
{
    setHairline(false);
    auto* column = scrolledColumn(*this);
    column->addWidget(m_words);
    column->addStretch(1);
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
