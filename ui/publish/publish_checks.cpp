#include "ui/publish/publish_checks.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_palette.h"
#include "ui/controls/numbers.h"

#include <QCoreApplication>
#include <algorithm>

namespace ui {
namespace {

QString tr(const char* words)
{
    return QCoreApplication::translate("PublishChecks", words);
}

QString text(const std::string& utf8)
{
    return QString::fromStdString(utf8);
}

PublishCheck readChecked(const report::Results& results)
{
    int left = 0, open = 0;
    for (const report::TrialOutcome& trial : results.trials) {
        left += trial.state == report::TrialState::NotRead || trial.state == report::TrialState::Untagged;
        open += trial.open && trial.state != report::TrialState::Rejected;
    }
    if (left == 0 && open == 0)
        return {true, tr("every trial is read"), counted(qint64(results.trials.size()), tr("trial"))};
    QStringList parts;
    if (left > 0)
        parts << tr("%1 not read or not tagged").arg(left);
    if (open > 0)
        parts << tr("%1 open: the readings differ").arg(open);
    return {false, tr("trials are left"), parts.join(QStringLiteral(", "))};
}

PublishCheck clocksChecked(const session::Document& document)
{
    QStringList unsettled;
    for (const auto& [id, clock] : document.clocks)
        if (session::stateOf(*clock) != session::ClockState::Settled
            && std::ranges::any_of(document.captures, [&](const auto& item) { return item.second->clock == id; }))
            unsettled << text(clock->name);
    if (unsettled.isEmpty())
        return {true, tr("clocks are settled"), counted(qint64(document.clocks.size()), tr("clock"))};
    return {false, tr("a clock isn't settled"), tr("%1: no ms from it").arg(unsettled.join(QStringLiteral(", ")))};
}

PublishCheck plannedChecked(const report::Results& results)
{
    if (!results.plannedTrials)
        return {false, tr("no number of trials is planned"), tr("plan it before the first look")};
    QStringList fewer;
    for (const report::ConfigurationResult& result : results.configurations)
        if (result.n < *results.plannedTrials)
            fewer << tr("%1 has %2 of %3").arg(text(result.name)).arg(result.n).arg(*results.plannedTrials);
    if (fewer.isEmpty())
        return {true, tr("planned trials are reached"), tr("%1 of each").arg(*results.plannedTrials)};
    return {false, tr("fewer trials than planned"), fewer.join(QStringLiteral("\n"))};
}

PublishCheck chartChecked(const ChartScene& chart)
{
    if (chart.rowsLeftOut > 0)
        return {false, tr("the chart leaves out %1").arg(counted(chart.rowsLeftOut, tr("configuration"))), tr("shorter names and footnotes make room")};
    if (!chart.shortened.isEmpty())
        return {false, tr("the chart shortens a text"), chart.shortened.front().left(80)};
    return {true, tr("names in full"), tr("nothing cut, nothing overlaps")};
}

PublishCheck legibilityChecked(const ChartScene& chart)
{
    int smallest = 1000;
    double text = 21, bar = 21;
    for (const ChartPiece& piece : chart.pieces) {
        if (piece.form == ChartPiece::Form::Words) {
            smallest = std::min(smallest, piece.pixelSize);
            text = std::min(text, contrastRatio(piece.fill, chart.background));
        } else if (piece.part == ChartPart::Bar) {
            bar = std::min(bar, contrastRatio(piece.fill, chart.background));
        }
    }
    const bool fine = smallest >= smallestChartText && text >= 4.5 && bar >= 3;
    return {fine, tr("smallest text %1 px").arg(smallest),
            tr("contrast: text %1 : 1, bars %2 : 1").arg(QString::number(text, 'f', 1), QString::number(bar, 'f', 1))};
}

} // namespace

bool anythingToPublish(const report::Results& results)
{
    return std::ranges::any_of(results.configurations, [](const auto& result) { return result.trials > 0; });
}

QVector<PublishCheck> publishChecks(const session::Document& document, const report::Results& results, const ChartScene& chart)
{
    if (!anythingToPublish(results))
        return {};
    QVector<PublishCheck> checks{readChecked(results), clocksChecked(document), plannedChecked(results), chartChecked(chart),
                                 legibilityChecked(chart)};
    for (const std::string& warning : results.warnings)
        checks << PublishCheck{false, text(warning), {}};
    return checks;
}

} // namespace ui
