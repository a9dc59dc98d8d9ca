#include "ui/plan/sheet_panel.h"
#include "core/report/run_sheet_text.h"
#include "core/session/limits.h"
#include "ui/controls/commit_edit.h"
#include "ui/controls/form_grid.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"
#include "ui/look/key_cap.h"
#include "ui/look/look.h"

#include <QFileDialog>
#include <QHBoxLayout>
#include <QPageSize>
#include <QPainter>
#include <QPdfWriter>
#include <QPrintDialog>
#include <QPrinter>
#include <QPushButton>
#include <QRandomGenerator>
#include <QSaveFile>
#include <QStackedLayout>
#include <QTextDocument>
#include <array>
#include <utility>

namespace ui {
namespace {

constexpr int sheetPanelRowHeight = 26;
constexpr int numberWidth = 34, blockWidth = 64, trialsWidth = 84;

/// Left edges of the columns in a row of this width: number, block, configuration, trials, filmed.
std::array<int, 6> columns(const QRect& inside)
{
    const int number = inside.left(), block = number + numberWidth, configuration = block + blockWidth;
    const int filmed = configuration + (inside.right() - configuration) * 45 / 100 + trialsWidth;
    return {number, block, configuration, filmed - trialsWidth, filmed, inside.right()};
}

} // namespace

SheetPanel::SheetPanel(SessionModel& model, QWidget* parent)
    : QWidget(parent), m_model(model), m_stack(new QStackedLayout(this))
{
    buildEmpty();
    buildFull();
}

void SheetPanel::buildEmpty()
{
    auto* panel = new Panel(tr("Run sheet"));
    panel->setHairline(false);
    QVBoxLayout& body = *panel->body();
    body.setSpacing(8);
    body.addWidget(emptyNote(tr("The order to film the planned runs in. It is drawn at random, block by block, each "
                                "block with a run of every configuration, so that "
                                "warm-up and drift fall on all alike. Captures are later held against it.")));
    m_lacks = emptyNote({});
    body.addWidget(m_lacks);
    auto* form = new FormGrid(100);
    m_seed = called("sheetSeed", new CommitEdit(tr("chosen by chance, and kept")));
    m_seed->setMaximumWidth(240);
    m_seed->setCheck([](const QString& text) {
        bool isNumber = false;
        const qint64 seed = text.toLongLong(&isNumber);
        return text.isEmpty() || (isNumber && seed >= 0 && seed <= session::limits::number)
                   ? QString()
                   : tr("The seed “%1” isn't a whole number from 0 to %2.").arg(text).arg(session::limits::number);
    });
    form->addRow(tr("Seed"), m_seed);
    body.addWidget(form);
    m_draw = called("drawSheet", new KeyButton(tr("Draw the order"), {QStringLiteral("F8")}, KeyButton::Kind::Primary));
    connect(m_draw, &QPushButton::clicked, this, &SheetPanel::draw);
    body.addWidget(m_draw, 0, Qt::AlignLeft);
    body.addStretch(1);
    m_stack->addWidget(panel);
}

void SheetPanel::buildFull()
{
    m_panel = new Panel(tr("Run sheet"));
    m_panel->setHairline(false);
    m_panel->body()->setContentsMargins(0, 0, 0, 8);
    auto* bar = new QHBoxLayout;
    bar->setContentsMargins(grid::padding, 0, grid::padding, 0);
    bar->setSpacing(6);
    const auto button = [&](const QString& text, const char* name, const QString& tip) {
        auto* made = new QPushButton(text);
        made->setObjectName(QString::fromLatin1(name));
        made->setToolTip(tip);
        makeCompact(*made);
        bar->addWidget(made);
        return made;
    };
    m_tick = button(tr("Tick"), "tickLine", tr("The run is filmed, though its footage isn't here yet (Space)"));
    connect(m_tick, &QPushButton::clicked, this, &SheetPanel::tickCurrent);
    bar->addStretch(1);
    connect(button(tr("Print..."), "printSheet", tr("On paper, to tick off beside the bench (Ctrl+P)")),
            &QPushButton::clicked, this, &SheetPanel::print);
    connect(button(tr("PDF..."), "pdfSheet", tr("As a PDF file")), &QPushButton::clicked, this,
            [this] { ask(tr("Run sheet as PDF"), QStringLiteral("pdf"), &SheetPanel::writePdf); });
    connect(button(tr("CSV..."), "csvSheet", tr("As a table of comma-separated values")), &QPushButton::clicked, this,
            [this] { ask(tr("Run sheet as CSV"), QStringLiteral("csv"), &SheetPanel::writeCsv); });
    m_drop = button(tr("Drop"), "dropSheet", tr("The sheet goes; runs and tags stay. Undo brings it back."));
    connect(m_drop, &QPushButton::clicked, this,
            [this] { m_model.edit([](const session::Document& d) { return session::setRunSheet(d, std::nullopt); }); });

    m_list = new RowList(sheetPanelRowHeight, [this](QPainter& p, const QRect& r, int row, bool selected) {
        paintRow(p, r, row, selected);
    });
    m_list->setAccessibleName(tr("Run sheet"));
    m_list->setPassedOn({Qt::Key_Space});
    m_hint = wrapping({}, Text::State, Tone::Secondary);
    m_hint->setContentsMargins(grid::padding, 0, grid::padding, 0);
    m_panel->body()->addWidget(m_hint);
    m_panel->body()->addLayout(bar);
    m_panel->body()->addWidget(m_list, 1);
    m_stack->addWidget(m_panel);
}

void SheetPanel::refresh()
{
    const auto document = m_model.document();
    const auto& sheet = document->settings.runSheet;
    m_stack->setCurrentIndex(sheet ? 1 : 0);
    if (!sheet) {
        const QString lacks = QString::fromStdString(analysis::runSheetProblem(*document));
        m_lacks->setText(lacks);
        m_lacks->setVisible(!lacks.isEmpty());
        m_draw->setEnabled(lacks.isEmpty() && !m_model.readOnly());
        return;
    }
    m_rows.clear();
    QStringList spoken;
    const auto next = session::firstOpenLine(*sheet);
    int filmed = 0, block = 0;
    for (std::size_t i = 0; i < sheet->lines.size(); ++i) {
        const session::SheetLine& line = sheet->lines[i];
        QStringList captures;
        for (const std::string& name : analysis::capturesOf(*document, line))
            captures << QString::fromStdString(name);
        Row row;
        row.first = line.block != std::exchange(block, line.block);
        row.block = tr("block %1").arg(line.block);
        row.configuration = QString::fromStdString(session::find(*document, line.configuration)->name);
        row.trials = counted(line.trials, tr("trial"));
        row.next = next == i;
        row.ticked = line.ticked;
        row.taken = !captures.isEmpty();
        row.filmed = !captures.isEmpty() ? captures.join(QStringLiteral(", "))
                     : line.ticked       ? tr("ticked")
                     : line.run          ? tr("run without captures")
                     : row.next          ? tr("next")
                                         : QString();
        filmed += row.ticked || row.taken;
        spoken << tr("%1, %2, %3, %4")
                      .arg(row.block, row.configuration, counted(line.trials, tr("trial")),
                           row.filmed.isEmpty() ? tr("open") : row.filmed);
        m_rows << row;
    }
    m_list->setRows(spoken);
    if (m_list->currentRow() < 0 && next)
        m_list->selectRow(static_cast<int>(*next));
    m_panel->setTrailing(tr("%1 of %2 filmed, seed %3").arg(filmed).arg(m_rows.size()).arg(sheet->seed));
    m_hint->setText(
        next ? tr(
            "Set up anew before each run. Captures added in this order are proposed for it on the desk; A accepts.")
             : tr("Every run is filmed."));
    m_tick->setEnabled(!m_model.readOnly());
    m_drop->setEnabled(!m_model.readOnly());
}

void SheetPanel::paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const
{
    const Row& shown = m_rows[row];
    const Tokens& t = tokens();
    const QRect inside = rect.adjusted(grid::padding, 0, -grid::padding, 0);
    const auto at = columns(inside);
    const auto put = [&](int column, const QString& text, const QColor& colour, Qt::Alignment side,
                         QFont::Weight weight = QFont::Normal) {
        setLettering(painter, column == 2 || column == 4 ? Text::Body : Text::State, colour, weight);
        const QRect box(at[static_cast<std::size_t>(column)], rect.top(),
                        at[static_cast<std::size_t>(column) + 1] - at[static_cast<std::size_t>(column)] - 8,
                        rect.height());
        drawShortened(painter, box, side | Qt::AlignVCenter, text);
    };
    const QColor quiet = selected ? t.text2 : t.text3;
    put(0, QString::number(row + 1), quiet, Qt::AlignRight);
    if (shown.first || selected)
        put(1, shown.block, quiet, Qt::AlignLeft);
    put(2, shown.configuration, t.text1, Qt::AlignLeft, shown.next ? QFont::DemiBold : QFont::Normal);
    put(3, shown.trials, t.text2, Qt::AlignRight);
    if (shown.ticked || shown.taken) {
        paintShape(painter, Shape::Check, QRectF(at[4], rect.top(), 14, rect.height()), t, t.text2);
        QRect box(at[4] + 20, rect.top(), at[5] - at[4] - 20, rect.height());
        setLettering(painter, Text::Body, t.text2);
        drawShortened(painter, box, Qt::AlignLeft | Qt::AlignVCenter, shown.filmed, Qt::ElideMiddle);
    } else {
        put(4, shown.filmed, t.text2, Qt::AlignLeft, shown.next ? QFont::DemiBold : QFont::Normal);
    }
}

void SheetPanel::draw()
{
    const auto document = m_model.document();
    if (document->settings.runSheet || !m_seed->commit())
        return;
    const std::string lacks = analysis::runSheetProblem(*document);
    if (!lacks.empty()) {
        emit m_model.problem(QString::fromStdString(lacks));
        return;
    }
    const qint64 seed =
        m_seed->value().isEmpty() ? QRandomGenerator::global()->bounded(1'000'000) : m_seed->value().toLongLong();
    if (m_model.edit([seed](const session::Document& latest) {
            return session::setRunSheet(latest, analysis::drawRunSheet(latest, seed));
        }))
        m_seed->setValue({});
}

void SheetPanel::tickCurrent()
{
    const int row = m_list->currentRow();
    if (!m_model.document()->settings.runSheet || row < 0 || row >= m_rows.size())
        return;
    m_model.edit([row, ticked = !m_rows[row].ticked](const session::Document& d) {
        return session::tickSheetLine(d, static_cast<std::size_t>(row), ticked);
    });
}

void SheetPanel::ask(const QString& title, const QString& suffix, bool (SheetPanel::*write)(const QString&))
{
    auto* dialog = new QFileDialog(this, title);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setAcceptMode(QFileDialog::AcceptSave);
    dialog->setDefaultSuffix(suffix);
    dialog->setNameFilter(QStringLiteral("*.%1").arg(suffix));
    if (!m_model.isDraft())
        dialog->setDirectory(m_model.folder());
    dialog->selectFile(tr("run sheet.%1").arg(suffix));
    connect(dialog, &QFileDialog::fileSelected, this, [this, write](const QString& path) { (this->*write)(path); });
    dialog->open();
}

bool SheetPanel::write(const QString& path, const std::function<bool(QSaveFile&)>& fill)
{
    QSaveFile file(path);
    if (file.open(QIODevice::WriteOnly) && fill(file) && file.commit())
        return true;
    emit m_model.problem(tr("The run sheet can't be written to %1: %2.").arg(path, file.errorString()));
    return false;
}

bool SheetPanel::writeCsv(const QString& path)
{
    const auto document = m_model.document();
    const QByteArray csv = QByteArray::fromStdString(report::runSheetCsv(*document, *document->settings.runSheet));
    return write(path, [&](QSaveFile& file) { return file.write(csv) == csv.size(); });
}

bool SheetPanel::writePdf(const QString& path)
{
    const auto document = m_model.document();
    return write(path, [&](QSaveFile& file) {
        QPdfWriter pdf(&file);
        pdf.setPageSize(QPageSize(QPageSize::A4));
        pdf.setPageMargins(QMarginsF(15, 15, 15, 15), QPageLayout::Millimeter);
        pdf.setTitle(tr("Run sheet"));
        QTextDocument text;
        text.setHtml(QString::fromStdString(report::runSheetHtml(*document, *document->settings.runSheet)));
        text.print(&pdf);
        return true;
    });
}

void SheetPanel::print()
{
    const auto document = m_model.document();
    if (!document->settings.runSheet)
        return;
    auto printer = std::make_shared<QPrinter>();
    auto* dialog = new QPrintDialog(printer.get(), this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(tr("Print the run sheet"));
    const std::string html = report::runSheetHtml(*document, *document->settings.runSheet);
    connect(dialog, qOverload<QPrinter*>(&QPrintDialog::accepted), this, [printer, html](QPrinter*) {
        QTextDocument text;
        text.setHtml(QString::fromStdString(html));
        text.print(printer.get());
    });
    dialog->open();
}

} // namespace ui
