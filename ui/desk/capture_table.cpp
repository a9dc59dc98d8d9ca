#include "ui/desk/capture_table.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/desk/table_head.h"
#include "ui/look/key_cap.h"
#include "ui/look/label.h"
#include "ui/look/look.h"
#include "ui/look/own_keys.h"

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLineEdit>
#include <QPainter>
#include <QSignalBlocker>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int tableRowHeight = 26;
using RunChoice = analysis::TagChoice::Run;

QString textOf(const std::string& text) { return QString::fromStdString(text); }

} // namespace

CaptureTable::CaptureTable(SessionModel& model, QWidget& over, QWidget* parent)
    : DeskOverlay(over, parent), m_model(model)
{
    column().setSpacing(6);
    const Title title = addTitle();
    title.left->setText(tr("Tag captures"));
    m_count = title.right;

    QHBoxLayout* pattern = addLine();
    m_pattern = new QLineEdit;
    m_pattern->setPlaceholderText(tr("pattern of the names, as %c_%r"));
    m_pattern->setAccessibleName(tr("Pattern of the captures' names"));
    m_pattern->setToolTip(
        tr("%c stands for the name or number of a configuration, %r for the run, * for anything else"));
    m_pattern->setFocusPolicy(Qt::ClickFocus);
    m_pattern->setFixedWidth(230);
    m_pattern->installEventFilter(this);
    makeCompact(*m_pattern);
    m_example = new Label({}, Text::State, Tone::Secondary);
    m_example->setElided(Qt::ElideRight);
    m_example->setObjectName(QStringLiteral("patternExample"));
    pattern->addWidget(m_pattern);
    pattern->addWidget(m_example, 1);

    m_list = new RowList(tableRowHeight, [this](QPainter& painter, const QRect& rect, int row, bool selected) {
        paintRow(painter, rect, row, selected);
    });
    m_list->setHairlines(false);
    m_list->setSelectionMode(QAbstractItemView::ExtendedSelection);
    m_list->setAccessibleName(tr("Captures to tag"));
    m_list->setFocusPolicy(Qt::ClickFocus);
    m_head = new TableHead({{tr("capture"), 0}, {tr("configuration"), 20}, {tr("run"), 47}, {tr("camera (clock)"), 70}},
                           *m_list->viewport());
    column().addWidget(m_head);
    column().addWidget(m_list, 1);
    m_reason = wrapping({}, Text::State, Tone::Secondary);
    m_reason->setObjectName(QStringLiteral("likeness"));
    addLine()->addWidget(m_reason, 1);

    const auto cap = [](const char* name) { return QString::fromLatin1(name); };
    addKeys({{{QStringLiteral("1–9")}, tr("configuration")},
             {{cap("0")}, tr("none")},
             {{cap("E")}, tr("a run each")},
             {{cap("J")}, tr("one run")},
             {{cap("M")}, tr("same camera")},
             {{cap("L")}, tr("lamp reference")}});
    addKeys({{{cap("Shift"), cap("Up"), cap("Down")}, tr("select")},
             {{cap("Ctrl"), cap("A")}, tr("all")},
             {{cap("N")}, tr("names")},
             {{cap("R")}, tr("regions")},
             {{cap("Backspace")}, tr("reset")},
             {{cap("Enter")}, tr("tag")},
             {{cap("Esc")}, tr("leave")}});

    connect(m_list, &QListWidget::itemSelectionChanged, this, &CaptureTable::describe);
    connect(m_list, &RowList::rowChosen, this, &CaptureTable::describe);
    connect(m_pattern, &QLineEdit::textChanged, this, &CaptureTable::refresh);
    connect(&model, &SessionModel::changed, this, [this] {
        if (isVisible())
            refresh();
    });
    connect(&model, &SessionModel::sessionReplaced, this, &QWidget::hide);
}

void CaptureTable::open()
{
    m_choices.clear();
    {
        const QSignalBlocker quiet(m_pattern);
        m_pattern->clear();
    }
    refresh();
    selectOpen();
    appear(*m_list);
    describe();
}

/// Those that something is proposed for: a digit must not change what was tagged long ago.
void CaptureTable::selectOpen()
{
    m_list->setCurrentRow(0);
    m_list->clearSelection();
    bool any = false;
    for (int row = 0; row < static_cast<int>(m_rows.size()); ++row) {
        if (!at(row).isChanged() && !at(row).camera)
            continue;
        if (!any)
            m_list->setCurrentRow(row, QItemSelectionModel::NoUpdate);
        any = true;
        m_list->item(row)->setSelected(true);
    }
    m_list->item(m_list->currentRow())->setSelected(true);
    m_list->scrollToItem(m_list->currentItem(), QAbstractItemView::PositionAtTop);
}

