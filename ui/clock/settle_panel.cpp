#include "ui/clock/settle_panel.h"
#include "core/analysis/capture_tags.h"
#include "core/report/capture_words.h"
#include "ui/clock/clock_words.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"
#include "ui/look/key_cap.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QPushButton>
#include <algorithm>

namespace ui {
namespace {

constexpr int settlePanelLabelWidth = 68;
constexpr int captureRow = 28, shownCaptures = 8;
constexpr int toldInPieces = 2; ///< captures whose pieces are told one by one
constexpr double usualTolerance = timing::uncalibratedTolerance * 100;

const session::ClockEvidence* evidenceOf(const session::Clock& clock, session::EvidenceId id)
{
    const auto found = std::ranges::find(clock.evidence, id, &session::ClockEvidence::id);
    return found == clock.evidence.end() ? nullptr : &*found;
}

const session::ClockEvidence* declaredOf(const session::Clock& clock)
{
    const auto found =
        std::ranges::find_if(clock.evidence, [](const auto& e) { return e.rate.origin == timing::Origin::Declared; });
    return found == clock.evidence.end() ? nullptr : &*found;
}

/// "frames 101 to 220", "2 of 5 pieces".
QString partOn(const session::Capture& capture, session::ClockId clock)
{
    const session::Piece* on = nullptr;
    int pieces = 0;
    for (const session::Piece& piece : capture.pieces)
        if (piece.clock == clock) {
            on = &piece;
            ++pieces;
        }
    return pieces == 1 ? SettlePanel::tr("frames %1 to %2").arg(on->firstFrame.value).arg(lastFrame(capture, *on).value)
                       : SettlePanel::tr("%1 of %n piece(s)", nullptr, int(capture.pieces.size())).arg(pieces);
}

} // namespace

SettlePanel::SettlePanel(SessionModel& model, QWidget* parent) : QWidget(parent), m_model(model)
{
    auto* column = columnIn(this, 0);
    buildSettle(*column);
    buildDeclare(*column);
    buildCaptures(*column);
    column->addStretch(1);
}

void SettlePanel::buildSettle(QVBoxLayout& column)
{
    m_settlePanel = new Panel(tr("Settle this clock"));
    m_figures = new QWidget;
    auto* figures = columnIn(m_figures, 2);
    m_with = new Label({}, Text::State, Tone::Secondary);
    figures->addWidget(m_with);
    auto* rate = new QHBoxLayout;
    rate->setSpacing(8);
    m_rate = new Label({}, Text::Figure, Tone::Primary, QFont::DemiBold);
    rate->addWidget(m_rate);
    m_unit = new Label({}, Text::State, Tone::Secondary);
    rate->addWidget(m_unit, 1, Qt::AlignBottom);
    figures->addLayout(rate);
    m_facts = wrapping({}, Text::State, Tone::Secondary);
    figures->addWidget(m_facts);
    m_settlePanel->body()->addWidget(m_figures);

    auto* form = new FormGrid(settlePanelLabelWidth);
    m_reason = form->addRow(tr("Reason"), called("reason", new CommitEdit(tr("goes into the method note"))));
    connect(m_reason, &CommitEdit::entered, this, &SettlePanel::settle);
    connect(m_reason, &QLineEdit::textEdited, this, [this] { m_settle->setEnabled(true); });
    m_settlePanel->body()->addSpacing(4);
    m_settlePanel->body()->addWidget(form);
    m_settlePanel->body()->addSpacing(4);
    m_settle = called("settle", new KeyButton(tr("Settle"), {tr("Enter")}, KeyButton::Kind::Primary));
    connect(m_settle, &QPushButton::clicked, this, &SettlePanel::settle);
    m_settlePanel->body()->addWidget(m_settle);
    m_effect = emptyNote({}, Text::State);
    m_settlePanel->body()->addWidget(m_effect);
    auto* row = new QHBoxLayout;
    row->setSpacing(8);
    m_settled = wrapping({}, Text::State, Tone::Secondary);
    row->addWidget(m_settled, 1);
    m_unsettle = compactButton(tr("Unsettle"), "unsettle");
    row->addWidget(m_unsettle, 0, Qt::AlignTop);
    m_settlePanel->body()->addLayout(row);
    connect(m_unsettle, &QPushButton::clicked, this, [this] {
        m_model.edit([id = m_clock](const session::Document& d) { return session::unsettleClock(d, id); });
    });
    column.addWidget(m_settlePanel);
}

void SettlePanel::buildDeclare(QVBoxLayout& column)
{
    auto* panel = new Panel(tr("Declare a rate"));
    panel->setTrailing(tr("the camera's setting"));
    auto* form = new FormGrid(settlePanelLabelWidth);
    m_declared =
        form->addRow(tr("Captured"), called("declaredRate", new CommitEdit(tr("like 239.76"))), tr("a second"));
    m_declared->setToolTip(tr("240, 239.76 or 240000/1001"));
    m_declared->setCheck(
        CommitEdit::rate(tr("\u201c%1\u201d isn't a capture rate above 0: type one like 240, 239.76 or 240000/1001.")));
    m_tolerance =
        form->addRow(tr("Within \u00b1"), called("tolerance", new CommitEdit(shortNumber(usualTolerance))), tr("%"));
    m_tolerance->setToolTip(tr("%1 % until calibrated; less for an industrial camera, as its maker states")
                                .arg(shortNumber(usualTolerance)));
    m_tolerance->setCheck(CommitEdit::numberFor(
        [](double percent) { return percent >= 0 && percent < 100; },
        tr("\u201c%1\u201d isn't a tolerance: type a number of percent from 0 to below 100, like 3 or 0.01.")));
    m_note = form->addRow(tr("Note"), new CommitEdit(tr("where you know it from")));
    panel->body()->addWidget(form);
    auto* button = called("declare", new QPushButton(tr("Declare")));
    connect(button, &QPushButton::clicked, this, &SettlePanel::declare);
    panel->body()->addWidget(button, 0, Qt::AlignRight);
    for (CommitEdit* edit : {m_declared, m_tolerance, m_note})
        connect(edit, &CommitEdit::entered, this, &SettlePanel::declare);
    column.addWidget(panel);
}

void SettlePanel::buildCaptures(QVBoxLayout& column)
{
    m_capturePanel = new Panel(tr("Use it for"));
    m_capturePanel->setHairline(false);
    m_capturePanel->body()->setContentsMargins(0, 0, 0, 8);
    m_captures = new RowList(
        captureRow, [this](QPainter& p, const QRect& r, int row, bool selected) { paintCapture(p, r, row, selected); });
    m_captures->setAccessibleName(tr("Captures that use this clock"));
    m_captures->setPassedOn(
        {Qt::Key_Return, Qt::Key_Enter, Qt::Key_PageUp, Qt::Key_PageDown, Qt::Key_Left, Qt::Key_Right});
    m_pieces = wrapping({}, Text::State, Tone::Primary);
    m_pieces->setObjectName(QStringLiteral("sharedPieces"));
    m_pieces->setContentsMargins(grid::padding, 0, grid::padding, 6);
    m_capturePanel->body()->addWidget(m_pieces);
    m_capturePanel->body()->addWidget(m_captures);
    connect(m_captures, &QListWidget::itemClicked, this,
            [this](QListWidgetItem* item) { toggleCapture(m_captures->row(item)); });
    auto* space = new QAction(m_captures);
    space->setShortcut(Qt::Key_Space);
    space->setShortcutContext(Qt::WidgetShortcut);
    connect(space, &QAction::triggered, this, [this] { toggleCapture(m_captures->currentRow()); });
    m_captures->addAction(space);
    m_take = compactButton({}, "takeUnsettled",
                           tr("Only for captures of the same camera in the same mode: they share the clock's error. "
                              "Those whose picture size, codec, tags or stored rate differ are left out"));
    connect(m_take, &QPushButton::clicked, this, &SettlePanel::takeUnsettled);
    auto* row = new QHBoxLayout;
    row->setContentsMargins(grid::padding, 4, grid::padding, 0);
    row->addWidget(m_take);
    row->addStretch(1);
    m_capturePanel->body()->addLayout(row);
    auto* note = emptyNote(tr("Captures of one camera in one mode share a clock, and so its error. Of a capture in "
                              "pieces, each piece goes on the clock that pieces of its "
                              "speed have. Taking a tick off puts what runs on this clock on one of its own."),
                           Text::Caption);
    note->setContentsMargins(grid::padding, 4, grid::padding, 0);
    m_capturePanel->body()->addWidget(note);
    column.addWidget(m_capturePanel);
}

void SettlePanel::show(session::ClockId id, session::EvidenceId selected)
{
    const auto document = m_model.document();
    const session::Clock* clock = session::find(*document, id);
    if (!clock)
        return;
    if (m_clock != id)
        m_shared.clear();
    m_clock = id;
    m_evidence = selected;
    fillReason(*clock);
    showSettle(*document, *clock);
    fillDeclaration(*clock);
    showCaptures(*document, *clock);
}

void SettlePanel::showSettle(const session::Document& document, const session::Clock& clock)
{
    const session::ClockEvidence* evidence = evidenceOf(clock, m_evidence);
    const bool isSettled = clock.settled && clock.settled->evidence == m_evidence;
    const ClockUse use = clockUse(document, clock);
    m_figures->setVisible(evidence);
    const bool isPictures = evidence && evidence->rate.origin == timing::Origin::Pictures;
    m_settle->setEnabled(evidence && !isSettled && !isPictures);
    m_settle->setText(tr("Settle"));
    if (evidence) {
        const QString rate = rateOf(*evidence);
        const double frame = 1000 / evidence->rate.rate, delay = frame * static_cast<double>(use.typicalFrames);
        m_with->setText(tr("with the %1 rate").arg(originWord(evidence->rate.origin)));
        m_rate->setText(rate);
        m_unit->setText(tr("captured a second"));
        QStringList facts{tr("One frame: %1 ms").arg(QString::number(frame, 'g', 5)),
                          tr("Counting puts one trial within \u00b1%1 ms").arg(QString::number(frame, 'g', 3))};
        if (evidence->rate.relativeUncertainty > 0)
            facts << tr("The clock's standard u in %1 ms: %2 ms")
                         .arg(QString::number(delay, 'f', 1),
                              QString::number(delay * evidence->rate.relativeUncertainty, 'g', 2));
        if (isPictures)
            facts = {tr("Real pictures a second: that doesn't tell how long a camera frame lasts.")};
        else
            m_settle->setText(tr("Settle with %1 a second").arg(rate));
        m_facts->setText(facts.join(QLatin1Char('\n')));
    }
    m_effect->setText(!evidence    ? tr("Nothing to settle with yet: declare a rate first.")
                      : isPictures ? tr("Choose other evidence to settle with; a lamp of known frequency tells best.")
                      : isSettled  ? QString()
                      : use.trials == 0
                          ? tr("What is read with it then gets ms. Undo takes it back.")
                          : tr("%n trial(s) then (gets|get) ms and (joins|join) the means. Undo takes it back.",
                               nullptr, use.trials));
    m_effect->setVisible(!m_effect->text().isEmpty());
    m_settled->setVisible(clock.settled.has_value());
    m_unsettle->setVisible(clock.settled.has_value());
    if (clock.settled)
        m_settled->setText(tr("Settled %1").arg(momentText(clock.settled->time)));
}

/// A reason is for one decision: it goes when another clock is shown or the decision changes, and stays while evidence
/// is chosen.
void SettlePanel::fillReason(const session::Clock& clock)
{
    const std::pair now(clock.id, clock.settled);
    if (m_filledReason == now)
        return;
    m_filledReason = now;
    m_reason->setText({});
    m_reason->setValue(clock.settled ? QString::fromStdString(clock.settled->reason) : QString());
}

void SettlePanel::fillDeclaration(const session::Clock& clock)
{
    const session::ClockEvidence* declared = declaredOf(clock);
    const std::pair now(clock.id, declared ? std::optional(declared->rate) : std::nullopt);
    if (m_filled == now)
        return; // what is being typed stays
    m_filled = now;
    m_declared->setText({});
    m_declared->setValue(declared
                             ? (declared->rate.exactRate ? QString::fromStdString(declared->rate.exactRate->toString())
                                                         : shortNumber(declared->rate.rate))
                             : QString());
    // The tolerance was stored as the standard uncertainty of its rectangle.
    const double tolerance = declared ? declared->rate.relativeUncertainty * std::sqrt(3.0) * 100 : usualTolerance;
    m_tolerance->setValue(QString::number(tolerance, 'g', 6));
    m_note->setValue(declared ? QString::fromStdString(declared->rate.note) : QString());
}

void SettlePanel::declare()
{
    if (!m_declared->commit() || !m_tolerance->commit() || !m_note->commit())
        return;
    const auto rate = typedRate(m_declared->value());
    if (!rate) {
        emit m_model.problem(tr("There is no rate to declare: type the rate that the camera was set to, like 240."));
        m_declared->setFocus(Qt::OtherFocusReason);
        return;
    }
    const double tolerance = typedNumber(m_tolerance->value()).value_or(usualTolerance) / 100;
    std::string note = m_note->value().toStdString();
    const session::Clock* clock = session::find(*m_model.document(), m_clock);
    if (const session::ClockEvidence* old = clock ? declaredOf(*clock) : nullptr;
        old && note == old->rate.note && *rate != old->rate.rate)
        note.clear(); // the program's own note on the old figure
    m_model.edit([&](const session::Document& d) { return session::declareRate(d, m_clock, *rate, tolerance, note); });
}

void SettlePanel::settle()
{
    const session::Clock* clock = session::find(*m_model.document(), m_clock);
    if (!clock || !evidenceOf(*clock, m_evidence) || !m_settle->isEnabled())
        return;
    m_reason->commit();
    m_model.edit([&](const session::Document& d) {
        return session::settleClock(d, m_clock, m_evidence, m_reason->value().toStdString());
    });
}

namespace {

/// What both files say keeps them apart; of sessions of earlier times nobody knows.
bool isUnlike(const session::Document& document, const session::Capture& capture, const session::Capture* on)
{
    return on && on->stored && capture.stored && on->pieces.empty() && capture.pieces.empty()
           && !analysis::likeness(document, capture.id, *on).differs.empty();
}

} // namespace

void SettlePanel::showCaptures(const session::Document& document, const session::Clock& clock)
{
    m_rows.clear();
    m_unsettled.clear();
    QStringList spoken;
    int uses = 0;
    const auto ordered = session::inOrder(document.captures);
    const auto runs = [&](const session::Capture* capture) { return session::runsOn(*capture, clock.id); };
    const auto first = std::ranges::find_if(ordered, runs);
    const session::Capture* on = first == ordered.end() ? nullptr : *first;
    for (const session::Capture* capture : ordered) {
        const session::Clock* other = session::find(document, capture->clock);
        Row row{capture->id, QString::fromStdString(capture->name), {}, session::runsOn(*capture, clock.id)};
        uses += row.uses;
        if (row.uses && !capture->pieces.empty())
            row.other = partOn(*capture, clock.id);
        if (!row.uses) {
            row.other = other ? QString::fromStdString(other->name) : tr("no clock");
            const bool isSettled = other && session::stateOf(*other) == session::ClockState::Settled;
            if (!isSettled && !isUnlike(document, *capture, on))
                m_unsettled.push_back(capture->id);
        }
        spoken << (row.uses ? (row.other.isEmpty() ? tr("%1, uses this clock").arg(row.name)
                                                   : tr("%1, uses this clock in %2").arg(row.name, row.other))
                            : tr("%1, on %2").arg(row.name, row.other));
        m_rows << row;
    }
    m_captures->setRows(spoken);
    m_captures->setFixedHeight(captureRow * std::clamp(static_cast<int>(m_rows.size()), 1, shownCaptures));
    m_capturePanel->setTrailing(tr("%1 of %2").arg(uses).arg(m_rows.size()));
    m_take->setText(tr("Tick the other (unsettled one|%n unsettled)", nullptr, int(m_unsettled.size())));
    m_take->setVisible(!m_unsettled.empty());
    if (const auto used = std::ranges::find_if(m_rows, &Row::uses); m_scrolledFor != clock.id && used != m_rows.end()) {
        m_captures->scrollToItem(m_captures->item(static_cast<int>(used - m_rows.begin())),
                                 QAbstractItemView::PositionAtTop);
        m_scrolledFor = clock.id; // afterwards the list stays where the analyst has it
    }
    showPieces(document);
}

/// Of captures in pieces not all goes on this clock: it is said which frames are read with what.
void SettlePanel::showPieces(const session::Document& document)
{
    QStringList said;
    int inPieces = 0;
    for (const session::CaptureId id : m_shared) {
        const session::Capture* capture = session::find(document, id);
        if (!capture || capture->pieces.empty() || !session::runsOn(*capture, m_clock))
            continue;
        if (++inPieces > toldInPieces)
            continue;
        QStringList pieces;
        for (const std::string& words : report::pieceWords(document, *capture))
            pieces << QString::fromStdString(words);
        said << tr("%1: %2.").arg(QString::fromStdString(capture->name), pieces.join(QStringLiteral("; ")));
    }
    if (inPieces > toldInPieces)
        said << tr("So with the pieces of %1 more.").arg(tr("%n capture(s)", nullptr, inPieces - toldInPieces));
    if (!said.isEmpty())
        said.prepend(tr("Each piece went on the clock that pieces of its speed have. Undo takes it back."));
    m_pieces->setText(said.join(QLatin1Char('\n')));
    m_pieces->setVisible(!said.isEmpty());
}

void SettlePanel::share(const std::vector<session::CaptureId>& captures)
{
    m_shared = captures;
    m_model.edit(
        [captures, clock = m_clock](const session::Document& d) { return session::shareClock(d, clock, captures); });
}

void SettlePanel::toggleCapture(int row)
{
    if (row < 0 || row >= m_rows.size())
        return;
    const session::CaptureId id = m_rows[row].id;
    if (m_rows[row].uses) {
        m_shared.clear();
        m_model.edit([id, clock = m_clock](const session::Document& d) { return session::splitClock(d, id, clock); });
        return;
    }
    share({id});
}

void SettlePanel::takeUnsettled() { share(m_unsettled); }

void SettlePanel::paintCapture(QPainter& painter, const QRect& rect, int row, bool) const
{
    const Row& shown = m_rows[row];
    const Tokens& t = tokens();
    const QRectF box(grid::padding, rect.center().y() - 6, 14, 14);
    painter.setPen(QPen(t.fieldEdge, 1));
    painter.setBrush(t.field);
    painter.drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), 2, 2);
    if (shown.uses)
        paintShape(painter, Shape::Check, box, t, t.text1);
    const QRect words = rect.adjusted(grid::padding + 24, 0, -grid::padding, 0);
    setLettering(painter, Text::Body, t.text1);
    const int nameWidth = std::min(painter.fontMetrics().horizontalAdvance(shown.name) + 2,
                                   shown.other.isEmpty() ? words.width() : words.width() * 3 / 5);
    painter.drawText(words, Qt::AlignLeft | Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(shown.name, Qt::ElideRight, nameWidth));
    setLettering(painter, Text::State, t.text2);
    painter.drawText(words, Qt::AlignRight | Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(shown.other, Qt::ElideRight, words.width() - nameWidth - 12));
}

} // namespace ui
