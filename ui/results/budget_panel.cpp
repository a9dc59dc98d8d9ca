#include "ui/results/budget_panel.h"
#include "core/report/correction_words.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/layouts.h"
#include "ui/look/lettering.h"
#include "ui/look/look.h"
#include "ui/results/copied_table.h"

#include <QClipboard>
#include <QGuiApplication>
#include <QPainter>
#include <QPushButton>
#include <algorithm>
#include <cmath>
#include <string_view>

namespace ui {
namespace {

constexpr int rowHeight = 22, howHeight = 16;
constexpr int shareWidth = 84, dofWidth = 44, uWidth = 72;

int sourceWidth(int width) { return width - shareWidth - dofWidth - uWidth - 4; }

/// Three significant digits: enough to work the sum out again to the two that are shown of the interval.
QString three(double ms)
{
    return ms > 5e-7 ? QString::number(ms, 'f', std::clamp(2 - int(std::floor(std::log10(ms))), 0, 6))
                     : QStringLiteral("0");
}

QString dofText(double dof)
{
    if (std::isinf(dof))
        return QStringLiteral("\u221e");
    return QString::number(dof, 'f', dof == std::floor(dof) ? 0 : 1);
}

QString shareText(double share)
{
    return share < 0.001 ? BudgetPanel::tr("under 0.1 %") : BudgetPanel::tr("%1 %").arg(share * 100, 0, 'f', 1);
}

/// "0.10 % × 31.0 ms", "0.10 µs a row × −100 rows"; nothing where the cause is the line itself.
QString howOf(const report::BudgetRow& row)
{
    const QString times = QStringLiteral(" \u00d7 ");
    const auto minus = [](QString number) { return number.replace(QLatin1Char('-'), QChar(0x2212)); };
    if (row.unit == std::string_view("relative"))
        return QStringLiteral("%1 %").arg(three(100 * row.u)) + times
               + minus(QStringLiteral("%1 ms").arg(row.weight, 0, 'f', 2));
    if (row.unit == std::string_view("ms a row"))
        return BudgetPanel::tr("%1 \u00b5s a row").arg(three(1000 * row.u)) + times
               + minus(BudgetPanel::tr("%1 rows").arg(row.weight, 0, 'f', 1));
    return row.weight == 1 || row.weight == -1
               ? QString()
               : three(row.u) + BudgetPanel::tr(" ms") + times + minus(QString::number(row.weight, 'f', 2));
}

QString sentence(const stats::MeanBudget& mean, const stats::MeanOnBasis& basis)
{
    QStringList words;
    words << (basis.basis == stats::Basis::Runs
                  ? BudgetPanel::tr("By the means of %1 runs: wider than by single trials, so it is the one shown.")
                        .arg(mean.runs)
                  : BudgetPanel::tr("Counting, input phase and reading are inside the scatter of the trials."));
    if (mean.floorUsed)
        words << BudgetPanel::tr(
            "The trials scatter less than counting camera frames must; what counting gives stands in for it.");
    if (mean.theseRunsOnly)
        words << BudgetPanel::tr("Fewer than 4 runs: it holds for these runs only.");
    return words.join(QLatin1Char(' '));
}

} // namespace

BudgetPanel::BudgetPanel(QWidget* parent)
    : Panel(tr("Where it comes from"), parent), m_which(new ChoiceBox), m_table(new BudgetTable),
      m_copy(called("copyBudget", new QPushButton(tr("Copy")))), m_note(emptyNote({}, Text::Caption)),
      m_corrections(selectable(emptyNote({}, Text::State))),
      m_nothing(emptyNote(tr("An uncertainty needs at least two trials that count.")))
{
    makeCompact(*m_which);
    m_which->setMinimumContentsLength(14);
    m_which->setAccessibleName(tr("Uncertainty of"));
    addToHeader(m_which);
    makeCompact(*m_copy);
    m_copy->setToolTip(tr("The table in view as text, and all budgets of the session as CSV (Ctrl+Shift+C)"));
    connect(m_copy, &QPushButton::clicked, this, &BudgetPanel::copy);
    addToHeader(m_copy);
    setTrailing(tr("ms"));
    setHairline(false);
    connect(m_which, &ChoiceBox::chosen, this, [this](qint64 number) {
        m_ofDifference = number == 1;
        refresh();
    });
    auto* column = scrolledColumn(*this);
    addWidgets(*column, {m_table, m_note, m_nothing});
    column->addSpacing(4);
    column->addWidget(m_corrections);
    column->addStretch(1);
}

void BudgetPanel::show(const ResultsView& view)
{
    m_view = view;
    refresh();
}

void BudgetPanel::refresh()
{
    const analysis::ConfigurationResult* result = m_view.shown();
    const analysis::ConfigurationResult* compared = m_view.compared();
    const stats::MeanOnBasis* mean = result ? result->mean.shown() : nullptr;
    const bool comparable = compared && compared->comparison && compared->comparison->interval;
    const bool difference = m_ofDifference && comparable;
    QVector<std::pair<qint64, QString>> choices{{0, tr("of the mean")}};
    if (comparable)
        choices.append({1, tr("of the difference")});
    m_which->setChoices(choices, difference ? 1 : 0);
    m_shown.reset();
    const QString name = result ? QString::fromStdString(result->name) : QString();
    if (difference) {
        m_shown = report::budgetTable(compared->comparison->lines, *compared->comparison->interval);
        m_title =
            tr("%1 less %2")
                .arg(name,
                     QString::fromStdString(analysis::find(m_view.comparing(), m_view.comparing().baseline)->name));
        m_note->setText(
            tr("%1. Causes that both sides share enter once, with the difference of their weights.").arg(m_title));
    } else if (mean && mean->interval) {
        m_shown = report::budgetTable(mean->lines, *mean->interval);
        m_title = tr("Mean of %1").arg(name);
        m_note->setText(sentence(result->mean, *mean));
    }
    m_table->setVisible(m_shown.has_value());
    m_note->setVisible(m_shown.has_value());
    m_copy->setEnabled(m_shown.has_value());
    m_nothing->setVisible(!m_shown);
    if (m_shown)
        m_table->show(*m_shown);
    showCorrections();
}

/// What was added to the delays here, and what is said of it.
void BudgetPanel::showCorrections()
{
    QStringList lines;
    if (const analysis::ConfigurationResult* result = m_view.shown(); result && result->n > 0) {
        const std::string added = report::meanCorrection(*m_view.results, m_view.selected);
        lines << (added.empty() ? tr("Nothing was added to a delay here.")
                                : tr("Added to these delays on average: %1.").arg(QString::fromStdString(added)));
        for (const std::string& words : report::correctionSentences(*m_view.document, *m_view.results))
            lines << QString::fromStdString(words);
    }
    m_corrections->setText(lines.isEmpty() ? QString()
                                           : tr("Corrections") + QLatin1Char('\n') + lines.join(QLatin1Char('\n')));
    m_corrections->setVisible(!lines.isEmpty());
}

void BudgetPanel::copy() const
{
    if (m_shown)
        QGuiApplication::clipboard()->setMimeData(copiedBudget(m_title, *m_shown, m_view.comparing()));
}

void BudgetTable::show(const report::BudgetTable& table)
{
    m_lines = {{BudgetPanel::tr("source"),
                {},
                BudgetPanel::tr("uncertainty"),
                BudgetPanel::tr("dof"),
                BudgetPanel::tr("share")}};
    for (const report::BudgetRow& row : table.rows)
        m_lines << Line{QString::fromStdString(row.cause), howOf(row), three(row.uMs), dofText(row.dof),
                        table.together.uMs > 0 ? shareText(row.share) : QString()};
    const stats::Expanded& all = table.together;
    const QString level = QString::fromStdString(analysis::percent(all.level));
    m_lines << Line{BudgetPanel::tr("together"), {}, three(all.uMs), dofText(all.dof), {}, true}
            << Line{BudgetPanel::tr("coverage factor"), {}, QString::number(all.factor, 'f', 3)}
            << Line{BudgetPanel::tr("%1 interval, half width").arg(level), {}, three(all.halfWidthMs), {}, {}, true};
    measure();
    QStringList spoken;
    for (const Line& line : std::as_const(m_lines))
        spoken << QStringLiteral("%1: %2").arg(line.source, line.u);
    setAccessibleName(spoken.join(QStringLiteral("; ")));
    update();
}

void BudgetTable::resizeEvent(QResizeEvent*) { measure(); }

void BudgetTable::measure()
{
    int all = 4;
    for (Line& line : m_lines) {
        const QFontMetrics metrics(ui::font(Text::State, line.strong ? QFont::DemiBold : QFont::Normal));
        const int words =
            metrics.boundingRect(QRect(0, 0, sourceWidth(width()), 1000), Qt::TextWordWrap, line.source).height();
        line.height = std::max(rowHeight, words + 6) + (line.how.isEmpty() ? 0 : howHeight);
        all += line.height;
    }
    setFixedHeight(all);
}

void BudgetTable::paintEvent(QPaintEvent*)
{
    QPainter painter(this);
    const Tokens& t = tokens();
    const int share = width(), dof = share - shareWidth, u = dof - dofWidth;
    int top = 0;
    for (qsizetype i = 0; i < m_lines.size(); ++i) {
        const Line& line = m_lines[i];
        const bool heading = i == 0;
        setLettering(painter, heading ? Text::Caption : Text::State, heading ? t.text2 : t.text1,
                     line.strong ? QFont::DemiBold : QFont::Normal);
        const int first = line.height - (line.how.isEmpty() ? 0 : howHeight); // figures stand beside the cause
        painter.drawText(QRect(0, top, sourceWidth(width()), first),
                         int(Qt::AlignLeft | Qt::AlignVCenter) | Qt::TextWordWrap, line.source);
        const auto right = [&](int edge, const QString& words) {
            painter.drawText(QRect(edge - 120, top, 120, first), Qt::AlignRight | Qt::AlignVCenter, words);
        };
        right(u, line.u);
        painter.setPen(t.text2);
        right(dof, line.dof);
        right(share, line.share);
        if (!line.how.isEmpty()) {
            painter.setFont(ui::font(Text::Caption));
            painter.drawText(QRect(8, top + first - 4, width() - 8, howHeight), Qt::AlignLeft | Qt::AlignVCenter,
                             line.how);
        }
        top += line.height;
        painter.fillRect(QRect(0, top - 1, width(), 1), t.hairline);
    }
}

} // namespace ui
