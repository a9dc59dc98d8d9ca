#include "ui/plan/planned_configurations.h"
#include "ui/controls/layouts.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"
#include "ui/plan/free_name.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QPushButton>

namespace ui {
namespace {

constexpr int rowHeight = 44;

} // namespace

PlannedConfigurations::PlannedConfigurations(SessionModel& model, QWidget* parent)
    : Panel(tr("Configurations"), parent), m_model(model)
{
    body()->setContentsMargins(0, 0, 0, 8);
    body()->setSpacing(8);

    m_empty = emptyNote(tr("None yet. Add one for each set-up you compare; the chart keeps their order."));
    m_empty->setContentsMargins(grid::padding, 0, grid::padding, 0);
    body()->addWidget(m_empty);
    m_list = new RowList(
        rowHeight, [this](QPainter& p, const QRect& r, int row, bool selected) { paintRow(p, r, row, selected); });
    m_list->setAccessibleName(tr("Configurations"));
    body()->addWidget(m_list, 1);
    connect(m_list, &RowList::rowChosen, this, [this](int row) {
        m_selected = row >= 0 && row < m_rows.size() ? m_rows[row].id : session::ConfigurationId{};
        refresh();
        emit selectionChanged();
    });
    connect(m_list, &QListWidget::itemDoubleClicked, this, &PlannedConfigurations::renameAsked);

    auto* buttons = new QHBoxLayout;
    buttons->setContentsMargins(grid::padding, 0, grid::padding, 0);
    buttons->setSpacing(4);
    auto* addButton = called("addConfiguration", new QPushButton(tr("Add")));
    addButton->setToolTip(tr("Add a configuration (Insert)"));
    connect(addButton, &QPushButton::clicked, this, &PlannedConfigurations::add);
    buttons->addWidget(addButton);
    buttons->addStretch(1);
    const auto small = [&](const QString& text, const QString& tip) {
        auto* button = new QPushButton(text);
        button->setToolTip(tip);
        makeCompact(*button);
        buttons->addWidget(button);
        return button;
    };
    m_up = small(tr("Up"), tr("Move up (Alt+Up)"));
    m_down = small(tr("Down"), tr("Move down (Alt+Down)"));
    m_remove = small(tr("Remove"), tr("Remove (Delete); only while no trial or capture is tagged with it"));
    connect(m_up, &QPushButton::clicked, this, [this] { moveSelected(-1); });
    connect(m_down, &QPushButton::clicked, this, [this] { moveSelected(1); });
    connect(m_remove, &QPushButton::clicked, this, &PlannedConfigurations::removeSelected);
    body()->addLayout(buttons);
}

void PlannedConfigurations::refresh()
{
    const auto document = m_model.document();
    std::map<session::ConfigurationId, int> read;
    for (const auto& [id, trial] : document->trials) {
        const session::Reading* reading = session::countingReading(*trial);
        if (!trial->reject && reading && reading->accepted)
            ++read[trial->configuration];
    }
    m_rows.clear();
    QStringList spoken;
    for (const session::Configuration* c : session::inOrder(document->configurations)) {
        m_rows << Row{c->id,
                      QString::fromStdString(c->name),
                      QString::fromStdString(c->group),
                      c->id == document->settings.plan.baseline,
                      read[c->id],
                      session::plannedTrials(document->settings.plan, c->id)};
        spoken << m_rows.back().name;
    }
    if (m_added != 0 && rowOf({m_added}) >= 0)
        m_selected = {std::exchange(m_added, 0)};
    if (rowOf(m_selected) < 0)
        m_selected = m_rows.isEmpty() ? session::ConfigurationId{} : m_rows.front().id;
    m_list->setRows(spoken);
    m_list->selectRow(rowOf(m_selected));
    m_list->setVisible(!m_rows.isEmpty());
    m_empty->setVisible(m_rows.isEmpty());
    setTrailing(m_rows.isEmpty() ? QString() : QString::number(m_rows.size()));
    const int row = rowOf(m_selected);
    m_up->setEnabled(row > 0);
    m_down->setEnabled(row >= 0 && row + 1 < m_rows.size());
    m_remove->setEnabled(row >= 0);
}

void PlannedConfigurations::add()
{
    std::int64_t number = 0;
    const bool sent = m_model.edit([&](const session::Document& document) {
        session::Configuration configuration;
        configuration.name = freeName(document.configurations, tr("Configuration %1"));
        if (const session::Configuration* like = session::find(document, m_selected))
            configuration.group = like->group;
        number = document.nextId;
        return session::addConfiguration(document, configuration);
    });
    if (!sent)
        return;
    m_added = number;
    emit renameAsked();
}

void PlannedConfigurations::removeSelected()
{
    if (m_selected)
        m_model.edit([id = m_selected](const session::Document& d) { return session::removeConfiguration(d, id); });
}

void PlannedConfigurations::moveSelected(int by)
{
    const int row = rowOf(m_selected);
    if (row < 0 || row + by < 0 || row + by >= m_rows.size())
        return;
    m_model.edit(
        [id = m_selected, to = row + by](const session::Document& d) { return session::moveConfiguration(d, id, to); });
}

int PlannedConfigurations::rowOf(session::ConfigurationId id) const
{
    for (int row = 0; row < m_rows.size(); ++row)
        if (m_rows[row].id == id)
            return row;
    return -1;
}

void PlannedConfigurations::paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const
{
    const Row& shown = m_rows[row];
    const Tokens& t = tokens();
    const QRect inside = rect.adjusted(grid::padding, 5, -grid::padding, -5);
    int left = inside.left();
    if (row < 9) { // the digit keys that tag with it while reading
        const QStringList caps{QString::number(row + 1)};
        paintKeyCaps(painter, QRectF(left, inside.top(), 24, inside.height()), caps);
    }
    left += 28;
    const QString count =
        shown.planned ? tr("%1 of %2").arg(shown.read).arg(*shown.planned) : QString::number(shown.read);
    painter.setFont(ui::font(Text::State));
    const int countWidth = painter.fontMetrics().horizontalAdvance(count);
    painter.setPen(selected ? t.text2 : t.text3);
    painter.drawText(inside, Qt::AlignRight | Qt::AlignVCenter, count);
    const QRect words(left, inside.top(), inside.right() - countWidth - 8 - left, inside.height());
    QString second = shown.group;
    if (shown.baseline)
        second = second.isEmpty() ? tr("baseline") : tr("%1, baseline").arg(second);
    setLettering(painter, Text::Body, t.text1, QFont::DemiBold);
    drawShortened(painter, words, int(second.isEmpty() ? Qt::AlignVCenter : Qt::AlignTop) | Qt::AlignLeft, shown.name);
    setLettering(painter, Text::Caption, t.text2);
    drawShortened(painter, words, Qt::AlignBottom | Qt::AlignLeft, second);
}

} // namespace ui
