#include "ui/results/results_page.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/empty_page.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/controls/section_bar.h"
#include "ui/look/key_cap.h"
#include "ui/look/own_keys.h"
#include "ui/results/agreement_panel.h"
#include "ui/results/budget_panel.h"
#include "ui/results/checks_panel.h"
#include "ui/results/copied_table.h"
#include "ui/results/order_panel.h"
#include "ui/results/results_table.h"
#include "ui/results/verdict_panel.h"

#include <QAbstractButton>
#include <QClipboard>
#include <QGuiApplication>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QStackedLayout>
#include <QStackedWidget>
#include <algorithm>

namespace ui {

class ResultsPage::Impl {
public:
    Impl(ResultsPage& page, SessionModel& model, SessionResults& results)
        : m_page(page), m_model(model), m_results(results), m_stack(new QStackedLayout(&page)), m_empty(new EmptyPage)
    {
        m_empty->body()->setContentsMargins(24, 40, 24, 24);
        QObject::connect(&m_empty->action(), &QPushButton::clicked, &m_page, [this] { emit m_page.goTo(m_nextPage); });
        m_stack->addWidget(m_empty);
        buildFull();
        QObject::connect(&results, &SessionResults::changed, &page, [this] { changed(); });
        refresh();
    }

    void buildFull()
    {
        auto* full = new QWidget;
        showGutters(*full);
        auto* column = columnIn(full, 1);
        column->addWidget(header());
        m_table = new ResultsTable;
        m_table->list().setPassedOn({Qt::Key_Return, Qt::Key_Enter});
        column->addWidget(m_table, 3);
        m_verdict = new VerdictPanel;
        auto* lower = new QHBoxLayout;
        lower->setSpacing(1);
        lower->addWidget(m_verdict, 5);
        lower->addWidget(behind(), 7);
        QObject::connect(m_agreement, &AgreementPanel::trialAsked, &m_page, &Page::trialAsked);
        column->addLayout(lower, 2); // and what the table's rows don't need
        m_stack->addWidget(full);

        QObject::connect(m_table, &ResultsTable::chosen, &m_page, [this](session::ConfigurationId id) {
            m_view.selected = id;
            refresh();
        });
        QObject::connect(m_verdict, &VerdictPanel::otherChosen, &m_page, [this](session::ConfigurationId id) {
            m_view.against = id;
            refresh();
            m_table->list().setFocus(Qt::OtherFocusReason); // letters are the page's keys again
        });
        QObject::connect(m_verdict, &VerdictPanel::planAsked, &m_page,
                         [this] { emit m_page.goTo(QStringLiteral("Plan")); });
        QObject::connect(m_verdict, &VerdictPanel::trialsAsked, &m_page, [this] { showTrials(); });
    }

    /// What lies behind the verdict, one section at a time.
    QWidget* behind()
    {
        m_order = new OrderPanel;
        m_budget = new BudgetPanel;
        m_checks = new ChecksPanel;
        m_agreement = new AgreementPanel;
        m_sections = new SectionBar;
        m_sections->setAccessibleName(tr("Behind the verdict"));
        m_sections->setSections({{QStringLiteral("O"), tr("Trials in order")},
                                 {QStringLiteral("U"), tr("Uncertainty")},
                                 {QStringLiteral("K"), tr("Checks")},
                                 {QStringLiteral("A"), tr("Readings")}});
        m_section = new QStackedWidget;
        for (QWidget* part : std::initializer_list<QWidget*>{m_order, m_budget, m_checks, m_agreement})
            m_section->addWidget(part);
        QObject::connect(m_sections, &SectionBar::chosen, &m_page, [this](const QString& id) { showSection(id); });
        QObject::connect(m_sections, &SectionBar::entered, &m_page, [this] {
            if (m_sections->current() == QStringLiteral("A"))
                m_agreement->focusList();
        });
        auto* whole = new QWidget;
        showPanel(*whole);
        auto* column = columnIn(whole, 0);
        column->addWidget(m_sections);
        column->addWidget(m_section, 1);
        return whole;
    }

    void showSection(const QString& id)
    {
        m_sections->choose(id);
        m_section->setCurrentIndex(int(QStringLiteral("OUKA").indexOf(id)));
    }

