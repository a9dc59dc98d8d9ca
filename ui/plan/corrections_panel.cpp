#include "ui/plan/corrections_panel.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"

namespace ui {
namespace {

constexpr int correctionsPanelLabelWidth = 104;
constexpr double usualHeight = 0.5; ///< the middle of the display, half a refresh from either end

QString orEmpty(double value) { return value != 0 ? shortNumber(value) : QString(); }

} // namespace

CorrectionsPanel::CorrectionsPanel(SessionModel& model, QWidget* parent) : QWidget(parent), m_model(model)
{
    auto* form = new FormGrid(correctionsPanelLabelWidth);
    constexpr double most = 10'000; // ms
    m_lead = field("lampLead", tr("none"), -most, most, [](auto& event, double value) { event.lampLeadMs = value; });
    m_lead->setToolTip(
        tr("How much too early the lamp shows the press; negative where it lights late. Taken off each delay."));
    form->addRow(tr("Lamp lights"), m_lead, tr("ms early"));
    m_leadWidth =
        field("lampLeadWidth", tr("0"), 0, most, [](auto& event, double value) { event.lampLeadWidthMs = value; });
    m_leadWidth->setToolTip(tr("Full width in which that lead lies, evenly"));
    form->addRow(tr("Known within"), m_leadWidth, tr("ms in all"));
    m_onsetWidth = field("onsetWidth", tr("0"), 0, most, [](auto& event, double value) { event.onsetWidthMs = value; });
    m_onsetWidth->setToolTip(tr("Full width that the onset rule leaves to every delay: how much sooner or later "
                                "another fair rule would see it"));
    form->addRow(tr("Onset rule"), m_onsetWidth, tr("ms in all"));
    m_common = form->addRow(tr("Reactions"), called("commonHeightChoice", new ChoiceBox));
    m_common->setToolTip(tr("A display draws from top to bottom, so a reaction further down shows later"));
    connect(m_common, &ChoiceBox::chosen, this, [this](qint64 choice) {
        change([choice](session::EventDefinition& event) {
            event.commonHeight = choice == 1 ? std::optional(event.commonHeight.value_or(usualHeight)) : std::nullopt;
        });
    });
    m_height =
        field("commonHeight", tr("like 0.5"), 0, 1, [](auto& event, double value) { event.commonHeight = value; });
    m_height->setToolTip(tr("0 is the top of the display's picture, 1 its bottom"));
    form->addRow(tr("Height"), m_height, tr("of display"));
    m_tolerance =
        field("scanOutTolerance", {}, 0, 100, [](auto& event, double value) { event.scanOutTolerance = value / 100; });
    m_tolerance->setToolTip(tr("Of the correction. Blanking makes scan-out up to a tenth shorter than a refresh "
                               "interval; with a variable refresh it may be much "
                               "shorter, so state more, or give the display's highest refresh."));
    form->addRow(tr("Within \u00b1"), m_tolerance, tr("%"));
    m_words = emptyNote({}, Text::Caption);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(grid::padding, 0, grid::padding, 0);
    column->addWidget(form);
    column->addWidget(m_words);
}

CommitEdit* CorrectionsPanel::field(const char* name, const QString& hint, double least, double most,
                                    std::function<void(session::EventDefinition&, double)> set)
{
    auto* edit = called(name, new CommitEdit(hint));
    edit->setCheck([least, most](const QString& text) {
        const auto number = typedNumber(text);
        return text.isEmpty() || (number && *number >= least && *number <= most)
                   ? QString()
                   : tr("\u201c%1\u201d isn't a number from %2 to %3.")
                         .arg(text, shortNumber(least), shortNumber(most));
    });
    connect(edit, &CommitEdit::committed, this, [this, set](const QString& text) {
        change([&](session::EventDefinition& event) { set(event, typedNumber(text).value_or(0)); });
    });
    return edit;
}

void CorrectionsPanel::change(const std::function<void(session::EventDefinition&)>& change)
{
    m_model.changeSettings(QStringLiteral("change the corrections"),
                           [&](session::Settings& settings) { change(settings.event); });
}

void CorrectionsPanel::refresh()
{
    const auto document = m_model.document();
    const session::EventDefinition& event = document->settings.event;
    m_lead->setValue(orEmpty(event.lampLeadMs));
    m_leadWidth->setValue(orEmpty(event.lampLeadWidthMs));
    m_onsetWidth->setValue(orEmpty(event.onsetWidthMs));
    m_common->setChoices({{0, tr("where they are")}, {1, tr("brought to one height")}}, event.commonHeight ? 1 : 0);
    m_height->setValue(shortNumber(event.commonHeight));
    m_tolerance->setValue(shortNumber(event.scanOutTolerance * 100));
    for (CommitEdit* edit : {m_height, m_tolerance})
        edit->setEnabled(event.commonHeight.has_value());
    int without = 0;
    for (const auto& [id, configuration] : document->configurations)
        without += !configuration->reactionHeight || !configuration->refreshHz;
    m_words->setVisible(event.commonHeight && without > 0);
    m_words->setText(tr("%1 without a reaction height or a measured refresh: not brought to it.")
                         .arg(counted(without, tr("configuration"))));
}

} // namespace ui