void CaptureTable::refresh()
{
    const session::Document& document = *m_model.document();
    if (document.captures.empty()) {
        leave();
        return;
    }
    m_rows = analysis::tagRows(document, m_choices, m_pattern->text().toStdString());
    QStringList spoken;
    for (const analysis::TagRow& row : m_rows) {
        const session::Capture* capture = session::find(document, row.tags.capture);
        const session::Configuration* configuration = session::find(document, row.tags.configuration);
        spoken << QStringList{textOf(capture->name),
                              row.tags.lampReference ? tr("lamp reference")
                              : configuration        ? textOf(configuration->name)
                                                     : tr("no configuration"),
                              row.run.empty() ? tr("no run") : textOf(row.run), cameraWord(row)}
                      .join(QLatin1String(", "));
    }
    if (m_list->count() == spoken.size()) { // the selection stays
        for (int row = 0; row < spoken.size(); ++row)
            m_list->item(row)->setText(spoken[row]);
        m_list->viewport()->update();
    } else {
        m_list->setRows(spoken);
    }
    describe();
}

std::vector<int> CaptureTable::selected() const
{
    std::vector<int> rows;
    for (int row = 0; row < static_cast<int>(m_rows.size()); ++row)
        if (m_list->item(row)->isSelected())
            rows.push_back(row);
    return rows;
}

const analysis::TagRow& CaptureTable::at(int row) const { return m_rows[static_cast<std::size_t>(row)]; }

int CaptureTable::current() const { return std::clamp(m_list->currentRow(), 0, static_cast<int>(m_rows.size()) - 1); }

const session::Capture& CaptureTable::captureAt(int row) const
{
    return *session::find(*m_model.document(), at(row).tags.capture);
}

/// What is to be said of the selection, the row in hand and the pattern.
void CaptureTable::describe()
{
    if (m_rows.empty() || m_list->count() != static_cast<int>(m_rows.size()))
        return;
    const session::Document& document = *m_model.document();
    const auto changed = std::ranges::count_if(m_rows, &analysis::TagRow::isChanged);
    m_count->setText(tr("%1, %2 selected, %3 to be changed")
                         .arg(tr("%n capture(s)", nullptr, int(m_rows.size())))
                         .arg(std::ssize(selected()))
                         .arg(changed));

    const session::Capture& capture = captureAt(current());
    const std::string pattern = m_pattern->text().toStdString();
    if (pattern.empty()) {
        m_example->setText(tr("%c a configuration's name or number, %r the run, * anything"));
    } else if (const std::string problem = analysis::patternProblem(pattern); !problem.empty()) {
        m_example->setText(textOf(problem));
    } else {
        const auto fits = std::ranges::count_if(m_rows, &analysis::TagRow::fitsPattern);
        QStringList read;
        if (const auto parts = analysis::partsOfName(document, pattern, capture.name)) {
            if (const session::Configuration* one = session::find(document, parts->configuration))
                read << textOf(one->name);
            if (!parts->run.empty())
                read << tr("run %1").arg(textOf(parts->run));
        }
        m_example->setText(
            tr("%1: %2; %3 of %n name(s) fit", nullptr, int(m_rows.size()))
                .arg(textOf(capture.name), read.isEmpty() ? tr("doesn't fit") : read.join(QLatin1String(", ")))
                .arg(fits));
    }

    m_reason->setText(clockWords());
}

/// Why the row in hand may share a clock, or why not; else how many of those selected may.
QString CaptureTable::clockWords() const
{
    const session::Document& document = *m_model.document();
    const auto nameOf = [&](session::CaptureId id) { return textOf(session::find(document, id)->name); };
    const analysis::TagRow& row = at(current());
    const QString name = nameOf(row.tags.capture);
    if (row.camera && row.tags.clock)
        return tr("%1 will share the clock of %2. Alike: %3.")
            .arg(name, nameOf(row.camera->like), textOf(row.camera->alike));
    const QString yes = keys::ownCap(QStringLiteral("M"));
    if (row.camera)
        return tr("%1: same camera as %2? %3. Alike: %4.")
            .arg(name, nameOf(row.camera->like), yes, textOf(row.camera->alike));
    int open = 0;
    const analysis::SameCamera* same = nullptr;
    for (const int chosen : selected())
        if (const analysis::TagRow& one = at(chosen); one.camera && !one.tags.clock) {
            ++open;
            same = same ? same : &*one.camera;
        }
    if (same)
        return tr("%1 of those selected: same camera as %2? %3. Alike: %4.")
            .arg(open)
            .arg(nameOf(same->like), yes, textOf(same->alike));
    if (current() == 0)
        return {};
    const session::Capture &capture = captureAt(current()), &before = captureAt(current() - 1);
    if (capture.clock == before.clock)
        return tr("%1 shares the clock of %2.").arg(name, textOf(before.name));
    const std::string differs = analysis::likeness(document, capture.id, before).differs;
    return differs.empty() ? QString() : tr("%1 has a clock of its own: %2.").arg(name, textOf(differs));
}