    /// By its key. Readings take the keyboard along, for there is something to open in them; the same key leads back.
    void askSection(const QString& id)
    {
        const bool readings = id == QStringLiteral("A"), leaves = readings && m_sections->current() == id;
        showSection(leaves ? QStringLiteral("O") : id);
        if (readings && !leaves)
            m_agreement->focusList();
        else
            m_table->list().setFocus(Qt::OtherFocusReason);
    }

    QWidget* header()
    {
        auto* bar = new QWidget;
        showPanel(*bar);
        auto* row = new QHBoxLayout(bar);
        row->setContentsMargins(grid::padding, 6, grid::padding, 6);
        row->setSpacing(8);
        m_baseline = new ChoiceBox;
        m_baseline->setMinimumWidth(200);
        m_baseline->setAccessibleName(tr("Baseline"));
        QObject::connect(m_baseline, &ChoiceBox::chosen, &m_page,
                         [this](qint64 id) { makeBaseline(session::ConfigurationId{id}); });
        m_margin = new CommitEdit(tr("none"));
        m_margin->setFixedWidth(72);
        m_margin->setAccessibleName(tr("Margin, ms"));
        m_margin->setCheck(CommitEdit::numberFor(
            [](double ms) { return ms > 0; },
            tr("The margin \u201c%1\u201d isn't a number of ms above 0: type one like 2 or 0.5.")));
        QObject::connect(m_margin, &CommitEdit::committed, &m_page, [this](const QString& text) {
            m_model.edit([ms = typedNumber(text)](const session::Document& d) { return session::setMargin(d, ms); });
        });
        row->addWidget(new Label(tr("Baseline"), Text::Body, Tone::Secondary));
        row->addWidget(m_baseline);
        row->addSpacing(12);
        row->addWidget(new Label(tr("Smallest difference that matters (margin)"), Text::Body, Tone::Secondary));
        row->addWidget(m_margin);
        row->addWidget(new Label(tr("ms"), Text::Body, Tone::Secondary));
        row->addSpacing(12);
        m_interim = new ShapeLabel(Shape::Warning, {}, Text::State, Tone::Attention);
        row->addWidget(m_interim);
        row->addStretch(1);
        m_level = new Label({}, Text::State, Tone::Secondary);
        row->addWidget(m_level);
        row->addSpacing(8);
        m_allFigures = new KeyButton(tr("All figures"), {QStringLiteral("F")});
        m_allFigures->setCheckable(true);
        m_allFigures->setObjectName(QStringLiteral("allFigures"));
        QObject::connect(m_allFigures, &QPushButton::toggled, &m_page,
                         [this](bool all) { m_table->showAllFigures(all); });
        row->addWidget(m_allFigures);
        return bar;
    }

    /// Nobody sees it behind another page; entering shows what is known by then.
    void changed()
    {
        if (m_page.isVisible())
            refresh();
        emit m_page.stateChanged();
    }

    /// What is known by now. The pair in hand stands or falls with the results around it: until it is worked out the
    /// page stays as it was.
    void refresh()
    {
        const KnownResults& known = m_results.known();
        if (!analysis::find(*known.results, m_view.selected))
            m_view.selected = firstOfInterest(*known.results);
        if (!analysis::find(*known.results, m_view.against) || m_view.against == m_view.selected
            || m_view.against == known.results->baseline)
            m_view.against = {};
        const session::ConfigurationId first = m_view.against ? m_view.selected : session::ConfigurationId{};
        if (known.first != first || known.second != m_view.against) {
            m_results.askPair(first, m_view.against);
            if (m_view.against)
                return;
        }
        m_view.document = known.document;
        m_view.results = known.results;
        m_view.pair = m_view.against ? known.pair : nullptr;
        const bool tagged =
            std::ranges::any_of(known.results->configurations, [](const auto& result) { return result.trials > 0; });
        m_stack->setCurrentIndex(tagged ? 1 : 0);
        if (tagged)
            showFull();
        else
            showEmpty();
        if (m_entering && m_results.upToDate()) {
            m_entering = false;
            focus();
            m_results.recordEarlyLook();
        }
        emit m_page.stateChanged();
    }

    void enter()
    {
        m_entering = true;
        refresh();
        focus();
    }

    void focus()
    {
        if (m_stack->currentIndex() == 1)
            m_table->list().setFocus(Qt::OtherFocusReason);
        else
            m_empty->action().setFocus(Qt::OtherFocusReason);
    }

