#include "ui/publish/publish_checks.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_palette.h"
#include "ui/controls/numbers.h"

#include <QCoreApplication>
#include <algorithm>

namespace ui {
namespace {

QString tr(const char* words) { return QCoreApplication::translate("PublishChecks", words); }

QString text(const std::string& utf8) { return QString::fromStdString(utf8); }

int countOf(const analysis::Results& results, analysis::TrialState state)
{
    return static_cast<int>(std::ranges::count(results.trials, state, &analysis::TrialOutcome::state));
}

PublishCheck readChecked(const analysis::Results& results)
{
    const int left = countOf(results, analysis::TrialState::NotRead);
    return left == 0
               ? PublishCheck{true, tr("every trial is read"), counted(qint64(results.trials.size()), tr("trial"))}
               : PublishCheck{false, tr("trials aren't read"), tr("%1 of %2").arg(left).arg(results.trials.size())};
}

PublishCheck plannedChecked(const analysis::Results& results)
{
    if (!results.plannedTrials)
        return {false, tr("no number of trials is planned"), tr("plan it before the first look")};
    QStringList fewer;
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (result.n < result.planned.value_or(0))
            fewer << tr("%1 has %2 of %3").arg(text(result.name)).arg(result.n).arg(*result.planned);
    if (fewer.isEmpty())
        return {true, tr("planned trials are reached"), tr("%1 of each").arg(*results.plannedTrials)};
    return {false, tr("fewer trials than planned"), fewer.join(QStringLiteral("\n"))};
}

PublishCheck chartChecked(const ChartScene& chart)
{
    if (chart.rowsLeftOut > 0)
        return {false, tr("the chart leaves out %1").arg(counted(chart.rowsLeftOut, tr("configuration"))),
                tr("shorter names and footnotes make room")};
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

bool anythingToPublish(const analysis::Results& results)
{
    return std::ranges::any_of(results.configurations, [](const auto& result) { return result.trials > 0; });
}

QVector<PublishCheck> publishChecks(const analysis::Results& results, const ChartScene& chart)
{
    if (!anythingToPublish(results))
        return {};
    QVector<PublishCheck> checks{readChecked(results)};
    // An unsettled clock is among the warnings.
    if (countOf(results, analysis::TrialState::ClockNotSettled) == 0)
        checks << PublishCheck{true, tr("clocks are settled"), {}};
    checks << plannedChecked(results) << chartChecked(chart) << legibilityChecked(chart);
    for (const std::string& warning : results.warnings)
        checks << PublishCheck{false, text(warning), {}};
    return checks;
}

} // namespace ui
