#include "ui/results/budget_panel.h"
#include "core/report/figures.h"
#include "core/stats/rounding.h"
#include "ui/controls/choice_box.h"
#include "ui/controls/form_grid.h"
#include "ui/look/look.h"

#include <QHBoxLayout>
#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int rowHeight = 22;
constexpr int shareWidth = 84, dofWidth = 44, uWidth = 72;

int sourceWidth(int width)
{
    return width - shareWidth - dofWidth - uWidth - 4;
}

/// Three significant digits: enough to work the sum out again to the two that are shown of the interval.
QString three(double ms)
{
    return ms > 0 ? QString::number(ms, 'f', std::clamp(2 - int(std::floor(std::log10(ms))), 0, 6)) : QStringLiteral("0");
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

QString sentence(const stats::MeanBudget& mean, const stats::MeanOnBasis& basis)
{
    QStringList words;
    words << (basis.basis == stats::Basis::Runs
                  ? BudgetPanel::tr("Mean of the means of %1 runs: the interval is wider than over single trials, so it is the one shown.").arg(mean.runs)
                  : BudgetPanel::tr("Counting, input phase and reading are inside the scatter of the trials."));
    if (mean.floorUsed)
        words << BudgetPanel::tr("The trials scatter less than counting camera frames must; what counting gives stands in for it.");
    if (mean.theseRunsOnly)
        words << BudgetPanel::tr("Fewer than 4 runs: it holds for these runs only.");
    return words.join(QLatin1Char(' '));
}

} // namespace

BudgetPanel::BudgetPanel(QWidget* parent)
    : QWidget(parent),
      m_panel(new Panel(tr("Uncertainty"))),
      m_which(new ChoiceBox),
      m_table(new BudgetTable),
      m_note(emptyNote({})),
      m_nothing(emptyNote(tr("An uncertainty needs at least two trials that count.")))
{
    makeCompact(*m_which);
    m_which->setMinimumContentsLength(14);
    m_which->setAccessibleName(tr("Uncertainty of"));
    m_panel->addToHeader(m_which);
    m_panel->setTrailing(tr("ms"));
    m_panel->setHairline(false);
    connect(m_which, &ChoiceBox::chosen, this, [this](qint64 number) {
        m_ofDifference = number == 1;
        refresh();
    });
    auto* content = new QWidget;
    auto* inside = new QVBoxLayout(content);
    inside->setContentsMargins(grid::padding, 0, grid::padding, 8);
    inside->addWidget(m_table);
    inside->addWidget(m_note);
    inside->addWidget(m_nothing);
    inside->addStretch(1);
    m_note->setFont(ui::font(Text::Caption));
    m_panel->body()->setContentsMargins(0, 0, 0, 0);
    m_panel->body()->addWidget(scrolled(content));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(m_panel);
}

void BudgetPanel::show(const ResultsView& view)
{
    m_view = view;
    refresh();
}

void BudgetPanel::refresh()
{
    const report::ConfigurationResult* result = m_view.shown();
    const stats::MeanOnBasis* mean = result ? result->mean.shown() : nullptr;
    const bool comparable = result && result->comparison && result->comparison->interval;
    const bool difference = m_ofDifference && comparable;
    m_which->setChoices(comparable ? QVector<std::pair<qint64, QString>>{{0, tr("of the mean")}, {1, tr("of the difference")}}
                                   : QVector<std::pair<qint64, QString>>{{0, tr("of the mean")}},
                        difference ? 1 : 0);
    const bool shown = difference || (mean && mean->interval);
    m_table->setVisible(shown);
    m_note->setVisible(shown);
    m_nothing->setVisible(!shown);
    if (!shown)
        return;
    if (difference) {
        m_table->show(result->comparison->lines, *result->comparison->interval);
        m_note->setText(tr("Causes that both sides share enter once, with the difference of their weights."));
    } else {
        m_table->show(mean->lines, *mean->interval);
        m_note->setText(sentence(result->mean, *mean));
    }
}

void BudgetTable::show(const std::vector<stats::BudgetLine>& lines, const stats::Expanded& interval)
{
    m_lines.clear();
    m_lines << Line{BudgetPanel::tr("source"), BudgetPanel::tr("standard u"), BudgetPanel::tr("dof"), BudgetPanel::tr("share"), false, 0};
    const double all = interval.uMs * interval.uMs;
    for (const stats::BudgetLine& line : lines)
        m_lines << Line{QString::fromStdString(line.label), three(line.uMs), dofText(line.dof),
                        all > 0 ? shareText(line.uMs * line.uMs / all) : QString(), false, 0};
    m_lines << Line{BudgetPanel::tr("together"), three(interval.uMs), dofText(interval.dof), {}, true, 0};
    m_lines << Line{BudgetPanel::tr("coverage factor"), QString::number(interval.factor, 'f', 3), {}, {}, false, 0};
    m_lines << Line{BudgetPanel::tr("%1 interval, half width").arg(QString::fromStdString(report::percent(interval.level))),
                    three(interval.halfWidthMs), {}, {}, true, 0};
    measure();
    QStringList spoken;
    for (const Line& line : std::as_const(m_lines))
        spoken << QStringLiteral("%1: %2").arg(line.source, line.u);
    setAccessibleName(spoken.join(QStringLiteral("; ")));
    update();
}

void BudgetTable::resizeEvent(QResizeEvent*)
{
    measure();
}

void BudgetTable::measure()
{
    int all = 4;
    for (Line& line : m_lines) {
        const QFontMetrics metrics(ui::font(Text::State, line.strong ? QFont::DemiBold : QFont::Normal));
        const int words = metrics.boundingRect(QRect(0, 0, sourceWidth(width()), 1000), Qt::TextWordWrap, line.source).height();
        line.height = std::max(rowHeight, words + 6);
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
        painter.setFont(ui::font(heading ? Text::Caption : Text::State, line.strong ? QFont::DemiBold : QFont::Normal));
        painter.setPen(heading ? t.text2 : t.text1);
        painter.drawText(QRect(0, top, sourceWidth(width()), line.height), int(Qt::AlignLeft | Qt::AlignVCenter) | Qt::TextWordWrap, line.source);
        const auto right = [&](int edge, const QString& words) {
            painter.drawText(QRect(edge - 120, top, 120, line.height), Qt::AlignRight | Qt::AlignVCenter, words);
        };
        right(u, line.u);
        painter.setPen(t.text2);
        right(dof, line.dof);
        right(share, line.share);
        top += line.height;
        painter.fillRect(QRect(0, top - 1, width(), 1), t.hairline);
    }
}

} // namespace ui
