#include "ui/desk/trial_list.h"
#include "core/analysis/figures.h"
#include "ui/controls/row_list.h"
#include "ui/desk/reading_progress.h"
#include "ui/look/shapes.h"

#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int rowHeight = 20, headerHeight = 22, left = 12;

Shape shapeOf(TrialState state)
{
    switch (state) {
    case TrialState::HalfRead: return Shape::TrialHalfRead;
    case TrialState::ToAccept:
    case TrialState::Read:
    case TrialState::NoReaction: return Shape::TrialRead;
    case TrialState::InDoubt: return Shape::TrialDoubt;
    case TrialState::ToSettle: return Shape::TrialToSettle;
    case TrialState::Rejected: return Shape::TrialRejected;
    }
    return Shape::TrialProposed;
}

} // namespace

TrialList::TrialList(SessionModel& model, DeskState& state, QWidget* parent)
    : QWidget(parent), m_model(model), m_state(state)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, headerHeight, 0, 0);
    m_list = new RowList(rowHeight, [this](QPainter& painter, const QRect& rect, int row, bool selected) {
        paintRow(painter, rect, row, selected);
    });
    m_list->setHairlines(false);
    m_list->setFocusPolicy(Qt::TabFocus);
    m_list->setAccessibleName(tr("Trials"));
    column->addWidget(m_list);
    const auto choose = [this](int row) {
        if (row < 0 || row >= m_rows.size())
            return;
        if (m_rows[row].id)
            emit chosen(m_rows[row].id);
        else
            emit frameChosen(m_rows[row].frame);
    };
    connect(m_list, &RowList::rowChosen, this, choose);
    connect(m_list, &QListWidget::itemClicked, this, [this, choose](QListWidgetItem* item) {
        if (const Row row = m_rows.value(m_list->row(item)); !row.id || row.id == m_state.trialId())
            choose(m_list->row(item)); // back to the press of the trial that is current already
    });
    connect(&state, &DeskState::trialChanged, this, &TrialList::refresh);
    connect(&state, &DeskState::frameChanged, this, &TrialList::selectCurrent);
    connect(&state, &DeskState::delaysShownChanged, this, &TrialList::refresh);
    refresh();
}

void TrialList::setProposed(const QVector<qint64>& presses)
{
    if (presses == m_proposed)
        return;
    m_proposed = presses;
    refresh();
}

int TrialList::contentHeight() const { return headerHeight + static_cast<int>(m_rows.size()) * rowHeight; }

void TrialList::refresh()
{
    const session::Document& document = *m_model.document();
    m_rows.clear();
    QStringList spoken;
    std::vector<analysis::TrialOutcome> outcomes;
    if (m_state.delaysShown() && m_state.capture())
        outcomes = analysis::trialOutcomes(document, m_state.captureId());
    std::size_t place = 0;
    for (const session::Trial* trial : session::trialsOf(document, m_state.captureId())) {
        const TrialState state = stateOf(*trial);
        const session::Reading* reading = session::countingReading(*trial);
        Row row;
        row.id = trial->id;
        row.number = QString::number(m_rows.size() + 1);
        row.frame = reading && reading->press ? reading->press->frame.value : 0;
        if (reading && reading->press)
            row.press = QString::number(reading->press->frame.value);
        if (reading && reading->response)
            row.response = QString::number(reading->response->frame.value);
        if (!outcomes.empty())
            if (const auto& delay = outcomes[place++].delay)
                row.delay = QString::fromStdString(analysis::delayFigure(*delay).delay);
        row.word = word(state);
        row.shape = shapeOf(state);
        row.attention = needsAttention(state);
        row.struck = state == TrialState::Rejected;
        m_rows << row;
    }
    for (const qint64 frame : std::as_const(m_proposed)) {
        Row row;
        row.frame = frame;
        row.press = QString::number(frame);
        row.word = tr("proposed");
        row.shape = Shape::TrialProposed;
        m_rows << row;
    }
    std::ranges::stable_sort(m_rows, {}, &Row::frame);
    for (const Row& row : std::as_const(m_rows))
        spoken << (row.id ? tr("trial %1, press %2, response %3, %4").arg(row.number, row.press, row.response, row.word)
                          : tr("proposed press %1").arg(row.press));
    m_list->setRows(spoken);
    selectCurrent();
    update();
}

/// The trial at hand, else the proposed press in view.
void TrialList::selectCurrent()
{
    const auto current = std::ranges::find_if(m_rows, [this](const Row& row) {
        return row.id == m_state.trialId() && (row.id || row.frame == m_state.frame().value);
    });
    const int at = current == m_rows.end() ? -1 : static_cast<int>(current - m_rows.begin());
    if (at == m_list->currentRow())
        return;
    m_list->selectRow(at);
    if (at >= 0)
        m_list->scrollToItem(m_list->item(at));
}

/// Wide columns have room for press, response and delay; narrow ones give up the response when delays are shown.
TrialList::Columns TrialList::columns() const
{
    const bool wide = width() >= 300, delays = m_state.delaysShown();
    if (wide)
        return {44, 122, 183, delays ? 232 : -1, delays ? 246 : 208};
    return {44, 108, delays ? -1 : 160, delays ? 152 : -1, delays ? 164 : 176};
}

void TrialList::paintEvent(QPaintEvent*)
{
    if (m_rows.isEmpty())
        return;
    const Columns at = columns();
    const Tokens& t = tokens();
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setFont(ui::font(Text::Caption));
    painter.setPen(t.text2);
    const auto heading = [&](int right, const QString& text, std::optional<Shape> shape) {
        if (right < 0)
            return;
        const int textWidth = painter.fontMetrics().horizontalAdvance(text);
        painter.drawText(right - textWidth, 15, text);
        if (shape)
            paintShape(painter, *shape, QRectF(right - textWidth - 15, 5, 11, 11));
    };
    heading(at.pressRight, tr("press"), Shape::Press);
    heading(at.responseRight, tr("resp."), Shape::Response);
    heading(at.delayRight, tr("ms"), {});
    painter.drawText(at.state, 15, tr("state"));
}

void TrialList::paintRow(QPainter& painter, const QRect& rect, int index, bool selected) const
{
    if (index >= m_rows.size())
        return;
    const Row& row = m_rows[index];
    const Columns at = columns();
    const Tokens& t = tokens();
    painter.setFont(ui::font(Text::State));
    const auto rightAligned = [&](int right, const QString& text) {
        if (right >= 0)
            painter.drawText(QRect(0, rect.top(), right, rect.height()), Qt::AlignRight | Qt::AlignVCenter, text);
    };
    painter.setPen(t.text2);
    painter.drawText(QRect(left, rect.top(), 28, rect.height()), Qt::AlignVCenter, row.number);
    paintShape(painter, row.shape, QRectF(at.glyph - 4, rect.top(), 24, rect.height()));
    painter.setPen(row.id ? t.text1 : t.text2);
    painter.setFont(ui::font(Text::Body));
    rightAligned(at.pressRight, row.press);
    rightAligned(at.responseRight, row.response);
    if (row.struck) {
        QFont struck = painter.font();
        struck.setStrikeOut(true);
        painter.setFont(struck);
        painter.setPen(t.text2);
    }
    rightAligned(at.delayRight, row.delay);
    painter.setFont(ui::font(Text::State, selected ? QFont::DemiBold : QFont::Normal));
    painter.setPen(row.attention ? t.attention : selected ? t.text1 : t.text2);
    painter.drawText(QRect(at.state, rect.top(), rect.width() - at.state, rect.height()), Qt::AlignVCenter, row.word);
}

} // namespace ui