    /// What is compared says more than the baseline.
    static session::ConfigurationId firstOfInterest(const analysis::Results& results)
    {
        const auto& all = results.configurations;
        const auto compared =
            std::ranges::find_if(all, [](const auto& result) { return result.comparison.has_value(); });
        return compared != all.end() ? compared->configuration
               : all.empty()         ? session::ConfigurationId{}
                                     : all.front().configuration;
    }

    void showEmpty()
    {
        if (!m_results.any())
            return m_empty->say(tr("The results are being worked out"), {}, {});
        const session::Document& document = *m_view.document;
        const auto say = [&](const QString& words, const QString& action, const QString& page) {
            m_empty->say(tr("No results yet"), words, action);
            m_nextPage = page;
        };
        if (document.configurations.empty())
            say(tr("Results compare configurations. Name the set-ups you test; a baseline among them is what the "
                   "others are "
                   "compared with."),
                tr("Plan configurations"), QStringLiteral("Plan"));
        else if (document.captures.empty())
            say(tr("Add footage and mark the press frame and the response frame of a trial. Each configuration then "
                   "gets a row "
                   "here: every trial, the mean with its interval, and what the data say against the baseline."),
                tr("Add footage"), QStringLiteral("Read"));
        else
            say(tr("No trial is tagged to a configuration yet. Mark trials, or tag the captures that hold them."),
                tr("Read trials"), QStringLiteral("Read"));
    }

    void showFull()
    {
        const session::Document& document = *m_view.document;
        QVector<std::pair<qint64, QString>> choices{{0, tr("not chosen")}};
        for (const session::Configuration* c : session::inOrder(document.configurations))
            choices.append({c->id.value, QString::fromStdString(c->name)});
        m_baseline->setChoices(choices, document.settings.plan.baseline.value);
        m_margin->setValue(shortNumber(document.settings.plan.marginMs));
        const QString level = QString::fromStdString(analysis::percent(m_view.results->level));
        const int comparisons = m_view.results->comparisons;
        m_level->setText(comparisons > 1 ? tr("%1 confidence, all %2 comparisons together").arg(level).arg(comparisons)
                                         : tr("%1 confidence").arg(level));
        m_interim->setVisible(m_view.results->interim);
        if (m_view.results->interim) {
            const auto lacking = [](const analysis::ConfigurationResult& result) {
                return result.planned.value_or(0) - result.n;
            };
            const auto& most = *std::ranges::max_element(m_view.results->configurations, {}, lacking);
            m_interim->setWord(tr("interim: %1 of %2 planned trials").arg(most.n).arg(most.planned.value_or(0)));
        }
        m_table->show(m_view);
        m_verdict->show(m_view);
        m_budget->show(m_view);
        m_order->show(m_view);
        m_checks->show(m_view);
        m_agreement->show(m_view);
    }

    void makeBaseline(session::ConfigurationId id)
    {
        m_model.edit([id](const session::Document& d) { return session::setBaseline(d, id); });
    }

    /// The desk at the first trial of the configuration in hand.
    void showTrials()
    {
        const auto& trials = m_view.results->trials;
        const auto first = std::ranges::find(trials, m_view.selected, &analysis::TrialOutcome::configuration);
        if (first == trials.end())
            emit m_page.goTo(QStringLiteral("Read"));
        else
            emit m_page.trialAsked(first->trial.value);
    }

    bool key(const QKeyEvent& event)
    {
        if (isPublishKey(event)) {
            emit m_page.goTo(QStringLiteral("Publish"));
            return true;
        }
        if (m_stack->currentIndex() == 0)
            return false;
        if (event.modifiers() == Qt::ControlModifier && event.key() == Qt::Key_C) {
            QGuiApplication::clipboard()->setMimeData(copiedTable(m_view));
            return true;
        }
        if (event.key() == Qt::Key_C && event.modifiers() == (Qt::ControlModifier | Qt::ShiftModifier)) {
            m_budget->copy();
            return true;
        }
        const int key = keys::delivered(event.key());
        switch (event.modifiers() ? 0 : key) {
        case Qt::Key_C: m_verdict->chooseOther(); return true;
        case Qt::Key_F: m_allFigures->toggle(); return true;
        case Qt::Key_O:
        case Qt::Key_U:
        case Qt::Key_K:
        case Qt::Key_A: askSection(QChar(key)); return true;
        case Qt::Key_B: makeBaseline(m_view.selected); return true;
        case Qt::Key_Return:
        case Qt::Key_Enter:
            if (auto* button = qobject_cast<QAbstractButton*>(m_page.focusWidget()))
                button->click(); // the button in hand, not the page's own
            else
                showTrials();
            return true;
        case Qt::Key_Up:
        case Qt::Key_Down:
            m_table->list().setFocus(Qt::OtherFocusReason);
            m_table->list().setCurrentRow(std::clamp(
                m_table->list().currentRow() + (event.key() == Qt::Key_Up ? -1 : 1), 0, m_table->list().count() - 1));
            return true;
        default: return false;
        }
    }

