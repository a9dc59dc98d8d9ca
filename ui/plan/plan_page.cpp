#include "ui/plan/plan_page.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/plan/configuration_form.h"
#include "ui/plan/planned_configurations.h"
#include "ui/plan/plan_panel.h"
#include "ui/plan/record_panel.h"

#include <QHBoxLayout>
#include <QKeyEvent>

namespace ui {

class PlanPage::Impl {
public:
    Impl(PlanPage& page, SessionModel& model) : m_page(page), m_model(model)
    {
        showGutters(page);
        auto* row = new QHBoxLayout(&page);
        row->setContentsMargins(0, 0, 0, 0);
        row->setSpacing(1);
        m_plan = new PlanPanel(model);
        m_list = new PlannedConfigurations(model);
        m_form = new ConfigurationForm(model);
        m_record = new RecordPanel(model);
        m_columns = {scrolled(m_plan), m_list, scrolled(m_form), scrolled(m_record)};
        for (QWidget* column : std::as_const(m_columns))
            row->addWidget(column, column == m_columns[2] ? 1 : 0);

        QObject::connect(&model, &SessionModel::changed, &page, [this] {
            if (m_page.isVisible())
                refresh(); // else when it comes to the front
            emit m_page.stateChanged();
        });
        QObject::connect(m_list, &PlannedConfigurations::selectionChanged, &page, [this] { m_form->show(m_list->selected()); });
        QObject::connect(m_list, &PlannedConfigurations::renameAsked, &page, [this] { m_renameWhenShown = true; renameShown(); });
        QObject::connect(m_form, &ConfigurationForm::problem, &page, &Page::problem);
        QObject::connect(m_plan, &PlanPanel::problem, &page, &Page::problem);
        QObject::connect(m_record, &RecordPanel::problem, &page, &Page::problem);
        refresh();
    }

    void refresh()
    {
        m_plan->refresh();
        m_list->refresh();
        m_form->show(m_list->selected());
        m_record->refresh();
        if (!m_model.pending())
            renameShown();
    }

    /// A new configuration is named as soon as it is there; the door answers a little later than the key.
    void renameShown()
    {
        if (m_renameWhenShown && !m_model.pending()) {
            m_renameWhenShown = false;
            m_form->startRenaming();
        }
    }

    void layOut(int width)
    {
        const bool wide = width >= 1600;
        m_columns[0]->setFixedWidth(wide ? 340 : 300);
        m_columns[1]->setFixedWidth(wide ? 340 : 260);
        m_columns[3]->setFixedWidth(wide ? 400 : 320);
    }

    bool key(const QKeyEvent& event)
    {
        const bool alt = event.modifiers() & Qt::AltModifier;
        switch (event.key()) {
        case Qt::Key_Insert: m_list->add(); return true;
        case Qt::Key_Delete:
            if (!m_list->list().hasFocus())
                return false; // elsewhere it would take one by surprise
            m_list->removeSelected();
            return true;
        case Qt::Key_F2: m_form->startRenaming(); return true;
        case Qt::Key_Up:
        case Qt::Key_Down:
            if (alt)
                m_list->moveSelected(event.key() == Qt::Key_Up ? -1 : 1);
            return alt;
        default: return false;
        }
    }

    PlanPage& m_page;
    SessionModel& m_model;
    PlanPanel* m_plan;
    PlannedConfigurations* m_list;
    ConfigurationForm* m_form;
    RecordPanel* m_record;
    QVector<QWidget*> m_columns;
    bool m_renameWhenShown = false;
};

PlanPage::PlanPage(SessionModel& model, QWidget* parent) : Page(parent), m_impl(std::make_unique<Impl>(*this, model)) {}

PlanPage::~PlanPage() = default;

QString PlanPage::name() const
{
    return QStringLiteral("Plan");
}

QString PlanPage::stateLine() const
{
    const auto document = m_impl->m_model.document();
    if (document->configurations.empty())
        return tr("no configurations");
    return tr("%1, %2").arg(counted(qint64(document->configurations.size()), tr("configuration")),
                            counted(qint64(document->trials.size()), tr("trial")));
}

bool PlanPage::needsAttention() const
{
    return false;
}

QVector<KeyHint> PlanPage::keys() const
{
    return {
        {{QStringLiteral("Insert")}, tr("add configuration")},
        {{QStringLiteral("F2")}, tr("rename")},
        {{QStringLiteral("Alt"), QStringLiteral("Up"), QStringLiteral("Down")}, tr("move")},
        {{QStringLiteral("Delete")}, tr("remove")},
        {{QStringLiteral("Tab")}, tr("next field")},
        {{QStringLiteral("Esc")}, tr("take back what is typed")},
    };
}

void PlanPage::entered()
{
    m_impl->refresh();
    m_impl->m_list->list().setFocus(Qt::OtherFocusReason);
}

void PlanPage::keyPressEvent(QKeyEvent* event)
{
    if (!m_impl->key(*event))
        Page::keyPressEvent(event);
}

void PlanPage::resizeEvent(QResizeEvent* event)
{
    m_impl->layOut(width());
    Page::resizeEvent(event);
}

} // namespace ui
