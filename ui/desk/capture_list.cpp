#include "ui/desk/capture_list.h"
#include "ui/controls/row_list.h"
#include "ui/desk/incoming_footage_row.h"
#include "ui/desk/reading_progress.h"
#include "ui/look/key_cap.h"
#include "ui/look/lettering.h"
#include "ui/desk/table_head.h"

#include <QMouseEvent>
#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int rowHeight = 24, nameLeft = 12, stateWidth = 82;

struct ClockWord {
    Shape shape;
    QString word;
};

ClockWord clockWord(const session::Document& document, const session::Capture& capture)
{
    // Of a capture in pieces: the first of its clocks that isn't settled, else any.
    const session::Clock* clock = session::find(document, capture.clock);
    for (const session::ClockId id : session::clocksOf(capture))
        if (const session::Clock* other = session::find(document, id);
            session::stateOf(*other) != session::ClockState::Settled) {
            clock = other;
            break;
        }
    switch (clock ? session::stateOf(*clock) : session::ClockState::Unknown) {
    case session::ClockState::Settled: return {Shape::ClockSettled, CaptureList::tr("settled")};
    case session::ClockState::Proposed: return {Shape::ClockProposed, CaptureList::tr("proposed")};
    case session::ClockState::InDispute: return {Shape::ClockDispute, CaptureList::tr("in dispute")};
    case session::ClockState::Unknown: break;
    }
    return {Shape::ClockUnknown, CaptureList::tr("unknown")};
}

} // namespace

CaptureList::CaptureList(SessionModel& model, DeskState& state, Captures& captures, QWidget* parent)
    : QWidget(parent), m_model(model), m_state(state), m_captures(captures)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    m_list = new RowList(rowHeight, [this](QPainter& painter, const QRect& rect, int row, bool selected) {
        paintRow(painter, rect, row, selected);
    });
    m_list->setHairlines(false);
    m_list->setFocusPolicy(Qt::TabFocus);
    m_list->setAccessibleName(tr("Captures"));
    m_list->setContextMenuPolicy(Qt::CustomContextMenu);
    m_list->viewport()->installEventFilter(this);
    column->addWidget(m_list, 1);
    m_incoming = new QWidget;
    auto* incoming = new QVBoxLayout(m_incoming);
    incoming->setContentsMargins(0, 0, 0, 0);
    incoming->setSpacing(0);
    column->addWidget(m_incoming);

    connect(m_list, &RowList::rowChosen, this, [this](int row) {
        if (row >= 0 && row < m_rows.size())
            emit chosen(m_rows[row].id);
    });
    connect(m_list, &QWidget::customContextMenuRequested, this, [this](const QPoint& place) {
        const int row = m_list->row(m_list->itemAt(place));
        if (row >= 0 && row < m_rows.size())
            emit menuAsked(m_rows[row].id, m_list->viewport()->mapToGlobal(place));
    });
    connect(&model, &SessionModel::changed, this, &CaptureList::refresh);
    connect(&state, &DeskState::captureChanged, this, &CaptureList::refresh);
    for (const auto signal : {&Captures::changed, &Captures::progressChanged, &Captures::checkedChanged})
        connect(&captures, signal, this, &CaptureList::refresh);
    connect(&captures, &Captures::incomingChanged, this, &CaptureList::refreshIncoming);
    refresh();
}

int CaptureList::contentHeight() const
{
    int height = static_cast<int>(m_rows.size()) * rowHeight;
    for (const IncomingFootageRow* row : m_incomingRows)
        height += row->height();
    return height;
}

void CaptureList::refresh()
{
    const session::Document& document = *m_model.document();
    m_rows.clear();
    QStringList spoken;
    int current = -1;
    const auto configurations = session::inOrder(document.configurations);
    std::map<session::RunId, int> onRun;
    for (const auto& [id, capture] : document.captures)
        ++onRun[capture->run];
    for (const session::Capture* capture : session::inOrder(document.captures)) {
        Row row;
        row.id = capture->id;
        row.name = QString::fromStdString(capture->name);
        const auto place = std::ranges::find(configurations, capture->configuration, &session::Configuration::id);
        if (place != configurations.end())
            row.cap = QString::number(place - configurations.begin() + 1);
        const ReadingCount count = countOf(document, capture->id);
        row.counted = count.trials > 0 || count.proposed > 0;
        row.shortCount = tr("%1 of %2").arg(count.read).arg(count.read + count.toRead());
        row.count = capture->lampReference ? tr("reference")
                    : row.counted          ? tr("%1 read").arg(row.shortCount)
                                           : tr("no trials");
        const ClockWord clock = clockWord(document, *capture);
        row.shape = clock.shape;
        row.word = clock.word;
        row.attention = clock.shape == Shape::ClockDispute;
        const Captures::Status status = m_captures.status(*capture);
        const session::Run* run = session::find(document, capture->run);
        const QString ofRun = capture->lampReference ? tr("Lamp reference: no trials to read.")
                              : run                  ? tr("Run: %1").arg(QString::fromStdString(run->name))
                                                     : tr("No run yet: Ctrl T makes each capture one.");
        const bool isShared = run && onRun[run->id] > 1;
        if (isShared) // a run of its own goes without saying
            row.run = QString::fromStdString(run->name);
        else if (!run && !capture->lampReference && !document.runs.empty())
            row.run = tr("no run");
        row.toolTip = QStringList{row.name, ofRun, status.sentence}.join(QLatin1Char('\n')).trimmed();
        switch (status.state) {
        case FootageState::Confirmed: break;
        case FootageState::Viewable:
            if (status.checked) {
                if (*status.checked > 0) // those that wait for their turn keep their clock's word
                    row.checked = tr("%1 % checked").arg(*status.checked);
                row.toolTip = tr("%1\nEvery frame is decoded once to check its number: %2 % so far. It can be read "
                                 "meanwhile. Clock: %3.")
                                  .arg(row.toolTip)
                                  .arg(*status.checked)
                                  .arg(clock.word);
            }
            break;
        case FootageState::Found:
        case FootageState::Scanned:
            if (status.isUnderWay)
                row.progress = status.progress;
            break;
        case FootageState::Absent:
        case FootageState::Changed:
        case FootageState::Failed:
            row.shape = Shape::Warning;
            row.word = tr("relink");
            row.attention = row.relink = true;
            break;
        }
        if (capture->id == m_state.captureId())
            current = static_cast<int>(m_rows.size());
        spoken << QStringList{row.name, row.count, row.checked.isEmpty() ? row.word : row.checked}.join(
            QLatin1String(", "));
        m_rows << row;
    }
    m_list->setRows(spoken);
    m_list->selectRow(current);
    for (int i = 0; i < m_rows.size(); ++i)
        m_list->item(i)->setToolTip(m_rows[i].toolTip);
    updateGeometry();
}

