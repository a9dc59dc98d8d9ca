#include "ui/plan/configuration_form.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/fold.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/plan/checklist.h"

namespace ui {
namespace {

constexpr int labelWidth = 120;

} // namespace

ConfigurationForm::ConfigurationForm(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_panel(new Panel), m_rates(new Fold(tr("Rates and height"), {})),
      m_listPanel(new Fold(tr("Checklist"), {}))
{
    auto* column = columnIn(this, 0);
    addWidgets(*column, {m_panel, m_rates, m_listPanel});
    column->addStretch(1);
    m_panel->setHairline(false);
    for (Fold* fold : {m_rates, m_listPanel})
        fold->body()->setContentsMargins(grid::padding, 0, grid::padding, 8);

    m_empty = emptyNote(
        tr("What is written down of a configuration stands here: its device, link, host, display, and the rates "
           "that were measured. Add a configuration to begin."));
    m_panel->body()->addWidget(m_empty);
    auto* form = new FormGrid(labelWidth);
    m_form = form;
    m_name = form->addRow(tr("Name"), called("configurationName", new CommitEdit));
    m_name->setCheck([](const QString& text) {
        return text.isEmpty() ? tr("A configuration needs a name; the old one stays.") : QString();
    });
    connect(m_name, &CommitEdit::committed, this,
            [this](const QString& text) { change([&](session::Configuration& c) { c.name = text.toStdString(); }); });
    m_group = form->addRow(tr("Group"), new CommitEdit(tr("heading in the chart, like 144 Hz display")));
    connect(m_group, &CommitEdit::committed, this,
            [this](const QString& text) { change([&](session::Configuration& c) { c.group = text.toStdString(); }); });
    m_panel->body()->addWidget(form);
    form = new FormGrid(labelWidth);
    const auto rate = CommitEdit::rate(tr("“%1” isn't a rate above 0: type one like 143.98 or 60000/1001."));
    const auto numberField = [this](CommitEdit* edit, const CommitEdit::Check& check, auto typed,
                                    std::optional<double> session::Configuration::*field) {
        edit->setCheck(check);
        connect(edit, &CommitEdit::committed, this, [this, typed, field](const QString& text) {
            change([&](session::Configuration& c) { c.*field = typed(text); });
        });
        return edit;
    };
    m_refresh = form->addRow(
        tr("Display refresh"),
        numberField(new CommitEdit(tr("measured")), rate, typedRate, &session::Configuration::refreshHz), tr("Hz"));
    m_gameRate = form->addRow(
        tr("Game frames"),
        numberField(new CommitEdit(tr("measured")), rate, typedRate, &session::Configuration::gameFrameRate),
        tr("a second"));
    m_height = called("reactionHeight", new CommitEdit(tr("0 top to 1 bottom")));
    m_height->setToolTip(tr("Where on the display the reaction is; used where delays are brought to a common height"));
    numberField(m_height,
                CommitEdit::numberFor(
                    [](double height) { return height >= 0 && height <= 1; },
                    tr("\u201c%1\u201d isn't a height on the display: type a number from 0 (top) to 1 (bottom).")),
                typedNumber, &session::Configuration::reactionHeight);
    form->addRow(tr("Reaction height"), m_height, tr("0 to 1"));
    m_rates->body()->addWidget(form);

    m_checklist = new Checklist(session::configurationFields(), labelWidth);
    connect(m_checklist, &Checklist::committed, this, [this](const QString& key, const QString& text) {
        change([&](session::Configuration& c) { c.texts = withText(c.texts, key, text); });
    });
    m_listPanel->body()->addWidget(m_checklist);
}

void ConfigurationForm::change(const std::function<void(session::Configuration&)>& change)
{
    m_model.edit([&](const session::Document& document) {
        const session::Configuration* found = session::find(document, m_id);
        session::Configuration changed = found ? *found : session::Configuration{};
        change(changed);
        return session::setConfiguration(document, changed); // refuses what isn't there any more
    });
}

void ConfigurationForm::show(session::ConfigurationId id)
{
    if (id != m_id)
        for (CommitEdit* edit : findChildren<CommitEdit*>())
            edit->commit(); // what is being typed belongs to the one that was shown
    m_id = id;
    refresh();
}

void ConfigurationForm::refresh()
{
    const auto document = m_model.document();
    const session::Configuration* c = session::find(*document, m_id);
    m_form->setVisible(c);
    m_rates->setVisible(c);
    m_listPanel->setVisible(c);
    m_empty->setVisible(!c);
    m_panel->setTitle(c ? QString::fromStdString(c->name) : tr("Configuration"));
    if (!c)
        return;
    m_name->setValue(QString::fromStdString(c->name));
    m_group->setValue(QString::fromStdString(c->group));
    m_refresh->setValue(shortNumber(c->refreshHz));
    m_gameRate->setValue(shortNumber(c->gameFrameRate));
    m_height->setValue(shortNumber(c->reactionHeight));
    m_checklist->setTexts(c->texts);
    m_listPanel->setPurpose(tr("for the method note and the chart's groups: %1 of %2 filled in")
                                .arg(m_checklist->filled())
                                .arg(m_checklist->size()));
    QStringList rates;
    if (c->refreshHz)
        rates << tr("%1 Hz").arg(shortNumber(*c->refreshHz));
    if (c->gameFrameRate)
        rates << tr("%1 game frames a second").arg(shortNumber(*c->gameFrameRate));
    m_rates->setPurpose(rates.isEmpty() ? tr("for delays in refresh intervals and game frames, and for planning")
                                        : rates.join(QStringLiteral(", ")));
}

void ConfigurationForm::startRenaming()
{
    m_name->setFocus(Qt::OtherFocusReason);
    m_name->selectAll();
}

} // namespace ui
