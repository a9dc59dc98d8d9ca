#include "ui/clock/clock_page.h"
#include "ui/clock/clock_list.h"
#include "ui/clock/clock_words.h"
#include "ui/clock/evidence_panel.h"
#include "ui/clock/section_deck.h"
#include "ui/clock/settle_panel.h"
#include "ui/controls/empty_page.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/key_cap.h"

#include <QAbstractButton>
#include <QKeyEvent>
#include <QScrollBar>
#include <QStackedLayout>
#include <algorithm>
#include <set>

namespace ui {
namespace {

constexpr int leastEvidence = 240; ///< px
constexpr int mostEvidence = 55;   ///< % of the page's height

/// Does something whenever one of the watched widgets gets another size or what lies in it asks for one.
class SizeWatch : public QObject {
public:
    SizeWatch(std::function<void()> act, QObject* parent) : QObject(parent), m_act(std::move(act)) {}

    bool eventFilter(QObject* watched, QEvent* event) override
    {
        if (event->type() == QEvent::Resize || event->type() == QEvent::LayoutRequest)
            m_act();
        return QObject::eventFilter(watched, event);
    }

private:
    std::function<void()> m_act;
};

} // namespace

class ClockPage::Impl {
public:
    Impl(ClockPage& page, SessionModel& model)
        : m_page(page), m_model(model), m_stack(new QStackedLayout(&page)), m_empty(new EmptyPage)
    {
        m_empty->say(tr("No clocks yet"),
                     tr("A clock turns the frame numbers of one camera mode into seconds. It appears with "
                        "the first footage, with what the "
                        "file says of its capture rate beside what you know of the camera. Until you settle "
                        "it there are camera frames, "
                        "never ms."),
                     tr("Add footage"));
        QObject::connect(&m_empty->action(), &QPushButton::clicked, &page,
                         [this] { emit m_page.goTo(QStringLiteral("Read")); });
        m_stack->addWidget(m_empty);
        auto* full = new QWidget;
        showGutters(*full);
        auto* row = rowIn(full, 1);
        m_list = new ClockList;
        m_list->list().setPassedOn(
            {Qt::Key_Return, Qt::Key_Enter, Qt::Key_PageUp, Qt::Key_PageDown, Qt::Key_Left, Qt::Key_Right});
        m_evidence = new EvidencePanel;
        m_settle = new SettlePanel(model);
        m_right = scrolled(m_settle);
        row->addWidget(m_list);
        m_deck = new SectionDeck(model);
        auto* middle = new QWidget;
        showPanel(*middle);
        auto* middleColumn = columnIn(middle, 0);
        m_top = scrolled(m_evidence);
        middleColumn->addWidget(m_top);
        auto* watch = new SizeWatch([this] { fitEvidence(); }, m_top);
        m_top->viewport()->installEventFilter(watch);
        m_evidence->installEventFilter(watch);
        m_settle->installEventFilter(new SizeWatch([this] { layOut(m_page.width()); }, m_right));
        middleColumn->addWidget(m_deck, 1);
        row->addWidget(middle, 1);
        row->addWidget(m_right);
        m_stack->addWidget(full);

        QObject::connect(&model, &SessionModel::changed, &page, [this] {
            if (m_page.isVisible())
                refresh(); // else when it comes to the front
            emit m_page.stateChanged();
        });
        QObject::connect(m_list, &ClockList::chosen, &page, [this](session::ClockId id) { choose(id); });
        QObject::connect(m_evidence, &EvidencePanel::chosen, &page, [this](session::EvidenceId id) {
            m_selectedEvidence = id;
            m_chosen = true;
            showClock();
        });
        QObject::connect(m_deck, &SectionDeck::clockAsked, &page, [this](session::ClockId id) { choose(id); });
        refresh();
    }

    void refresh()
    {
        const auto document = m_model.document();
        if (!session::find(*document, m_selected))
            m_selected = document->clocks.empty() ? session::ClockId{} : document->clocks.begin()->first;
        m_stack->setCurrentIndex(document->clocks.empty() ? 0 : 1);
        showClock();
    }

    void choose(session::ClockId id)
    {
        m_selected = id;
        m_chosen = false;
        showClock();
    }

    void showClock()
    {
        const auto document = m_model.document();
        const session::Clock* clock = session::find(*document, m_selected);
        m_list->show(*document, m_selected);
        if (!clock)
            return;
        const bool there =
            std::ranges::any_of(clock->evidence, [&](const auto& e) { return e.id == m_selectedEvidence; });
        m_chosen = m_chosen && there;
        if (!m_chosen) { // what was decided, else what is proposed, which may have become better
            const session::ClockEvidence* first =
                clock->settled ? session::settledEvidence(*clock) : session::proposedEvidence(*clock);
            m_selectedEvidence = first ? first->id : session::EvidenceId{};
        }
        m_evidence->show(*document, *clock, m_selectedEvidence);
        m_settle->show(m_selected, m_selectedEvidence);
        m_deck->show(m_selected);
        m_evidence->setTags(m_deck->tags(), m_deck->damagedTags());
    }

