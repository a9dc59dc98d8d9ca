#include "ui/clock/section_deck.h"
#include "ui/clock/events_form.h"
#include "ui/clock/pictures_panel.h"
#include "ui/clock/pieces_panel.h"
#include "ui/clock/plan_form.h"
#include "ui/clock/readout_panel.h"
#include "ui/clock/reference_panel.h"
#include "ui/controls/layouts.h"
#include "ui/controls/section_bar.h"
#include "ui/clock/stamp_panel.h"
#include "ui/clock/tags_panel.h"
#include "ui/model/window_memory.h"

#include <QGridLayout>
#include <QShortcut>
#include <QStackedWidget>
#include <algorithm>

namespace ui {
namespace {

constexpr int twoSections = 1140; ///< px: the bar and a plot beside each other
constexpr int widestForm = 620;   ///< px: a field across a large screen is hard to read

/// A form under a heading, no wider than it reads well.
QWidget* titled(const QString& title, const QString& trailing, QWidget* form)
{
    auto* panel = new Panel(title);
    panel->setTrailing(trailing);
    panel->setHairline(false);
    form->setMaximumWidth(widestForm);
    panel->body()->addWidget(form);
    return panel;
}

bool showsRepeats(const session::Capture& capture)
{
    using Verdict = timing::PictureRepeats::Verdict;
    return capture.pictures && capture.pictures->verdict != Verdict::AllAdd
           && capture.pictures->verdict != Verdict::CantTell;
}

/// A piece of it that runs on a clock without anything to settle it with.
bool hasOpenPiece(const session::Document& document, const session::Capture& capture)
{
    return std::ranges::any_of(capture.pieces, [&](const session::Piece& piece) {
        const session::Clock* clock = session::find(document, piece.clock);
        return clock && session::stateOf(*clock) == session::ClockState::Unknown;
    });
}

} // namespace

SectionDeck::SectionDeck(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_bar(new SectionBar), m_grid(new QGridLayout(this)), m_beside(new QWidget),
      m_stack(new QStackedWidget), m_reference(new ReferencePanel(model)),
      m_events(new EventsForm(model, EventsForm::Distance::Time)),
      m_refreshes(new EventsForm(model, EventsForm::Distance::Refreshes)), m_plan(new PlanForm(model)),
      m_tags(new TagsPanel), m_stamps(new StampPanel(model)), m_pieces(new PiecesPanel(model)),
      m_pictures(new PicturesPanel(model)), m_readout(new ReadoutPanel(model))
{
    m_bar->setObjectName(QStringLiteral("clockSections"));
    m_grid->setContentsMargins(0, 0, 0, 0);
    m_grid->setSpacing(0);
    showGutters(*this);
    addSection("fit", tr("Lamp fit"), m_reference);
    addSection("events", tr("Two events"),
               titled(tr("Two events a known time apart"), tr("another way to a reference"), m_events));
    addSection("refreshes", tr("Refreshes"),
               titled(tr("Counted refreshes of a display"), tr("another way to a reference"), m_refreshes));
    addSection("plan", tr("Filming plan"), titled(tr("How long to film a blinking lamp"), {}, m_plan));
    addSection("tags", tr("Tags"), m_tags);
    addSection("stamps", tr("Stamps"), m_stamps);
    addSection("pieces", tr("Pieces"), m_pieces);
    addSection("pictures", tr("Pictures"), m_pictures);
    addSection("readout", tr("Rolling shutter"), m_readout);
    showPanel(*m_beside);
    columnIn(m_beside)->addWidget(m_stack);

    m_bar->setAccessibleName(tr("Sections of the clock"));
    m_bar->setToolTip(tr("Left and Right change the section; from within a field, Ctrl with Page Up or Page Down"));
    connect(m_bar, &SectionBar::chosen, this, [this](const QString& id) {
        memory::setClockSection(id);
        showChosen();
    });
    connect(m_bar, &SectionBar::entered, this, &SectionDeck::goInto);
    for (const auto& [keys, by] :
         {std::pair("Ctrl+PgUp", -1), std::pair("Ctrl+PgDown", 1)}) // from within a field as well
        connect(new QShortcut(QKeySequence(QString::fromLatin1(keys)), this, nullptr, nullptr, Qt::WindowShortcut),
                &QShortcut::activated, this, [this, by = by] { step(by); });
    connect(m_pieces, &PiecesPanel::clockAsked, this, &SectionDeck::clockAsked);
    showBar(*model.document(), {});
    m_bar->choose(memory::clockSection());
    setWide(false);
}

void SectionDeck::addSection(const char* id, const QString& name, QWidget* content)
{
    auto* page = new QWidget;
    showPanel(*page);
    auto* column = columnIn(page);
    column->addWidget(content, content == m_reference ? 1 : 0);
    if (content != m_reference)
        column->addStretch(1);
    QScrollArea* area = scrolled(page);
    m_sections.push_back({QString::fromLatin1(id), name, area});
    if (content != m_reference)
        m_stack->addWidget(area);
}

void SectionDeck::setPictureFindings(const PictureFindings& findings) { m_pictures->setFindings(findings); }

/// Narrow: the bar above one section. Wide: the reference fit at the left, the bar and another section at the right.
void SectionDeck::setWide(bool wide)
{
    const bool first = m_grid->count() == 0;
    if (wide == m_wide && !first)
        return;
    m_wide = wide;
    QScrollArea* fit = m_sections.front().area;
    for (QWidget* each : std::initializer_list<QWidget*>{m_bar, fit, m_beside})
        m_grid->removeWidget(each);
    m_reference->setStacked(wide);
    showPanel(*m_bar);
    m_grid->addWidget(m_bar, 0, wide ? 1 : 0, 1, wide ? 1 : 2);
    m_grid->addWidget(fit, wide ? 0 : 1, 0, wide ? 2 : 1, wide ? 1 : 2);
    m_grid->addWidget(m_beside, 1, wide ? 1 : 0, 1, wide ? 1 : 2);
    m_grid->setHorizontalSpacing(wide ? 1 : 0);
    m_grid->setColumnStretch(0, 1);
    m_grid->setColumnStretch(1, wide ? 1 : 0);
    m_grid->setRowStretch(1, 1);
    showBar(*m_model.document(), m_clock);
    m_bar->choose(memory::clockSection());
    showChosen();
}

void SectionDeck::resizeEvent(QResizeEvent* event)
{
    QWidget::resizeEvent(event);
    setWide(width() >= twoSections);
}

void SectionDeck::showChosen()
{
    const auto now = std::ranges::find(m_sections, m_bar->current(), &Section::id);
    const bool fit = now == m_sections.begin();
    const QWidget* focused = focusWidget();
    m_sections.front().area->setVisible(m_wide || fit);
    m_beside->setVisible(m_wide || !fit);
    if (now != m_sections.end() && !fit)
        m_stack->setCurrentWidget(now->area);
    if (focused && !focused->isVisibleTo(this) && isAncestorOf(focused))
        m_bar->setFocus(Qt::OtherFocusReason); // what had the keyboard went away
}

void SectionDeck::goInto()
{
    const auto now = std::ranges::find(m_sections, m_bar->current(), &Section::id);
    if (now == m_sections.end())
        return;
    for (QWidget* next = now->area->nextInFocusChain(); next != now->area; next = next->nextInFocusChain())
        if (now->area->isAncestorOf(next) && next->isVisible() && next->isEnabled()
            && (next->focusPolicy() & Qt::TabFocus)) {
            next->setFocus(Qt::TabFocusReason);
            return;
        }
}

void SectionDeck::step(int by) { m_bar->step(by); }

void SectionDeck::showBar(const session::Document& document, session::ClockId clock)
{
    bool repeats = false, openPieces = false;
    for (const auto& [id, capture] : document.captures)
        if (session::runsOn(*capture, clock)) {
            repeats = repeats || showsRepeats(*capture);
            openPieces = openPieces || hasOpenPiece(document, *capture);
        }
    QVector<SectionBar::Section> shown;
    for (const Section& section : m_sections) {
        const bool marked = (section.id == QLatin1String("pictures") && repeats)
                            || (section.id == QLatin1String("pieces") && openPieces)
                            || (section.id == QLatin1String("tags") && m_tags->damaged() > 0);
        shown.append({section.id, section.name, m_wide && section.area == m_sections.front().area, marked});
    }
    m_bar->setSections(shown);
}

void SectionDeck::show(session::ClockId clock)
{
    m_clock = clock;
    const auto document = m_model.document();
    m_reference->show(clock);
    m_events->show(clock);
    m_refreshes->show(clock);
    m_plan->show(clock);
    m_tags->show(*document, clock);
    m_stamps->show(clock);
    m_pieces->show(clock);
    m_pictures->show(clock);
    m_readout->show(clock);
    showBar(*document, clock);
}

void SectionDeck::setFrameInView(AskFrameInView ask)
{
    m_events->setFrameInView(ask);
    m_refreshes->setFrameInView(ask);
    m_pieces->setFrameInView(std::move(ask));
}

int SectionDeck::tags() const { return m_tags->count(); }

int SectionDeck::damagedTags() const { return m_tags->damaged(); }

} // namespace ui