    ResultsPage& m_page;
    SessionModel& m_model;
    SessionResults& m_results;
    ResultsView m_view;
    bool m_entering = false; ///< until the latest results are seen
    QStackedLayout* m_stack;
    EmptyPage* m_empty;
    Label* m_level = nullptr;
    QString m_nextPage;
    ChoiceBox* m_baseline = nullptr;
    CommitEdit* m_margin = nullptr;
    ShapeLabel* m_interim = nullptr;
    ResultsTable* m_table = nullptr;
    VerdictPanel* m_verdict = nullptr;
    BudgetPanel* m_budget = nullptr;
    OrderPanel* m_order = nullptr;
    ChecksPanel* m_checks = nullptr;
    AgreementPanel* m_agreement = nullptr;
    SectionBar* m_sections = nullptr;
    QStackedWidget* m_section = nullptr;
    KeyButton* m_allFigures = nullptr;
};

ResultsPage::ResultsPage(SessionModel& model, SessionResults& results, QWidget* parent)
    : PageToPublish(parent), m_impl(std::make_unique<Impl>(*this, model, results))
{
    tellRefusals();
}

ResultsPage::~ResultsPage() = default;

QString ResultsPage::name() const { return QStringLiteral("Results"); }

/// Counts only: a verdict in the tab would be seen while reading.
QString ResultsPage::stateLine() const
{
    const analysis::Results& results = *m_impl->m_results.known().results;
    int n = 0, unsettled = 0;
    for (const analysis::ConfigurationResult& result : results.configurations) {
        n += result.n;
        unsettled += result.clockNotSettled;
    }
    if (n == 0 && unsettled == 0)
        return tr("no results");
    if (unsettled > 0)
        return tr("%1 of %2 in ms").arg(n).arg(counted(n + unsettled, tr("trial")));
    return results.interim ? tr("%1 in, interim").arg(counted(n, tr("trial")))
                           : tr("%1 in").arg(counted(n, tr("trial")));
}

QVector<KeyHint> ResultsPage::keys() const
{
    if (m_impl->m_stack->currentIndex() == 0)
        return {{{tr("Enter")}, m_impl->m_empty->action().text()}};
    QVector<KeyHint> keys = allKeys();
    if (!m_impl->m_view.results || m_impl->m_view.results->configurations.size() <= 2)
        keys.removeIf([](const KeyHint& hint) { return hint.caps == QStringList{QStringLiteral("C")}; });
    return keys;
}

QVector<KeyHint> ResultsPage::allKeys() const
{
    return {{{QStringLiteral("Up"), QStringLiteral("Down")}, tr("configuration")},
            {{tr("Enter")}, tr("look at its trials")},
            {{QStringLiteral("B")}, tr("make it the baseline")},
            {{QStringLiteral("C")}, tr("compare with another")},
            {{QStringLiteral("O"), QStringLiteral("U"), QStringLiteral("K"), QStringLiteral("A")},
             tr("order, uncertainty, checks, readings")},
            {{QStringLiteral("F")}, tr("all figures")},
            {{QStringLiteral("Ctrl"), QStringLiteral("C")}, tr("copy table")},
            {{QStringLiteral("Ctrl"), QStringLiteral("E")}, tr("publish")},
            {{QStringLiteral("Ctrl"), QStringLiteral("Shift"), QStringLiteral("C")}, tr("copy uncertainty")}};
}

void ResultsPage::entered() { m_impl->enter(); }

void ResultsPage::keyPressEvent(QKeyEvent* event)
{
    if (!m_impl->key(*event))
        Page::keyPressEvent(event);
}

} // namespace ui