void CaptureList::refreshIncoming()
{
    const auto items = m_captures.incoming();
    while (m_incomingRows.size() > items.size()) {
        IncomingFootageRow* row = m_incomingRows.takeLast();
        row->hide();
        row->deleteLater(); // its own Cancel may have led here
    }
    while (m_incomingRows.size() < items.size()) {
        auto* row = new IncomingFootageRow;
        connect(row, &IncomingFootageRow::cancelAsked, &m_captures, &Captures::cancel);
        m_incoming->layout()->addWidget(row);
        m_incomingRows << row;
    }
    for (int i = 0; i < items.size(); ++i)
        m_incomingRows[i]->show(items[i]);
    m_incoming->setVisible(!items.isEmpty());
    updateGeometry();
}

void CaptureList::paintRow(QPainter& painter, const QRect& rect, int index, bool selected) const
{
    if (index >= m_rows.size())
        return;
    const Row& row = m_rows[index];
    const Tokens& t = tokens();
    const bool wide = rect.width() >= 300;
    const int stateLeft = rect.width() - stateWidth, countLeft = stateLeft - (wide ? 82 : 48), capLeft = countLeft - 28;
    const QString count = wide || !row.counted ? row.count : row.shortCount;

    painter.setFont(ui::font(Text::Body, selected ? QFont::DemiBold : QFont::Normal));
    painter.setPen(t.text1);
    const auto room = [&](int left, int right) { return QRect(left, rect.top(), right - left, rect.height()); };
    const QRect nameRoom = room(nameLeft, capLeft - 4);
    const int nameEnd = nameLeft + 8 + painter.fontMetrics().horizontalAdvance(row.name);
    paintLine(painter, nameRoom, row.name, Qt::ElideMiddle);
    painter.setFont(ui::font(Text::Caption));
    painter.setPen(t.text2);
    if (!row.run.isEmpty() && nameRoom.right() - nameEnd >= 24)
        paintLine(painter, room(nameEnd, capLeft - 4), row.run, Qt::ElideMiddle);
    if (!row.cap.isEmpty())
        paintKeyCaps(painter, QRectF(capLeft, rect.top() + 2, 22, rect.height() - 4), {row.cap});
    painter.setFont(ui::font(Text::Caption));
    painter.setPen(t.text2);
    painter.drawText(room(countLeft, stateLeft - 4), Qt::AlignVCenter, count);

    if (row.progress >= 0) {
        paintShare(painter, QRectF(stateLeft, rect.center().y() - 1, 70, 3), row.progress);
        return;
    }
    if (!row.checked.isEmpty()) { // needs the shape's room
        drawShortened(painter, room(stateLeft, rect.width()), Qt::AlignVCenter, row.checked);
        return;
    }
    paintShape(painter, row.shape, QRectF(stateLeft, rect.top(), 14, rect.height()));
    QFont state = ui::font(Text::Caption, row.attention ? QFont::DemiBold : QFont::Normal);
    state.setUnderline(row.relink);
    painter.setFont(state);
    painter.setPen(row.attention ? t.attention : t.text2);
    drawShortened(painter, room(stateLeft + 18, rect.width() - 4), Qt::AlignVCenter, row.word);
}

bool CaptureList::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == m_list->viewport() && event->type() == QEvent::MouseButtonRelease) {
        const auto* mouse = static_cast<QMouseEvent*>(event);
        const QPoint place = mouse->position().toPoint();
        if (QListWidgetItem* item = m_list->itemAt(place); item && mouse->button() == Qt::LeftButton) {
            const int row = m_list->row(item);
            if (row < m_rows.size() && m_rows[row].relink && place.x() >= m_list->viewport()->width() - stateWidth)
                emit relinkAsked(m_rows[row].id);
        }
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace ui
