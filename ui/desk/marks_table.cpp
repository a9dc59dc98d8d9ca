#include "ui/desk/marks_table.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/desk/desk_dialogs.h"
#include "ui/desk/table_head.h"
#include "ui/look/label.h"
#include "ui/look/own_keys.h"
#include "ui/model/file_paths.h"

#include <QFile>
#include <QFileInfo>
#include <QKeyEvent>
#include <QPainter>
#include <QVBoxLayout>
#include <algorithm>

namespace ui {

namespace {

constexpr int marksRowHeight = 24;

QString marksText(const std::string& text) { return QString::fromStdString(text).simplified(); }

std::vector<reading::CsvRow> tableIn(const QString& path)
{
    QFile file(path);
    if (!file.open(QIODevice::ReadOnly))
        throw core::Error(core::ErrorKind::Unreadable,
                          "The table " + path.toStdString() + " can't be read: " + file.errorString().toStdString());
    const QByteArray bytes = file.read(qint64(reading::csv_limits::bytes) + 1);
    return reading::csvRows({bytes.constData(), std::size_t(bytes.size())});
}

} // namespace

MarksTable::MarksTable(SessionModel& model, FootagePool& pool, QWidget& over, QWidget* parent)
    : DeskOverlay(over, parent), m_model(model), m_pool(pool)
{
    column().setSpacing(6);
    m_title = addTitle();
    m_list = new RowList(marksRowHeight,
                         [this](QPainter& painter, const QRect& rect, int row, bool) { paintRow(painter, rect, row); });
    m_list->setHairlines(false);
    m_list->setAccessibleName(tr("Marks to bring in"));
    m_head = new TableHead(
        {{tr("line"), 0}, {tr("capture"), 8}, {tr("press"), 40}, {tr("response"), 52}, {tr("configuration"), 68}},
        *m_list->viewport());
    column().addWidget(m_head);
    column().addWidget(m_list, 1);
    m_said = wrapping({}, Text::State, Tone::Primary);
    m_said->setObjectName(QStringLiteral("marksSaid"));
    addLine()->addWidget(m_said, 1);
    const auto cap = [](const char* name) { return QStringList(QString::fromLatin1(name)); };
    addKeys({{cap("0"), tr("the first frame is number 0")},
             {cap("1"), tr("it is number 1")},
             {cap("B"), tr("those beside a press, too")},
             {cap("Enter"), tr("bring in")},
             {cap("Esc"), tr("leave")}});
    const auto refreshOpen = [this] {
        if (isVisible() && !m_busy)
            refresh();
    };
    connect(&model, &SessionModel::changed, this, refreshOpen);
    connect(&pool, &FootagePool::stateChanged, this, refreshOpen);
    connect(&model, &SessionModel::sessionReplaced, this, [this] {
        m_worker.stop();
        m_busy = false;
        hide();
    });
}

void MarksTable::ask()
{
    QFileDialog* dialog = fileDialog(*window(), m_model, tr("Marks that were taken elsewhere"),
                                     QFileDialog::ExistingFile, {tr("Tables (*.csv *.txt)"), tr("All files (*)")});
    connect(dialog, &QFileDialog::fileSelected, this, &MarksTable::read);
    dialog->open();
}

void MarksTable::read(const QString& path)
{
    m_worker.run([path](const std::stop_token&) { return tableIn(path); },
                 [this, path](std::vector<reading::CsvRow> table) {
                     try {
                         // A table without the columns isn't shown at all.
                         reading::incomingTrials(*m_model.document(), table, reading::FirstFrame::Zero, {});
                     } catch (const core::Error& error) {
                         emit problem(QString::fromUtf8(error.what()));
                         return;
                     }
                     m_name = QFileInfo(path).fileName();
                     m_table = std::move(table);
                     m_first.reset();
                     m_beside = reading::Beside::StaysOut;
                     refresh();
                     m_list->selectRow(0);
                     appear(*m_list);
                 },
                 [this](const QString& sentence) { emit problem(sentence); });
}

reading::ConfirmedFootage MarksTable::confirmed() const
{
    reading::ConfirmedFootage all;
    for (const auto& [id, capture] : m_model.document()->captures)
        if (const KnownFootage* known = m_pool.find(m_model.footagePath(*capture));
            known && known->state() == FootageState::Confirmed)
            all.emplace(id, known->footage);
    return all;
}

QString MarksTable::captureName(const reading::IncomingTrial& row) const
{
    const session::Capture* capture = session::find(*m_model.document(), row.capture);
    return capture ? marksText(capture->name) : marksText(row.file);
}

void MarksTable::refresh()
{
    m_rows = reading::incomingTrials(*m_model.document(), m_table, m_first.value_or(reading::FirstFrame::Zero),
                                     confirmed(), m_beside);
    QStringList spoken;
    for (const reading::IncomingTrial& row : m_rows)
        spoken << (row.fault.empty() ? tr("%1, press %2, response %3")
                                           .arg(captureName(row), marksText(row.press),
                                                row.response.empty() ? tr("to be read") : marksText(row.response))
                                     : tr("line %1 stays out: %2").arg(row.line).arg(marksText(row.fault)));
    m_list->setRows(spoken);
    m_list->viewport()->update();
    const auto good = std::ranges::count_if(m_rows, [](const auto& row) { return row.fault.empty(); });
    m_title.left->setText(tr("Marks of %1").arg(m_name));
    m_title.right->setText(tr("%1 of %2 can come in").arg(good).arg(tr("%n row(s)", nullptr, int(m_rows.size()))));
    m_said->setText(!m_first ? tr("What number has the first frame of a film in this table? 0 or 1 says so.")
                    : *m_first == reading::FirstFrame::Zero
                        ? tr("The table counts frames from 0, as this program does.")
                        : tr("The table counts frames from 1: its frame 1 is frame 0 here."));
    const auto beside = std::ranges::count_if(m_rows, &reading::IncomingTrial::isBeside);
    if (m_first && beside > 0)
        m_said->setText(m_said->text() + QLatin1Char(' ')
                        + (m_beside == reading::Beside::StaysOut
                               ? tr("%1 beside a press that is there, which is probably the same: left out unless %2 "
                                    "says otherwise.")
                               : tr("%1 beside a press that is there: %2 leaves them out again."))
                              .arg(beside == 1 ? tr("1 row lies") : tr("%1 rows lie").arg(beside),
                                   keys::ownCap(QStringLiteral("B"))));
}

void MarksTable::bringIn()
{
    if (!m_first) {
        m_said->setText(tr("Say first what number the first frame of a film has in this table: 0 or 1."));
        return;
    }
    if (std::ranges::none_of(m_rows, [](const auto& row) { return row.fault.empty(); })) {
        m_said->setText(tr("Nothing can come in: every row says why."));
        return;
    }
    const auto evidence = m_model.evidence();
    if (!evidence) {
        m_said->setText(tr("Nothing came in: the session is being closed."));
        return;
    }
    m_busy = true;
    m_said->setText(tr("The pictures are being read; Esc stops it."));
    const auto told = [this](std::size_t done, std::size_t total) {
        QMetaObject::invokeMethod(
            this,
            [this, done, total] {
                if (m_busy)
                    m_said->setText(
                        tr("%1 of %n trial(s) marked; Esc stops it, and nothing comes in.", nullptr, int(total))
                            .arg(done));
            },
            Qt::QueuedConnection);
    };
    using Made = std::pair<std::vector<reading::MadeTrial>, std::vector<reading::IncomingTrial>>;
    m_worker.run(
        [document = m_model.document(), rows = m_rows, footage = confirmed(), evidence,
         told](const std::stop_token& stop) mutable {
            auto made = reading::makeTrials(*document, rows, footage, *evidence, stop, told);
            return Made(std::move(made), std::move(rows));
        },
        [this](const Made& made) { broughtIn(made.first, made.second); },
        [this](const QString& sentence) {
            m_busy = false;
            refresh();
            emit problem(sentence);
        });
}

void MarksTable::broughtIn(const std::vector<reading::MadeTrial>& made, const std::vector<reading::IncomingTrial>& rows)
{
    m_busy = false;
    if (made.empty()) {
        refresh();
        const auto why = std::ranges::find_if(rows, [](const auto& row) { return !row.fault.empty(); });
        m_said->setText(tr("Nothing came in. %1").arg(why == rows.end() ? QString() : marksText(why->fault)));
        return;
    }
    if (!m_model.edit([&](const session::Document& latest) {
            return reading::bringInTrials(latest, made, m_name.toStdString());
        }))
        return; // the window has said why
    leave();
    const qint64 out = std::ssize(rows) - std::ssize(made);
    emit cue(tr("%1 came in from %2").arg(tr("%n trial(s)", nullptr, int(made.size())), m_name)
             + (out > 0 ? tr(", %1 stayed out").arg(tr("%n row(s)", nullptr, int(out))) : QString())
             + tr("; Ctrl Z takes all of it back."));
}

void MarksTable::keyPressEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Escape) {
        m_worker.stop();
        if (std::exchange(m_busy, false))
            refresh();
        else
            leave();
        return;
    }
    if (m_busy || event->modifiers() & Qt::ControlModifier)
        return;
    if (event->key() == Qt::Key_Return || event->key() == Qt::Key_Enter) {
        bringIn();
    } else if (keys::delivered(event->key()) == Qt::Key_B) {
        m_beside = m_beside == reading::Beside::StaysOut ? reading::Beside::ComesIn : reading::Beside::StaysOut;
        refresh();
    } else if (event->key() == Qt::Key_0 || event->key() == Qt::Key_1) {
        m_first = event->key() == Qt::Key_0 ? reading::FirstFrame::Zero : reading::FirstFrame::One;
        refresh();
    }
}

