#include "ui/clock/pieces_panel.h"
#include "ui/clock/clock_captures.h"
#include "ui/clock/clock_words.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"

#include <QHBoxLayout>
#include <QPainter>
#include <QPushButton>
#include <algorithm>

namespace ui {
namespace {

constexpr int piecesPanelLabelWidth = 68, pieceRow = 28;

QString stepsOf(const session::Piece& piece)
{
    if (piece.stepSeconds > 0) {
        const QString step = QString::number(piece.stepSeconds * 1000, 'g', 4);
        return piece.slowedBy > 1
                   ? PiecesPanel::tr("stamps %1 ms apart, tag: %2 times slower").arg(step).arg(piece.slowedBy)
                   : PiecesPanel::tr("stamps %1 ms apart").arg(step);
    }
    return piece.fromStamps ? PiecesPanel::tr("stamps at changing distance") : PiecesPanel::tr("begun by you");
}

} // namespace

PiecesPanel::PiecesPanel(SessionModel& model, QWidget* parent)
    : Panel(tr("Pieces of different speed"), parent), m_model(model), m_captures(called("pieceCapture", new ChoiceBox)),
      m_words(wrapping({}, Text::State, Tone::Secondary)), m_frame(new FrameField(model, "pieceFrame")),
      m_actions(new QWidget)
{
    auto* form = new FormGrid(piecesPanelLabelWidth);
    form->addRow(tr("Capture"), m_captures);
    body()->addWidget(form);
    body()->addWidget(m_words);
    m_list = new RowList(pieceRow,
                         [this](QPainter& p, const QRect& r, int row, bool chosen) { paintRow(p, r, row, chosen); });
    m_list->setObjectName(QStringLiteral("pieces"));
    m_list->setAccessibleName(tr("Pieces of the capture"));
    m_list->setFitted(true);
    m_list->setPassedOn({Qt::Key_Return, Qt::Key_Enter, Qt::Key_PageUp, Qt::Key_PageDown, Qt::Key_Left, Qt::Key_Right});
    body()->addWidget(m_list);

    auto* acts = new QHBoxLayout(m_actions);
    acts->setContentsMargins(0, 4, 0, 0);
    acts->setSpacing(8);
    m_remove = compactButton(tr("Take boundary out"), "removePiece",
                             tr("The chosen piece goes with the one before it, on that one's clock"));
    m_here = compactButton(tr("Put on this clock"), "pieceHere",
                           tr("The chosen piece was captured at the rate of the clock that is shown"));
    m_own = compactButton(tr("Clock of its own"), "pieceOwn",
                          tr("The chosen piece gets a new clock of which nothing is known yet"));
    m_even = compactButton(tr("Captured evenly"), "removePieces",
                           tr("All boundaries go: the camera ran evenly and only playback changes speed"));
    for (QPushButton* each : {m_remove, m_here, m_own})
        acts->addWidget(each);
    acts->addStretch(1);
    acts->addWidget(m_even);
    body()->addWidget(m_actions);
    auto* add = new QHBoxLayout;
    add->setSpacing(8);
    add->addWidget(new Label(tr("Another speed begins at"), Text::State, Tone::Secondary));
    m_frame->edit().setFixedWidth(96);
    add->addWidget(m_frame);
    m_begin =
        compactButton(tr("Begin a piece"), "addPiece", tr("From that frame on the capture gets a clock of its own"));
    add->addWidget(m_begin);
    add->addStretch(1);
    body()->addLayout(add);

    connect(m_captures, &ChoiceBox::chosen, this, [this](qint64 id) {
        m_capture = session::CaptureId{id};
        showPieces();
    });
    connect(m_list, &RowList::rowChosen, this, [this] { showPieces(); });
    connect(m_list, &QListWidget::itemDoubleClicked, this, [this](QListWidgetItem* item) {
        if (const int row = m_list->row(item); m_rows.value(row).clock)
            emit clockAsked(m_rows[row].clock);
    });
    const auto onPiece = [this](auto make) {
        return [this, make] {
            const auto document = m_model.document();
            const session::Capture* capture = session::find(*document, m_capture);
            if (const session::Piece* piece = capture ? selected(*capture) : nullptr)
                m_model.edit([this, make, first = piece->firstFrame](const session::Document& d) {
                    return make(d, m_capture, first, m_clock);
                });
        };
    };
    connect(m_remove, &QPushButton::clicked, this,
            onPiece([](const auto& d, auto id, auto first, auto) { return session::removePiece(d, id, first); }));
    connect(m_here, &QPushButton::clicked, this, onPiece([](const auto& d, auto id, auto first, auto clock) {
                return session::setPieceClock(d, id, first, clock);
            }));
    connect(m_own, &QPushButton::clicked, this,
            onPiece([](const auto& d, auto id, auto first, auto) { return session::givePieceClock(d, id, first); }));
    connect(m_even, &QPushButton::clicked, this, [this] {
        m_model.edit([this](const session::Document& d) { return session::removePieces(d, m_capture); });
    });
    connect(m_begin, &QPushButton::clicked, this, &PiecesPanel::begin);
    connect(&m_frame->edit(), &CommitEdit::entered, this, &PiecesPanel::begin);
}

void PiecesPanel::setFrameInView(AskFrameInView ask) { m_frame->setFrameInView(std::move(ask)); }

void PiecesPanel::show(session::ClockId clock)
{
    m_clock = clock;
    fill(*m_model.document());
    showPieces();
}

/// Captures in pieces first: they are what there is to look at.
void PiecesPanel::fill(const session::Document& document)
{
    Captures captures = capturesOn(document, m_clock);
    const auto even = std::ranges::stable_partition(captures, [](const auto* c) { return !c->pieces.empty(); });
    const auto inPieces = std::ssize(captures) - std::ssize(even);
    offerCaptures(*m_captures, captures, m_capture);
    setTrailing(inPieces == 0 ? tr("none on this clock")
                              : tr("%1 in pieces").arg(tr("%n capture(s)", nullptr, int(inPieces))));
}

const session::Piece* PiecesPanel::selected(const session::Capture& capture) const
{
    const int row = m_list->currentRow();
    return row >= 0 && row < std::ssize(capture.pieces) ? &capture.pieces[static_cast<std::size_t>(row)] : nullptr;
}

void PiecesPanel::showPieces()
{
    const auto document = m_model.document();
    const session::Capture* capture = session::find(*document, m_capture);
    m_frame->setCapture(m_capture);
    m_rows.clear();
    QStringList spoken;
    if (capture)
        for (const session::Piece& piece : capture->pieces) {
            const session::Clock* clock = session::find(*document, piece.clock);
            Row row{piece.firstFrame, lastFrame(*capture, piece),
                    piece.clock,      clock ? QString::fromStdString(clock->name) : tr("no clock: no rate holds there"),
                    stepsOf(piece),   clock ? session::stateOf(*clock) : session::ClockState::Unknown};
            spoken << tr("Frames %1 to %2, %3, %4, %5")
                          .arg(row.first.value)
                          .arg(row.last.value)
                          .arg(row.steps, row.name, clock ? stateWord(row.state) : QString());
            m_rows << row;
        }
    m_list->setRows(spoken);
    m_list->setVisible(!m_rows.isEmpty());
    m_actions->setVisible(!m_rows.isEmpty());
    m_begin->setEnabled(capture);
    m_words->setText(!capture ? tr("No capture uses this clock.")
                     : m_rows.isEmpty()
                         ? tr("One speed throughout, as far as is known. Where a slow-motion clip dropped frames "
                              "outside its slow part, stamps don't show it: begin a piece there.")
                         : tr("Each piece is read with its own clock; a trial across a boundary gives no delay. If the "
                              "camera ran evenly and only playback changes, take the boundaries out."));
    const session::Piece* piece = capture ? selected(*capture) : nullptr;
    m_remove->setEnabled(piece && piece->firstFrame.value > 0);
    m_here->setEnabled(piece && piece->clock != m_clock);
    m_own->setEnabled(piece);
}

void PiecesPanel::begin()
{
    if (!m_frame->edit().commit())
        return;
    const auto frame = m_frame->frame();
    if (!frame) {
        emit m_model.problem(
            tr("There is no frame to begin at: type the number of the first frame of the other speed."));
        m_frame->edit().setFocus(Qt::OtherFocusReason);
        return;
    }
    m_model.edit([this, frame](const session::Document& d) { return session::addPiece(d, m_capture, *frame); });
}

void PiecesPanel::paintRow(QPainter& painter, const QRect& rect, int row, bool) const
{
    const Row& shown = m_rows[row];
    const Tokens& t = tokens();
    const int steps = rect.left() + 140, name = steps + 256;
    setLettering(painter, Text::Body, t.text1);
    painter.drawText(rect, Qt::AlignLeft | Qt::AlignVCenter,
                     tr("frames %1 to %2").arg(shown.first.value).arg(shown.last.value));
    setLettering(painter, Text::State, t.text2);
    painter.drawText(QRect(steps, rect.top(), name - steps - 8, rect.height()), Qt::AlignLeft | Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(shown.steps, Qt::ElideRight, name - steps - 8));
    int left = name;
    if (shown.clock) {
        paintShape(painter, stateShape(shown.state), QRectF(left, rect.top(), 12, rect.height()));
        left += 18;
    }
    painter.drawText(QRect(left, rect.top(), rect.right() - left, rect.height()), Qt::AlignLeft | Qt::AlignVCenter,
                     painter.fontMetrics().elidedText(shown.name, Qt::ElideMiddle, rect.right() - left));
}

} // namespace ui
