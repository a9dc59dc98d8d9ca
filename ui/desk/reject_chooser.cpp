#include "ui/desk/reject_chooser.h"
#include "ui/controls/row_list.h"
#include "ui/desk/table_head.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/look/look.h"

#include <QKeyEvent>
#include <QLineEdit>
#include <QPainter>
#include <QVBoxLayout>

namespace ui {

namespace {

using session::RejectReason;

struct Choice {
    RejectReason reason;
    char letter;
};

/// In the order of the protocol; a letter of the word where it is free.
constexpr Choice choices[] = {
    {RejectReason::Hidden, 'H'},        {RejectReason::NoReaction, 'N'},     {RejectReason::EarlyChange, 'E'},
    {RejectReason::WrongReaction, 'W'}, {RejectReason::DoublePress, 'D'},    {RejectReason::StaleState, 'S'},
    {RejectReason::FramesLost, 'L'},    {RejectReason::FramesRepeated, 'R'}, {RejectReason::ExposureStep, 'X'},
    {RejectReason::Ripple, 'I'},        {RejectReason::Torn, 'T'},           {RejectReason::Hitch, 'C'},
    {RejectReason::WrongSetUp, 'U'},    {RejectReason::ClipEdge, 'G'},       {RejectReason::Other, 'O'},
};
constexpr int usualReasons = 5;
constexpr int rejectChooserCount = static_cast<int>(std::size(choices)), rejectChooserRowHeight = 24;

} // namespace

RejectChooser::RejectChooser(QWidget& over, QWidget* parent) : DeskOverlay(over, parent)
{
    m_title = addTitle().left;
    m_hint = wrapping({}, Text::State, Tone::Secondary);
    addLine()->addWidget(m_hint);
    m_reasons = new RowList(rejectChooserRowHeight, [this](QPainter& painter, const QRect& rect, int row, bool) {
        paintRow(painter, rect, row);
    });
    m_reasons->setHairlines(false);
    m_reasons->setAccessibleName(tr("Reasons"));
    m_reasons->setFocusPolicy(Qt::NoFocus);
    for (const Choice& choice : choices)
        m_spoken << QStringLiteral("%1: %2, %3")
                        .arg(QLatin1Char(choice.letter))
                        .arg(QString::fromUtf8(session::label(choice.reason)),
                             QString::fromUtf8(session::definition(choice.reason)));
    m_reasons->setFitted(true);
    showReasons(false);
    column().addWidget(m_reasons);
    m_note = new QLineEdit;
    m_note->setPlaceholderText(tr("note (Tab); needed for other"));
    m_note->setAccessibleName(tr("Note on the reject"));
    m_note->installEventFilter(this);
    addLine()->addWidget(m_note);
    connect(m_reasons, &QListWidget::itemClicked, this, [this](QListWidgetItem* item) { take(m_reasons->row(item)); });
}

void RejectChooser::open(const QString& title, bool rejected)
{
    m_rejected = rejected;
    m_title->setText(title);
    m_hint->setText(rejected ? tr("A letter and Enter change the reason, K keeps the trial after all, Esc leaves it as "
                                  "it is. Space: all reasons.")
                             : tr("A letter and Enter reject, Esc leaves it as it is. Space: all reasons. Reject by "
                                  "what you see, never by the delay."));
    m_note->clear();
    m_typed.clear();
    showReasons(false);
    appear(*this);
}

/// At the lower right of what it lies over, as wide as the longest meaning.
QRect RejectChooser::placeIn(const QRect& over) const
{
    int widest = 0;
    const QFontMetrics metrics(ui::font(Text::State));
    for (const Choice& choice : choices)
        widest = std::max(widest, metrics.horizontalAdvance(QString::fromUtf8(session::definition(choice.reason))));
    const int width = std::min(widest + 160 + 2 * grid::padding, over.width());
    const int height = std::min(
        layout()->heightForWidth(width) > 0 ? layout()->heightForWidth(width) : sizeHint().height(), over.height());
    return {over.right() - width + 1, over.bottom() - height + 1, width, height};
}

void RejectChooser::showReasons(bool all)
{
    m_reasons->setRows(all ? m_spoken : m_spoken.mid(0, usualReasons));
    m_reasons->selectRow(0);
}

/// One letter is a reason's own; more are the beginning of its name, or else words of the analyst's.
void RejectChooser::typed(const QString& letter)
{
    m_typed += letter;
    for (int row = 0; row < rejectChooserCount; ++row) {
        const bool own = m_typed.size() == 1 && m_typed.at(0).toUpper() == QLatin1Char(choices[row].letter);
        const bool named =
            m_typed.size() > 1
            && QString::fromUtf8(session::label(choices[row].reason)).startsWith(m_typed, Qt::CaseInsensitive);
        if (!own && !named)
            continue;
        if (row >= m_reasons->count()) {
            showReasons(true);
            place();
        }
        m_reasons->selectRow(row);
        if (choices[row].reason == RejectReason::Other)
            take(row); // which asks for a note
        return;
    }
    showReasons(true);
    place();
    m_reasons->selectRow(rejectChooserCount - 1);
    m_note->setText(m_typed);
    m_note->setFocus();
}

void RejectChooser::take(int row)
{
    if (row < 0 || row >= rejectChooserCount)
        return;
    const RejectReason reason = choices[row].reason;
    const QString note = m_note->text().trimmed();
    if (reason == RejectReason::Other && note.isEmpty()) {
        m_reasons->selectRow(row);
        m_note->setFocus();
        m_hint->setText(tr("Say in a few words what the reason is, then Enter."));
        return;
    }
    leave();
    emit chosen(reason, note);
}

bool RejectChooser::key(const QKeyEvent& event)
{
    switch (event.key()) {
    case Qt::Key_Escape: leave(); return true;
    case Qt::Key_Return:
    case Qt::Key_Enter: take(m_reasons->currentRow()); return true;
    case Qt::Key_Up: m_reasons->selectRow(std::max(0, m_reasons->currentRow() - 1)); return true;
    case Qt::Key_Down: m_reasons->selectRow(std::min(m_reasons->count() - 1, m_reasons->currentRow() + 1)); return true;
    default: return false;
    }
}

void RejectChooser::keyPressEvent(QKeyEvent* event)
{
    if (key(*event))
        return;
    if (event->key() == Qt::Key_Space && m_typed.isEmpty()) {
        showReasons(m_reasons->count() == usualReasons);
        place();
        return;
    }
    if (event->key() == Qt::Key_Backspace) {
        m_typed.clear();
        m_reasons->selectRow(0);
        return;
    }
    if (event->key() == Qt::Key_K && m_rejected && m_typed.isEmpty()) {
        leave();
        emit keepAsked();
        return;
    }
    if (const QString text = event->text(); !text.isEmpty() && text.at(0).isPrint())
        typed(text);
}

/// Tab stays within it: reasons and note.
bool RejectChooser::focusNextPrevChild(bool)
{
    if (m_note->hasFocus())
        setFocus();
    else
        m_note->setFocus();
    return true;
}

bool RejectChooser::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == m_note && event->type() == QEvent::ShortcutOverride) {
        event->accept();
        return true;
    }
    if (watched == m_note && event->type() == QEvent::KeyPress)
        return key(*static_cast<QKeyEvent*>(event));
    return DeskOverlay::eventFilter(watched, event);
}

void RejectChooser::paintRow(QPainter& painter, const QRect& rect, int row) const
{
    const Choice& choice = choices[row];
    const Tokens& t = tokens();
    constexpr int wordLeft = 44, meaningLeft = 160;
    paintLetterCap(painter, QRectF(grid::padding, rect.top(), 24, rect.height()), QString(QLatin1Char(choice.letter)));
    painter.setFont(ui::font(Text::Body, QFont::DemiBold));
    painter.setPen(t.text1);
    painter.drawText(QRect(wordLeft, rect.top(), meaningLeft - wordLeft, rect.height()), Qt::AlignVCenter,
                     QString::fromUtf8(session::label(choice.reason)));
    painter.setFont(ui::font(Text::State));
    painter.setPen(t.text2);
    paintLine(painter, rect.adjusted(meaningLeft, 0, -grid::padding, 0),
              QString::fromUtf8(session::definition(choice.reason)));
}

} // namespace ui