    /// The evidence takes what it needs, but leaves room to work below.
    void fitEvidence()
    {
        const int wanted = m_evidence->layout()->totalHeightForWidth(m_top->viewport()->width());
        const int height = std::min(wanted, std::max(leastEvidence, m_page.height() * mostEvidence / 100));
        if (height != m_top->height())
            m_top->setFixedHeight(height);
    }

    void step(RowList& list, int by)
    {
        if (list.count() > 0)
            list.setCurrentRow(std::clamp(list.currentRow() + by, 0, list.count() - 1));
    }

    bool key(const QKeyEvent& event)
    {
        if (event.modifiers() & ~Qt::KeypadModifier || m_stack->currentIndex() == 0)
            return false;
        switch (event.key()) {
        case Qt::Key_Up: step(m_evidence->list(), -1); return true;
        case Qt::Key_Down: step(m_evidence->list(), 1); return true;
        case Qt::Key_PageUp: step(m_list->list(), -1); return true;
        case Qt::Key_PageDown: step(m_list->list(), 1); return true;
        case Qt::Key_Left: m_deck->step(-1); return true;
        case Qt::Key_Right: m_deck->step(1); return true;
        case Qt::Key_Return:
        case Qt::Key_Enter:
            if (auto* button = qobject_cast<QAbstractButton*>(m_page.focusWidget()))
                button->click(); // the button in hand, not the page's own
            else
                m_settle->settle();
            return true;
        default: return false;
        }
    }

    void layOut(int width)
    {
        const bool wide = width >= 1600;
        m_list->setFixedWidth(wide ? 324 : 268);
        // Words and buttons in a longer language may need more than is usual.
        const int needed = m_settle->minimumSizeHint().width() + m_right->verticalScrollBar()->sizeHint().width();
        m_right->setFixedWidth(std::max(wide ? 412 : 312, needed));
        fitEvidence(); // its share of the height
    }

    /// Clocks that captures use, by state.
    int count(session::ClockState state) const
    {
        const auto document = m_model.document();
        std::set<session::ClockId> used;
        for (const auto& [id, capture] : document->captures)
            for (const session::ClockId clock : session::clocksOf(*capture))
                used.insert(clock);
        return static_cast<int>(std::ranges::count_if(document->clocks, [&](const auto& item) {
            return used.contains(item.first) && session::stateOf(*item.second) == state;
        }));
    }

    ClockPage& m_page;
    SessionModel& m_model;
    QStackedLayout* m_stack;
    EmptyPage* m_empty;
    ClockList* m_list = nullptr;
    EvidencePanel* m_evidence = nullptr;
    SettlePanel* m_settle = nullptr;
    SectionDeck* m_deck = nullptr;
    QScrollArea *m_top = nullptr, *m_right = nullptr;
    session::ClockId m_selected;
    session::EvidenceId m_selectedEvidence;
    bool m_chosen = false; ///< by the analyst, in the table
};

ClockPage::ClockPage(SessionModel& model, QWidget* parent) : Page(parent), m_impl(std::make_unique<Impl>(*this, model))
{
    tellRefusals();
}

ClockPage::~ClockPage() = default;

void ClockPage::setFrameInView(AskFrameInView ask) { m_impl->m_deck->setFrameInView(std::move(ask)); }

void ClockPage::showClock(session::ClockId id) { m_impl->choose(id); }

void ClockPage::setPictureFindings(const PictureFindings& findings) { m_impl->m_deck->setPictureFindings(findings); }

QString ClockPage::name() const { return QStringLiteral("Clock"); }

QString ClockPage::stateLine() const
{
    const int disputes = m_impl->count(session::ClockState::InDispute);
    const int open = m_impl->count(session::ClockState::Proposed) + m_impl->count(session::ClockState::Unknown);
    if (disputes > 0)
        return tr("%1 in dispute").arg(counted(disputes, tr("clock")));
    if (open > 0)
        return tr("%1 to settle").arg(counted(open, tr("clock")));
    return m_impl->count(session::ClockState::Settled) > 0 ? tr("all settled") : tr("no captures");
}

bool ClockPage::needsAttention() const { return m_impl->count(session::ClockState::InDispute) > 0; }

QVector<KeyHint> ClockPage::keys() const
{
    return {
        {{QStringLiteral("Up"), QStringLiteral("Down")}, tr("evidence")},
        {{tr("Enter")}, tr("settle")},
        {{QStringLiteral("PgUp"), QStringLiteral("PgDn")}, tr("clock")},
        {{QStringLiteral("Left"), QStringLiteral("Right")}, tr("section")},
        {{tr("Space")}, tr("tick capture")},
        {{QStringLiteral("Ctrl"), QStringLiteral("Z")}, tr("undo")},
    };
}

void ClockPage::entered()
{
    m_impl->refresh();
    if (m_impl->m_stack->currentIndex() == 0)
        m_impl->m_empty->action().setFocus(Qt::OtherFocusReason);
    else
        m_impl->m_evidence->list().setFocus(Qt::OtherFocusReason);
}

void ClockPage::keyPressEvent(QKeyEvent* event)
{
    if (!m_impl->key(*event))
        Page::keyPressEvent(event);
}

void ClockPage::resizeEvent(QResizeEvent* event)
{
    m_impl->layOut(width());
    Page::resizeEvent(event);
}

} // namespace ui
