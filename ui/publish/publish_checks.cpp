#include "ui/publish/publish_checks.h"
#include "ui/chart/chart_palette.h"
#include "ui/controls/numbers.h"

#include <QCoreApplication>
#include <algorithm>

namespace ui {
namespace {

QString tr(const char* words, const char* note = nullptr, int n = -1)
{
    return QCoreApplication::translate("ui", words, note, n);
}

QString text(const std::string& utf8) { return QString::fromStdString(utf8); }

int countOf(const analysis::Results& results, analysis::TrialState state)
{
    return static_cast<int>(std::ranges::count(results.trials, state, &analysis::TrialOutcome::state));
}

/// The first capture for which it holds.
qint64 firstCapture(const session::Document& document, const auto& holds)
{
    for (const session::Capture* capture : session::inOrder(document.captures))
        if (holds(capture->id))
            return capture->id.value;
    return 0;
}

PublishCheck readChecked(const session::Document& document, const analysis::Results& results)
{
    const int left = countOf(results, analysis::TrialState::NotRead);
    if (left > 0)
        return {false, tr("trials aren't read"), tr("%1 of %2").arg(left).arg(results.trials.size()), Remedy::Trial,
                std::ranges::find(results.trials, analysis::TrialState::NotRead, &analysis::TrialOutcome::state)
                    ->trial.value};
    if (results.unreadPresses > 0)
        return {false, tr("proposed presses aren't read"), tr("%1 to read or drop").arg(results.unreadPresses),
                Remedy::Capture,
                firstCapture(document, [&](session::CaptureId id) { return !unreadPresses(document, id).empty(); })};
    if (results.notLookedThrough > 0)
        return {false, tr("captures nobody has looked through"), QString::number(results.notLookedThrough),
                Remedy::Capture,
                firstCapture(document, [&](session::CaptureId id) { return isUnlooked(document, id); })};
    return {true, tr("every trial is read"), tr("%n trial(s)", nullptr, int(results.trials.size()))};
}

PublishCheck plannedChecked(const analysis::Results& results)
{
    if (!results.plannedTrials)
        return {false, tr("no number of trials is planned"), tr("plan it before the first look"), Remedy::Plan};
    QStringList fewer;
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (result.n < result.planned.value_or(0))
            fewer << tr("%1 has %2 of %3").arg(text(result.name)).arg(result.n).arg(*result.planned);
    if (fewer.isEmpty())
        return {true, tr("planned trials are reached"), tr("%1 of each").arg(*results.plannedTrials)};
    return {false, tr("fewer trials than planned"), fewer.join(QStringLiteral("\n")), Remedy::Read};
}

PublishCheck chartChecked(const std::vector<ChartScene>& chart)
{
    for (const ChartScene& scene : chart)
        if (!scene.shortened.isEmpty())
            return {false, tr("the chart shortens a text"), scene.shortened.front().left(80), Remedy::Title};
    if (chart.size() > 1)
        return {true, tr("chart in %1 pictures").arg(chart.size()), tr("all legible, on one scale")};
    return {true, tr("names in full"), tr("nothing cut, nothing overlaps")};
}

/// The smallest text of a chart; colours by paletteFaults().
QVector<PublishCheck> legibilityChecked(const std::vector<ChartScene>& chart, const ChartStyle& style)
{
    int smallest = 1000, groups = 0;
    for (const ChartScene& scene : chart)
        for (const ChartPiece& piece : scene.pieces) {
            if (piece.form == ChartPiece::Form::Words)
                smallest = std::min(smallest, piece.pixelSize);
            groups += piece.part == ChartPart::Group;
        }
    const double pixels = chart.front().pixels.width() / chart.front().size.width();
    QVector<PublishCheck> checks{{true, tr("smallest text %1 px").arg(qRound(smallest * pixels)),
                                  tr("legible on a phone where the picture fills it")}};
    const ChartPalette& palette = style.theme.palette;
    const QStringList faults = paletteFaults(palette, groups);
    if (faults.isEmpty())
        checks << PublishCheck{true, tr("colours legible and told apart"),
                               tr("text %1 : 1; also with a colour vision deficiency")
                                   .arg(QString::number(contrastRatio(palette.quietText, palette.background), 'f', 1))};
    for (const QString& fault : faults)
        checks << PublishCheck{false, tr("a colour of the theme"), fault, Remedy::OwnTheme};
    if (style.transparent)
        checks << PublishCheck{
            false, tr("nothing lies behind the chart"),
            tr("lay it over something about as %1 as %2")
                .arg(palette.background.lightness() < 128 ? tr("dark") : tr("light"), palette.background.name()),
            Remedy::Ground};
    return checks;
}

PublishCheck warned(const std::string& warning, const analysis::Mend& mend)
{
    PublishCheck check{false, text(warning), {}, Remedy::Results};
    const auto at = [&](Remedy remedy, const auto& id) {
        if (id && check.remedy == Remedy::Results) {
            check.remedy = remedy;
            check.at = id.value;
        }
    };
    at(Remedy::Trial, mend.trial);
    at(Remedy::Capture, mend.capture);
    at(Remedy::Clock, mend.clock);
    at(Remedy::Earlier, mend.earlier);
    if (mend.plan)
        check.remedy = Remedy::Plan;
    return check;
}

} // namespace

QString remedyWords(Remedy remedy)
{
    switch (remedy) {
    case Remedy::None: break;
    case Remedy::Read: return tr("Go and read");
    case Remedy::Trial: return tr("Show the trial");
    case Remedy::Capture: return tr("Show the capture");
    case Remedy::Clock: return tr("Show the clock");
    case Remedy::Earlier: return tr("Say what both measured");
    case Remedy::Plan: return tr("Go to the plan");
    case Remedy::Results: return tr("See the results");
    case Remedy::Title: return tr("Shorten the title");
    case Remedy::OwnTheme: return tr("Use a built-in theme");
    case Remedy::Ground: return tr("Fill the ground");
    }
    return {};
}

bool anythingToPublish(const analysis::Results& results)
{
    return std::ranges::any_of(results.configurations, [](const auto& result) { return result.trials > 0; });
}

QVector<PublishCheck> publishChecks(const session::Document& document, const analysis::Results& results,
                                    const std::vector<ChartScene>& chart, const ChartStyle& style)
{
    if (!anythingToPublish(results))
        return {};
    QVector<PublishCheck> checks{readChecked(document, results)};
    // An unsettled clock is among the warnings.
    if (countOf(results, analysis::TrialState::ClockNotSettled) == 0)
        checks << PublishCheck{true, tr("clocks are settled"), {}};
    checks << plannedChecked(results) << chartChecked(chart) << legibilityChecked(chart, style);
    for (std::size_t i = 0; i < results.warnings.size(); ++i)
        checks << warned(results.warnings[i], results.mends[i]);
    std::ranges::stable_partition(checks, [](const PublishCheck& check) { return !check.fine; });
    return checks;
}

} // namespace ui
