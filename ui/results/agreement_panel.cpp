#include "ui/results/agreement_panel.h"
#include "core/report/sentences.h"
#include "core/stats/rounding.h"
#include "ui/controls/layouts.h"
#include "ui/controls/numbers.h"
#include "ui/controls/row_list.h"
#include "ui/look/lettering.h"

#include <QGridLayout>
#include <QKeyEvent>
#include <QPainter>
#include <cmath>

namespace ui {
namespace {

QString share(int count, int of) { return AgreementPanel::tr("%1 %").arg(std::lround(100.0 * count / of)); }

QString number(double value, int decimals, bool isSigned)
{
    return QString::fromStdString(isSigned ? stats::formatSigned(value, decimals)
                                           : stats::formatFixed(value, decimals));
}

} // namespace

AgreementPanel::AgreementPanel(QWidget* parent)
    : QWidget(parent), m_panel(new Panel(tr("Readings"))), m_settle(new Panel(tr("To settle by looking again"))),
      m_summary(called("agreementSummary", selectable(wrapping()))),
      m_scatter(selectable(wrapping({}, Text::State, Tone::Secondary))),
      m_nothing(emptyNote(tr("Nothing: readings of every trial agree or one is chosen, and none is in doubt."))),
      m_table(new QWidget), m_pairs(new QGridLayout(m_table))
{
    auto* content = new QWidget;
    auto* inside = columnIn(content, 0);
    m_panel->body()->setSpacing(8);
    m_pairs->setContentsMargins(0, 0, 0, 0);
    m_pairs->setHorizontalSpacing(12);
    m_pairs->setVerticalSpacing(4);
    m_pairs->setColumnStretch(0, 1);
    addWidgets(*m_panel->body(), {m_summary, m_table, m_scatter});
    inside->addWidget(m_panel);
    m_settle->setHairline(false);
    m_settle->body()->setContentsMargins(0, 0, 0, 8);
    m_nothing->setContentsMargins(grid::padding, 0, grid::padding, 0);
    m_settle->body()->addWidget(m_nothing);
    m_list = new RowList(grid::row, [this](QPainter& p, const QRect& rect, int row, bool selected) {
        const QRect inner = rect.adjusted(grid::padding, 0, -grid::padding, 0);
        setLettering(p, Text::Body, tokens().text1);
        const QString trial = p.fontMetrics().elidedText(m_rows[row].trial, Qt::ElideMiddle, inner.width() / 2);
        p.drawText(inner, Qt::AlignLeft | Qt::AlignVCenter, trial);
        const int taken = p.fontMetrics().horizontalAdvance(trial) + 16;
        setLettering(p, Text::State, selected ? tokens().text2 : tokens().text3);
        p.drawText(inner, Qt::AlignRight | Qt::AlignVCenter,
                   p.fontMetrics().elidedText(m_rows[row].why, Qt::ElideRight, inner.width() - taken));
    });
    m_list->setAccessibleName(tr("Trials to settle"));
    m_list->setFitted(true);
    m_list->setPassedOn({Qt::Key_Return, Qt::Key_Enter});
    connect(m_list, &QListWidget::itemDoubleClicked, this, &AgreementPanel::openCurrent);
    m_settle->body()->addWidget(m_list);
    inside->addWidget(m_settle);
    inside->addStretch(1);
    columnIn(this)->addWidget(scrolled(content));
}

void AgreementPanel::show(const ResultsView& view)
{
    m_agreement = analysis::readingAgreement(*view.document, *view.results);
    m_panel->setTrailing(m_agreement.readAgain > 0 ? tr("%1 read again, %2 blind")
                                                         .arg(counted(m_agreement.readAgain, tr("trial")))
                                                         .arg(m_agreement.readAgainBlind)
                                                   : QString());
    const stats::Agreement& first = m_agreement.first;
    m_summary->setText(first.n > 0 ? tr("%1 the same count, %2 within one camera frame.")
                                         .arg(share(first.equal, first.n), share(first.withinOne, first.n))
                                   : tr("No trial was read a second time yet. Trial > Read blind draws some, and Trial "
                                        "> Hand out a blind packet lets someone else read them."));
    showPairs(view);
    QString scatter;
    if (m_agreement.inMs > 1 && m_agreement.readingSdMs > 0) {
        const int decimals = stats::decimalsFor(m_agreement.readingSdMs);
        scatter = tr("One reading scatters by %1 ms (SD).").arg(number(m_agreement.readingSdMs, decimals, false));
        if (m_agreement.trialSdMs && *m_agreement.trialSdMs > 0)
            scatter += tr(" Of the variance of trials, whose SD of %1 ms holds it already, that is %2 %.")
                           .arg(number(*m_agreement.trialSdMs, decimals, false))
                           .arg(std::lround(100 * std::pow(m_agreement.readingSdMs / *m_agreement.trialSdMs, 2)));
    } else if (m_agreement.inMs > 1) {
        scatter = tr("Reading adds no scatter that these could show.");
    }
    if (m_agreement.reactionDiffers > 0)
        scatter += (scatter.isEmpty() ? QString() : QStringLiteral(" "))
                   + tr("In %1 one reading sees a reaction and another none.")
                         .arg(counted(m_agreement.reactionDiffers, tr("trial")));
    m_scatter->setText(scatter);
    m_scatter->setVisible(!scatter.isEmpty());

    m_rows.clear();
    QStringList spoken;
    for (const analysis::ToSettle& trial : m_agreement.toSettle) {
        m_rows << Row{QString::fromStdString(session::trialName(*view.document, trial.trial)),
                      QString::fromStdString(trial.why)};
        spoken << m_rows.back().trial + QStringLiteral(", ") + m_rows.back().why;
    }
    m_list->setRows(spoken);
    if (!m_rows.isEmpty() && m_list->currentRow() < 0)
        m_list->selectRow(0);
    m_list->setVisible(!m_rows.isEmpty());
    m_nothing->setVisible(m_rows.isEmpty());
    m_settle->setTrailing(m_rows.isEmpty() ? QString() : counted(m_rows.size(), tr("trial")));
}

void AgreementPanel::showPairs(const ResultsView& view)
{
    emptyOut(*m_pairs);
    m_table->setVisible(!m_agreement.pairs.empty());
    const auto put = [this](int row, int column, const QString& text, bool head) {
        auto* label = new Label(text, Text::State, head ? Tone::Secondary : Tone::Primary);
        label->setWordWrap(!head && column == 0);
        label->setAlignment(column == 0 ? Qt::AlignLeft : Qt::AlignRight);
        m_pairs->addWidget(label, row, column,
                           Qt::Alignment(column == 0 ? Qt::AlignLeft : Qt::AlignRight)
                               | (head ? Qt::AlignBottom : Qt::AlignTop));
    };
    const QString heads[] = {tr("camera frames,\nsecond less first"),
                             tr("n"),
                             tr("same"),
                             tr("within\none"),
                             tr("bias"),
                             tr("limits of\nagreement"),
                             tr("repeat-\nability")};
    for (int column = 0; column < 7; ++column)
        put(0, column, heads[column], true);
    int row = 1;
    for (const analysis::ReaderPair& pair : m_agreement.pairs) {
        const bool again = pair.first == pair.second;
        const stats::Agreement& count = pair.count;
        put(row, 0,
            again ? tr("%1 again").arg(QString::fromStdString(pair.first))
                  : tr("%1, %2").arg(QString::fromStdString(pair.first), QString::fromStdString(pair.second)),
            false);
        put(row, 1, QString::number(count.n), false);
        put(row, 2, share(count.equal, count.n), false);
        put(row, 3, share(count.withinOne, count.n), false);
        const QString none = QStringLiteral("–");
        const bool scatters = count.spread && count.spread->sd > 0;
        put(row, 4, number(count.bias, scatters ? stats::decimalsFor(count.spread->biasU) : 1, true), false);
        const int decimals = scatters ? stats::decimalsFor(count.spread->limitU) : 1;
        put(row, 5,
            scatters ? tr("%1 to %2")
                           .arg(number(count.spread->limitLow, decimals, true),
                                number(count.spread->limitHigh, decimals, true))
                     : none,
            false);
        put(row, 6, again && scatters ? number(stats::repeatability(count), decimals, false) : none, false);
        ++row;
    }
    m_table->setToolTip(
        tr("At %1 %; repeatability: two readings of one trial by the same reader differ by less in 95 of 100.")
            .arg(shortNumber(std::round(view.results->level * 1e5) / 1e3)));
}

void AgreementPanel::focusList()
{
    (m_rows.isEmpty() ? static_cast<QWidget*>(this) : m_list)->setFocus(Qt::OtherFocusReason);
}

void AgreementPanel::openCurrent()
{
    const int row = m_list->currentRow();
    if (row >= 0 && row < static_cast<int>(m_agreement.toSettle.size()))
        emit trialAsked(m_agreement.toSettle[static_cast<std::size_t>(row)].trial.value);
}

void AgreementPanel::keyPressEvent(QKeyEvent* event)
{
    if ((event->key() == Qt::Key_Return || event->key() == Qt::Key_Enter) && m_list->hasFocus())
        openCurrent();
    else
        QWidget::keyPressEvent(event);
}

} // namespace ui
