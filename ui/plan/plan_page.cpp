#include "ui/plan/plan_page.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/key_cap.h"
#include "ui/plan/configuration_form.h"
#include "ui/plan/effort_panel.h"
#include "ui/plan/planned_configurations.h"
#include "ui/plan/plan_panel.h"
#include "ui/plan/record_panel.h"
#include "ui/plan/sheet_panel.h"

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QStackedWidget>

namespace ui {

class PlanPage::Impl {
public:
    Impl(PlanPage& page, SessionModel& model, SessionResults& results) : m_page(page), m_model(model)
    {
        showGutters(page);
        auto* row = rowIn(&page, 1);
        m_plan = new PlanPanel(model);
        m_list = new PlannedConfigurations(model);
        m_form = new ConfigurationForm(model);
        m_record = new RecordPanel(model);
        m_effort = new EffortPanel(model, results);
        m_sheet = new SheetPanel(model);
        m_columns = {scrolled(m_plan), m_list, scrolled(m_form), scrolled(m_record)};
        row->addWidget(m_columns[0]);
        auto* right = new QVBoxLayout;
        right->setSpacing(1);
        right->addWidget(switches());
        m_views = new QStackedWidget;
        auto* setUps = new QWidget;
        showGutters(*setUps);
        auto* inside = rowIn(setUps, 1);
        for (int i = 1; i < m_columns.size(); ++i)
            inside->addWidget(m_columns[i], i == 2 ? 1 : 0);
        m_views->addWidget(setUps);
        showGutters(*m_effort);
        m_views->addWidget(m_effort);
        showPanel(*m_sheet);
        m_views->addWidget(m_sheet);
        right->addWidget(m_views, 1);
        row->addLayout(right, 1);

        QObject::connect(&model, &SessionModel::changed, &page, [this] {
            if (m_page.isVisible())
                refresh(); // else when it comes to the front
            emit m_page.stateChanged();
        });
        QObject::connect(&results, &SessionResults::changed, &page, [this] {
            if (m_page.isVisible() && m_views->currentIndex() == 1)
                m_effort->refresh();
        });
        QObject::connect(m_list, &PlannedConfigurations::selectionChanged, &page,
                         [this] { m_form->show(m_list->selected()); });
        QObject::connect(m_list, &PlannedConfigurations::renameAsked, &page, [this] {
            m_renameWhenShown = true;
            renameShown();
        });
        refresh();
    }

    /// The three views beside the plan.
    QWidget* switches()
    {
        auto* bar = new QWidget;
        showPanel(*bar);
        auto* row = new QHBoxLayout(bar);
        row->setContentsMargins(grid::padding, 6, grid::padding, 6);
        row->setSpacing(6);
        const QString words[] = {tr("Set-ups"), tr("How many"), tr("Run sheet")};
        for (int view = 0; view < 3; ++view) {
            auto* button = new KeyButton(words[view], {QStringLiteral("F%1").arg(5 + view)});
            button->setCheckable(true);
            button->setObjectName(QStringLiteral("planView%1").arg(view));
            QObject::connect(button, &QPushButton::clicked, &m_page, [this, view] { show(view); });
            row->addWidget(button);
            m_switches << button;
        }
        m_switches.front()->setChecked(true);
        row->addStretch(1);
        return bar;
    }

    void show(int view)
    {
        m_views->setCurrentIndex(view);
        for (int i = 0; i < m_switches.size(); ++i)
            m_switches[i]->setChecked(i == view);
        refresh();
        focusView();
        emit m_page.stateChanged();
    }

    void focusView()
    {
        if (m_views->currentIndex() == 0)
            m_list->list().setFocus(Qt::OtherFocusReason);
        else if (m_views->currentIndex() == 2)
            m_sheet->list().setFocus(Qt::OtherFocusReason);
        else
            m_effort->setFocus(Qt::OtherFocusReason);
    }

    void refresh()
    {
        m_plan->refresh();
        m_list->refresh();
        m_form->show(m_list->selected());
        m_record->refresh();
        if (m_views->currentIndex() == 1)
            m_effort->refresh();
        if (m_views->currentIndex() == 2)
            m_sheet->refresh();
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
        const int view = m_views->currentIndex();
        switch (event.key()) {
        case Qt::Key_F5:
        case Qt::Key_F6:
        case Qt::Key_F7: show(event.key() - Qt::Key_F5); return true;
        case Qt::Key_F8:
            if (view == 1)
                m_effort->takeOver();
            else if (view == 2)
                m_sheet->draw();
            return view > 0;
        case Qt::Key_Space:
            if (view != 2 || !m_sheet->list().hasFocus())
                return false;
            m_sheet->tickCurrent();
            return true;
        default: break;
        }
        if (view != 0)
            return false;
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
    EffortPanel* m_effort;
    SheetPanel* m_sheet;
    QStackedWidget* m_views = nullptr;
    QVector<KeyButton*> m_switches;
    QVector<QWidget*> m_columns;
    bool m_renameWhenShown = false;
};

PlanPage::PlanPage(SessionModel& model, SessionResults& results, QWidget* parent)
    : Page(parent), m_impl(std::make_unique<Impl>(*this, model, results))
{
    tellRefusals();
}

PlanPage::~PlanPage() = default;

QString PlanPage::name() const { return QStringLiteral("Plan"); }

QString PlanPage::stateLine() const
{
    const auto document = m_impl->m_model.document();
    if (document->configurations.empty())
        return tr("no configurations");
    return tr("%1, %2").arg(counted(qint64(document->configurations.size()), tr("configuration")),
                            counted(qint64(document->trials.size()), tr("trial")));
}

QVector<KeyHint> PlanPage::keys() const
{
    QVector<KeyHint> keys;
    const int view = m_impl->m_views->currentIndex();
    if (view == 0)
        keys = {
            {{QStringLiteral("Insert")}, tr("add configuration")},
            {{QStringLiteral("F2")}, tr("rename")},
            {{QStringLiteral("Alt"), QStringLiteral("Up"), QStringLiteral("Down")}, tr("move")},
            {{QStringLiteral("Delete")}, tr("remove")},
        };
    else if (view == 1)
        keys = {{{QStringLiteral("F8")}, tr("take over into the plan")}};
    else if (m_impl->m_model.document()->settings.runSheet)
        keys = {{{QStringLiteral("Up"), QStringLiteral("Down")}, tr("line")}, {{QStringLiteral("Space")}, tr("tick")}};
    else
        keys = {{{QStringLiteral("F8")}, tr("draw the order")}};
    keys << KeyHint{{QStringLiteral("F5")}, tr("set-ups")} << KeyHint{{QStringLiteral("F6")}, tr("how many")}
         << KeyHint{{QStringLiteral("F7")}, tr("run sheet")} << KeyHint{{QStringLiteral("Tab")}, tr("next field")}
         << KeyHint{{QStringLiteral("Esc")}, tr("take back what is typed")};
    return keys;
}

void PlanPage::entered()
{
    m_impl->refresh();
    m_impl->focusView();
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