template <class Do> void CaptureTable::changeSelected(Do change)
{
    for (const int row : selected())
        change(m_choices[at(row).tags.capture], at(row));
    refresh();
}

void CaptureTable::chooseConfiguration(int place)
{
    const auto configurations = session::inOrder(m_model.document()->configurations);
    if (place > static_cast<int>(configurations.size())) {
        m_reason->setText(configurations.empty()
                              ? tr("There are no configurations yet: name them on the plan page first.")
                              : tr("There is no configuration %1.").arg(place));
        return;
    }
    const session::ConfigurationId id =
        place == 0 ? session::ConfigurationId{} : configurations[static_cast<std::size_t>(place - 1)]->id;
    changeSelected([&](analysis::TagChoice& choice, const analysis::TagRow&) {
        choice.configuration = id;
        choice.lampReference = false;
    });
}

/// What is selected was filmed without touching the set-up.
void CaptureTable::shareRun()
{
    const std::vector<int> rows = selected();
    if (rows.empty())
        return;
    const std::string& run = at(rows.front()).run;
    const std::string name = run.empty() ? captureAt(rows.front()).name : run;
    changeSelected([&](analysis::TagChoice& choice, const analysis::TagRow& row) {
        // The sheet's configuration stays though its line's run is another now.
        if (row.tags.sheetLine && !choice.configuration)
            choice.configuration = row.tags.configuration;
        choice.run = RunChoice::Named;
        choice.runName = name;
    });
}

/// All of them, or none where all are already.
void CaptureTable::shareCamera()
{
    bool any = false, all = true;
    for (const int row : selected()) {
        any = any || at(row).camera;
        all = all && (!at(row).camera || at(row).tags.clock);
    }
    if (!any) {
        describe();
        if (m_reason->text().isEmpty())
            m_reason->setText(tr("Nothing selected is as another camera mode that is there."));
        return;
    }
    changeSelected([&](analysis::TagChoice& choice, const analysis::TagRow&) { choice.sameCamera = !all; });
}

void CaptureTable::toggleReference()
{
    const std::vector<int> rows = selected();
    const bool all = std::ranges::all_of(rows, [&](int row) { return at(row).tags.lampReference; });
    QStringList read;
    for (const int row : rows)
        if (!session::trialsOf(*m_model.document(), at(row).tags.capture).empty())
            read << textOf(captureAt(row).name);
    if (!all && !read.isEmpty()) {
        m_reason->setText(
            tr("Trials are read in %1, so it can't be a lamp reference.").arg(read.join(QLatin1String(", "))));
        return;
    }
    changeSelected([&](analysis::TagChoice& choice, const analysis::TagRow&) { choice.lampReference = !all; });
}

void CaptureTable::apply()
{
    std::vector<session::CaptureTags> tags;
    for (const analysis::TagRow& row : m_rows)
        if (row.isChanged())
            tags.push_back(row.tags);
    if (tags.empty()) {
        leave();
        emit cue(tr("Nothing was to be changed: every capture is tagged as it was shown."));
        return;
    }
    if (!m_model.edit([&](const session::Document& latest) { return session::tagCaptures(latest, tags); }))
        return; // the window has said why
    leave();
    emit cue(tr("%1 tagged; Ctrl Z takes all of it back.").arg(tr("%n capture(s)", nullptr, int(tags.size()))));
}

void CaptureTable::tell(const QString& sentence) { m_reason->setText(sentence); }

