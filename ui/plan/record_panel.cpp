#include "ui/plan/record_panel.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/fold.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"
#include "ui/look/look.h"
#include "ui/plan/checklist.h"
#include "ui/plan/corrections_panel.h"
#include "ui/plan/free_name.h"

#include <QPainter>
#include <QPushButton>

namespace ui {
namespace {

constexpr int recordPanelLabelWidth = 104;
constexpr int shownRuns = 6;

} // namespace

RecordPanel::RecordPanel(SessionModel& model, QWidget* parent) : QWidget(parent), m_model(model)
{
    auto* column = columnIn(this, 0);
    buildRuns(*column);
    buildRig(*column);
    buildCamera(*column);
    m_corrections = new CorrectionsPanel(model);
    auto* corrections =
        new Fold(tr("Corrections"), tr("added to every delay: lamp, onset rule, height of the reaction"));
    corrections->body()->addWidget(m_corrections);
    column->insertWidget(1, corrections);
    column->addStretch(1);
}

void RecordPanel::buildRuns(QVBoxLayout& column)
{
    m_runPanel = new Fold(tr("Runs"), {});
    m_runPanel->body()->setContentsMargins(grid::padding, 0, grid::padding, 8);
    auto* addButton = called("addRun", new QPushButton(tr("Add run")));
    makeCompact(*addButton);
    connect(addButton, &QPushButton::clicked, this, &RecordPanel::addRun);
    m_noRuns = emptyNote(
        tr("None yet. A run holds the trials taken without touching the set-up; four or more of a configuration "
           "show what changes from run to run."));
    m_runPanel->body()->addWidget(m_noRuns);
    m_runList = new RowList(grid::row, [this](QPainter& p, const QRect& rect, int row, bool selected) {
        const QRect inside = rect.adjusted(grid::padding, 0, -grid::padding, 0);
        setLettering(p, Text::State, tokens().text2);
        p.drawText(inside, Qt::AlignRight | Qt::AlignVCenter, m_runs[row].trials);
        const int taken = p.fontMetrics().horizontalAdvance(m_runs[row].trials) + 8;
        setLettering(p, Text::Body, tokens().text1, selected ? QFont::DemiBold : QFont::Normal);
        p.drawText(inside, Qt::AlignLeft | Qt::AlignVCenter,
                   p.fontMetrics().elidedText(m_runs[row].name, Qt::ElideRight, inside.width() - taken));
    });
    m_runList->setAccessibleName(tr("Runs"));
    connect(m_runList, &RowList::rowChosen, this, [this](int row) {
        m_runName->commit();
        m_runNote->commit();
        m_run = row >= 0 && row < m_runs.size() ? m_runs[row].id : session::RunId{};
        refreshRuns(*m_model.document());
    });
    m_runPanel->body()->addWidget(m_runList);
    m_runPanel->body()->addWidget(addButton, 0, Qt::AlignLeft);

    auto* form = new FormGrid(recordPanelLabelWidth);
    m_runForm = form;
    const auto change = [this](const std::function<void(session::Run&)>& set) {
        m_model.edit([&](const session::Document& document) {
            session::Run run =
                session::find(document, m_run) ? *session::find(document, m_run) : session::Run{m_run, {}, {}};
            set(run);
            session::EditBuilder builder(document, "change run " + run.name);
            builder.put(run);
            return std::move(builder).finish();
        });
    };
    m_runName = form->addRow(tr("Name"), new CommitEdit);
    m_runName->setCheck(
        [](const QString& text) { return text.isEmpty() ? tr("A run needs a name; the old one stays.") : QString(); });
    connect(m_runName, &CommitEdit::committed, this,
            [change](const QString& text) { change([&](session::Run& run) { run.name = text.toStdString(); }); });
    m_runNote = form->addRow(tr("Note"), new CommitEdit(tr("re-plugged, re-booted, warmed up")));
    connect(m_runNote, &CommitEdit::committed, this,
            [change](const QString& text) { change([&](session::Run& run) { run.note = text.toStdString(); }); });
    m_runPanel->body()->addWidget(form);
    column.addWidget(m_runPanel);
}

void RecordPanel::buildRig(QVBoxLayout& column)
{
    m_rigPanel = new Fold(tr("Rig"), {});
    m_rigPanel->body()->setContentsMargins(grid::padding, 0, grid::padding, 8);
    m_rig = new Checklist(session::rigFields(), recordPanelLabelWidth);
    connect(m_rig, &Checklist::committed, this, [this](const QString& key, const QString& text) {
        m_model.changeSettings(QStringLiteral("change the rig"),
                               [&](session::Settings& settings) { settings.rig = withText(settings.rig, key, text); });
    });
    m_rigPanel->body()->addWidget(m_rig);
    column.addWidget(m_rigPanel);
}

void RecordPanel::buildCamera(QVBoxLayout& column)
{
    m_cameraPanel = new Fold(tr("Camera"), {});
    m_cameraPanel->body()->setContentsMargins(grid::padding, 0, grid::padding, 8);
    m_noClocks = emptyNote(tr("A camera mode appears here with the first footage."));
    m_cameraPanel->body()->addWidget(m_noClocks);
    m_clocks = new ChoiceBox;
    m_clocks->setAccessibleName(tr("Camera mode"));
    connect(m_clocks, &ChoiceBox::chosen, this, [this](qint64 id) {
        for (CommitEdit* edit : m_camera->findChildren<CommitEdit*>())
            edit->commit();
        m_clock = session::ClockId{id};
        refreshCamera(*m_model.document());
    });
    m_cameraPanel->body()->addWidget(m_clocks);
    m_camera = new Checklist(session::cameraFields(), recordPanelLabelWidth);
    connect(m_camera, &Checklist::committed, this, [this](const QString& key, const QString& text) {
        m_model.edit([&](const session::Document& document) {
            const session::Clock* found = session::find(document, m_clock);
            session::Clock clock = found ? *found : session::Clock{};
            clock.camera = withText(clock.camera, key, text);
            return session::setClock(document, clock, "change the camera of " + clock.name);
        });
    });
    m_cameraPanel->body()->addWidget(m_camera);
    column.addWidget(m_cameraPanel);
}

void RecordPanel::addRun()
{
    std::int64_t number = 0;
    if (m_model.edit([&](const session::Document& document) {
            number = document.nextId;
            return session::addRun(document, freeName(document.runs, tr("run %1")), std::nullopt);
        }))
        m_run = session::RunId{number};
}

void RecordPanel::refresh()
{
    m_corrections->refresh();
    const auto document = m_model.document();
    refreshRuns(*document);
    m_rig->setTexts(document->settings.rig);
    m_rigPanel->setPurpose(tr("for the method note: %1 of %2 filled in").arg(m_rig->filled()).arg(m_rig->size()));
    refreshCamera(*document);
}

void RecordPanel::refreshRuns(const session::Document& document)
{
    std::map<session::RunId, int> trials;
    for (const auto& [id, trial] : document.trials)
        ++trials[trial->run];
    m_runs.clear();
    QStringList spoken;
    int selected = -1;
    for (const auto& [id, run] : document.runs) {
        if (id == m_run)
            selected = static_cast<int>(m_runs.size());
        m_runs << Run{id, QString::fromStdString(run->name),
                      trials[id] > 0 ? counted(trials[id], tr("trial")) : tr("no trials")};
        spoken << m_runs.back().name;
    }
    m_runList->setRows(spoken);
    m_runList->setFixedHeight(grid::row * std::clamp(static_cast<int>(m_runs.size()), 1, shownRuns));
    m_runList->selectRow(selected);
    m_runList->setVisible(!m_runs.isEmpty());
    m_noRuns->setVisible(m_runs.isEmpty());
    m_runPanel->setPurpose(m_runs.isEmpty() ? tr("trials taken without touching the set-up: none yet")
                                            : tr("trials taken without touching the set-up: %1").arg(m_runs.size()));
    const session::Run* run = session::find(document, m_run);
    m_runForm->setVisible(run);
    if (run) {
        m_runName->setValue(QString::fromStdString(run->name));
        m_runNote->setValue(QString::fromStdString(run->note));
    }
}

void RecordPanel::refreshCamera(const session::Document& document)
{
    if (!session::find(document, m_clock))
        m_clock = document.clocks.empty() ? session::ClockId{} : document.clocks.begin()->first;
    QVector<std::pair<qint64, QString>> modes;
    for (const auto& [id, clock] : document.clocks)
        modes.append({id.value, QString::fromStdString(clock->name)});
    m_clocks->setChoices(modes, m_clock.value);
    const session::Clock* clock = session::find(document, m_clock);
    m_noClocks->setVisible(!clock);
    m_clocks->setVisible(clock);
    m_camera->setVisible(clock);
    if (clock)
        m_camera->setTexts(clock->camera);
    m_cameraPanel->setPurpose(
        clock ? tr("for the method note: %1 of %2 filled in").arg(m_camera->filled()).arg(m_camera->size())
              : tr("for the method note, with the first footage"));
}

} // namespace ui
