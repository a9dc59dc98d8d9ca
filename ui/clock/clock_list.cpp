#include "ui/clock/clock_list.h"
#include "ui/clock/clock_words.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"

#include <QGridLayout>
#include <QPainter>

namespace ui {
namespace {

constexpr int rowHeight = 70;

struct Meaning {
    session::ClockState state;
    const char* words;
};
constexpr Meaning meanings[] = {
    {session::ClockState::Settled, QT_TRANSLATE_NOOP("ui::ClockList", "you chose; ms are shown")},
    {session::ClockState::Proposed, QT_TRANSLATE_NOOP("ui::ClockList", "evidence agrees; camera frames only")},
    {session::ClockState::InDispute, QT_TRANSLATE_NOOP("ui::ClockList", "evidence disagrees; camera frames only")},
    {session::ClockState::Unknown, QT_TRANSLATE_NOOP("ui::ClockList", "no evidence; camera frames only")},
};

} // namespace

ClockList::ClockList(QWidget* parent) : QWidget(parent)
{
    auto* column = columnIn(this, 0);
    auto* clocks = new Panel(tr("Clocks"));
    clocks->setTrailing(tr("one camera in one mode"));
    clocks->body()->setContentsMargins(0, 0, 0, 0);
    m_list = new RowList(
        rowHeight, [this](QPainter& p, const QRect& r, int row, bool selected) { paintRow(p, r, row, selected); });
    m_list->setAccessibleName(tr("Clocks"));
    clocks->body()->addWidget(m_list);
    column->addWidget(clocks, 1);
    connect(m_list, &RowList::rowChosen, this, [this](int row) {
        if (row >= 0 && row < m_rows.size())
            emit chosen(m_rows[row].id);
    });

    auto* states = new Panel(tr("What the states mean"));
    states->setHairline(false);
    auto* grid = new QGridLayout;
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setHorizontalSpacing(12);
    grid->setVerticalSpacing(6);
    grid->setColumnStretch(1, 1);
    int row = 0;
    for (const Meaning& meaning : meanings) {
        grid->addWidget(new ShapeLabel(stateShape(meaning.state), stateWord(meaning.state), Text::State, Tone::Primary),
                        row, 0, Qt::AlignTop);
        grid->addWidget(wrapping(tr(meaning.words), Text::State, Tone::Secondary), row++, 1, Qt::AlignTop);
    }
    states->body()->addLayout(grid);
    column->addWidget(states);
}

void ClockList::show(const session::Document& document, session::ClockId selected)
{
    m_rows.clear();
    QStringList spoken;
    int selectedRow = -1;
    for (const auto& [id, clock] : document.clocks) {
        const session::ClockEvidence* settled = session::settledEvidence(*clock);
        const ClockUse use = clockUse(document, *clock);
        if (id == selected)
            selectedRow = static_cast<int>(m_rows.size());
        m_rows << Row{id, QString::fromStdString(clock->name),
                      settled ? tr("%1 a second").arg(rateOf(*settled)) : tr("camera frames only"),
                      tr("%1, %2").arg(counted(use.captures, tr("capture")),
                                       use.trials == 0 ? tr("no trials") : counted(use.trials, tr("trial"))),
                      session::stateOf(*clock)};
        spoken << tr("%1, %2").arg(m_rows.back().name, stateWord(m_rows.back().state));
    }
    m_list->setRows(spoken);
    m_list->selectRow(selectedRow);
}

void ClockList::paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const
{
    const Row& shown = m_rows[row];
    const Tokens& t = tokens();
    const QRect inside = rect.adjusted(grid::padding, 8, -grid::padding, -8);
    setLettering(painter, Text::Body, t.text1, QFont::DemiBold);
    drawShortened(painter, inside, Qt::AlignTop | Qt::AlignLeft, shown.name);
    const QRect second(inside.left(), inside.top() + 19, inside.width(), 18);
    const bool dispute = shown.state == session::ClockState::InDispute;
    paintShape(painter, stateShape(shown.state), QRectF(second.left(), second.top(), 12, second.height()));
    setLettering(painter, Text::State, dispute ? t.attention : t.text1);
    painter.drawText(second.adjusted(18, 0, 0, 0), Qt::AlignVCenter | Qt::AlignLeft, stateWord(shown.state));
    painter.setPen(t.text1);
    if (shown.state == session::ClockState::Settled)
        painter.setFont(ui::font(Text::State, QFont::DemiBold));
    else
        painter.setPen(t.text2);
    painter.drawText(second, Qt::AlignVCenter | Qt::AlignRight, shown.rate);
    setLettering(painter, Text::Caption, selected ? t.text2 : t.text3);
    painter.drawText(inside, Qt::AlignBottom | Qt::AlignLeft, shown.captures);
}

} // namespace ui