void CaptureTable::keyPressEvent(QKeyEvent* event)
{
    if (event->modifiers() & Qt::ControlModifier) {
        if (event->key() == Qt::Key_A)
            m_list->selectAll();
        return;
    }
    switch (keys::delivered(event->key())) {
    case Qt::Key_Escape: leave(); return;
    case Qt::Key_Return:
    case Qt::Key_Enter: apply(); return;
    case Qt::Key_E:
        changeSelected([](analysis::TagChoice& choice, const analysis::TagRow& row) {
            if (row.tags.sheetLine && !choice.configuration)
                choice.configuration = row.tags.configuration;
            choice.run = RunChoice::Own;
        });
        return;
    case Qt::Key_J: shareRun(); return;
    case Qt::Key_M: shareCamera(); return;
    case Qt::Key_L: toggleReference(); return;
    case Qt::Key_N: m_pattern->setFocus(); return;
    case Qt::Key_R: {
        std::set<session::CaptureId> chosen;
        for (const int row : selected())
            chosen.insert(at(row).tags.capture);
        emit regionsWanted(chosen);
        return;
    }
    case Qt::Key_Backspace:
        changeSelected([](analysis::TagChoice& choice, const analysis::TagRow&) { choice = {}; });
        return;
    default: break;
    }
    if (event->key() >= Qt::Key_0 && event->key() <= Qt::Key_9)
        chooseConfiguration(event->key() - Qt::Key_0);
}

bool CaptureTable::eventFilter(QObject* watched, QEvent* event)
{
    if (watched == m_pattern && event->type() == QEvent::KeyPress) {
        const int key = static_cast<QKeyEvent*>(event)->key();
        if (key == Qt::Key_Escape)
            m_pattern->clear();
        if (key == Qt::Key_Escape || key == Qt::Key_Return || key == Qt::Key_Enter) {
            m_list->setFocus();
            return true;
        }
    }
    return DeskOverlay::eventFilter(watched, event);
}

/// Tab stays within the table: pattern and rows.
bool CaptureTable::focusNextPrevChild(bool)
{
    if (m_list->hasFocus())
        m_pattern->setFocus();
    else
        m_list->setFocus();
    return true;
}

QString CaptureTable::cameraWord(const analysis::TagRow& row) const
{
    const session::Document& document = *m_model.document();
    if (row.camera) {
        const QString like = textOf(session::find(document, row.camera->like)->name);
        return row.tags.clock ? tr("same as %1").arg(like) : tr("same as %1?").arg(like);
    }
    const session::Clock* clock = session::find(document, session::find(document, row.tags.capture)->clock);
    return clock ? textOf(clock->name) : tr("no clock");
}

/// What will be other than it is stands in bold.
void CaptureTable::paintRow(QPainter& painter, const QRect& rect, int index, bool) const
{
    if (index >= static_cast<int>(m_rows.size()))
        return;
    const session::Document& document = *m_model.document();
    const analysis::TagRow& row = m_rows[static_cast<std::size_t>(index)];
    const session::Capture* capture = session::find(document, row.tags.capture);
    if (!capture)
        return;
    const Tokens& t = tokens();
    const auto write = [&](const QRect& room, const QString& text, bool isNew) {
        painter.setFont(ui::font(Text::Body, isNew ? QFont::DemiBold : QFont::Normal));
        painter.setPen(isNew ? t.text1 : t.text2);
        paintLine(painter, room, text, Qt::ElideMiddle);
    };
    painter.setFont(ui::font(Text::Body));
    painter.setPen(t.text1);
    paintLine(painter, m_head->cell(rect, Capture), textOf(capture->name), Qt::ElideMiddle);
    write(m_head->cell(rect, Camera), cameraWord(row), bool(row.tags.clock));
    if (row.tags.lampReference) {
        write(m_head->cell(rect, Configuration, Camera), tr("lamp reference: no trials to read"), row.isNewKind);
        return;
    }
    const QRect tag = m_head->cell(rect, Configuration);
    const auto configurations = session::inOrder(document.configurations);
    const auto place = std::ranges::find(configurations, row.tags.configuration, &session::Configuration::id);
    if (place != configurations.end()) {
        paintKeyCaps(painter, QRectF(tag.left(), rect.top() + 3, 22, rect.height() - 6),
                     {QString::number(place - configurations.begin() + 1)});
        write(tag.adjusted(28, 0, 0, 0), textOf((*place)->name), row.isNewConfiguration);
    } else {
        write(tag, tr("none"), row.isNewConfiguration);
    }
    const QString run = row.run.empty() ? tr("none") : textOf(row.run);
    write(m_head->cell(rect, Run), row.tags.sheetLine ? tr("%1 of the sheet").arg(run) : run, row.isNewRun);
}

} // namespace ui