/// Frames as they are numbered here.
void MarksTable::paintRow(QPainter& painter, const QRect& rect, int index) const
{
    if (index < 0 || index >= static_cast<int>(m_rows.size()))
        return;
    const reading::IncomingTrial& row = m_rows[static_cast<std::size_t>(index)];
    const Tokens& t = tokens();
    painter.setFont(ui::font(Text::State));
    const auto write = [&](const QRect& room, const QString& text, const QColor& ink) {
        painter.setPen(ink);
        paintLine(painter, room, text);
    };
    write(m_head->cell(rect, Line), QString::number(row.line), t.text2);
    write(m_head->cell(rect, File), captureName(row), row.fault.empty() ? t.text1 : t.text2);
    if (!row.fault.empty()) {
        write(m_head->cell(rect, Press, m_head->columns()), marksText(row.fault), t.attention);
        return;
    }
    const auto frame = [&](const std::string& written, const std::optional<timing::FrameNumber>& number) {
        return m_first && number ? QString::number(number->value) : marksText(written);
    };
    write(m_head->cell(rect, Press), frame(row.press, row.pressFrame), t.text1);
    write(m_head->cell(rect, Response),
          row.isComplete() ? row.noReaction ? tr("no reaction") : frame(row.response, row.responseFrame)
                           : tr("to be read"),
          t.text1);
    const session::Configuration* tag = session::find(*m_model.document(), row.tag);
    write(m_head->cell(rect, Tag), tag ? marksText(tag->name) : tr("none"), t.text1);
}

} // namespace ui
