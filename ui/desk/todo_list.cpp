#include "ui/desk/todo_list.h"
#include "core/analysis/slips.h"
#include "ui/controls/row_list.h"
#include "ui/desk/reading_progress.h"
#include "ui/desk/table_head.h"
#include "ui/look/label.h"
#include "ui/look/look.h"

#include <QKeyEvent>
#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>
#include <iterator>

namespace ui {

namespace {

constexpr int todoRowHeight = 24;

} // namespace

QVector<Todo> todosOf(const session::Document& document, session::CaptureId desk, const QVector<qint64>& proposed)
{
    std::vector<analysis::TrialOutcome> outcomes;
    for (const auto& [id, capture] : document.captures)
        std::ranges::move(analysis::trialOutcomes(document, id), std::back_inserter(outcomes));
    QVector<Todo> todos;
    for (const session::Capture* capture : session::inOrder(document.captures)) {
        QVector<Todo> here;
        for (const session::Trial* trial : session::trialsOf(document, capture->id)) {
            const TrialState state = stateOf(*trial);
            const auto slips = analysis::slipsOf(document, *trial, outcomes);
            if (slips.empty() && isDone(state) && !needsAttention(state))
                continue;
            const session::Reading* reading = session::countingReading(*trial);
            Todo todo;
            todo.capture = capture->id;
            todo.trial = trial->id;
            todo.frame = reading && reading->press ? reading->press->frame.value : -1;
            todo.name = QString::fromStdString(session::trialName(document, trial->id));
            QStringList what;
            if (!isDone(state) || needsAttention(state))
                what << word(state);
            for (const std::string& slip : slips)
                what << TodoList::tr("warned: %1").arg(QString::fromStdString(slip));
            todo.what = what.join(QStringLiteral("; "));
            todo.attention = needsAttention(state) || !slips.empty();
            here << todo;
        }
        const QString name = QString::fromStdString(capture->name);
        const bool isOnDesk = capture->id == desk;
        QVector<qint64> unread = isOnDesk ? proposed : QVector<qint64>();
        if (!isOnDesk)
            for (const session::ProposedPress& press : session::unreadPresses(document, capture->id))
                unread << press.frame.value;
        for (const qint64 frame : std::as_const(unread))
            here << Todo{capture->id,
                         {},
                         frame,
                         TodoList::tr("press %1 of %2").arg(frame).arg(name),
                         TodoList::tr("proposed, nobody has read it"),
                         false};
        if (!isOnDesk && session::isUnlooked(document, capture->id))
            here << Todo{capture->id,
                         {},
                         -1,
                         name,
                         TodoList::tr("nobody has looked through it: open it, its presses are proposed"),
                         false};
        std::ranges::stable_sort(here, {}, &Todo::frame);
        todos << here;
    }
    return todos;
}

TodoList::TodoList(QWidget& over, QWidget* parent) : DeskOverlay(over, parent)
{
    m_title = addTitle().left;
    m_rows = new RowList(todoRowHeight,
                         [this](QPainter& painter, const QRect& rect, int row, bool) { paintRow(painter, rect, row); });
    m_rows->setHairlines(false);
    m_rows->setAccessibleName(tr("What waits"));
    m_rows->setFocusPolicy(Qt::ClickFocus);
    column().addWidget(m_rows, 1);
    connect(m_rows, &QListWidget::itemClicked, this, [this](QListWidgetItem* item) { take(m_rows->row(item)); });
}

void TodoList::open(const QVector<Todo>& todos)
{
    m_todos = todos;
    QStringList spoken;
    for (const Todo& todo : todos)
        spoken << tr("%1: %2").arg(todo.name, todo.what);
    m_rows->setRows(spoken);
    m_rows->selectRow(0);
    m_title->setText(tr("%1 to do: Up and Down choose, Enter goes there, Esc closes").arg(todos.size()));
    appear(*m_rows);
}

void TodoList::take(int row)
{
    if (row < 0 || row >= m_todos.size())
        return;
    const Todo todo = m_todos[row];
    leave();
    emit chosen(todo);
}

void TodoList::keyPressEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Escape)
        leave();
    else if (event->key() == Qt::Key_Return || event->key() == Qt::Key_Enter)
        take(m_rows->currentRow());
}

void TodoList::paintRow(QPainter& painter, const QRect& rect, int row) const
{
    if (row < 0 || row >= m_todos.size())
        return;
    const Todo& todo = m_todos[row];
    const Tokens& t = tokens();
    constexpr int whatLeft = 240;
    painter.setFont(ui::font(Text::Body));
    painter.setPen(t.text1);
    paintLine(painter, QRect(grid::padding, rect.top(), whatLeft - 2 * grid::padding, rect.height()), todo.name);
    painter.setFont(ui::font(Text::State));
    painter.setPen(todo.attention ? t.attention : t.text2);
    paintLine(painter, rect.adjusted(whatLeft, 0, -grid::padding, 0), todo.what);
}

} // namespace ui
