#include "tests/gui/chart_samples.h"

#include "core/stats/rounding.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cmath>

namespace chart_samples {
namespace {

std::string fixed(double value)
{
    const auto tenths = std::lround(value * 10);
    return std::to_string(tenths / 10) + "." + std::to_string(std::abs(tenths % 10));
}

/// Evenly spread shares of 0..1 in an order that doesn't rise, as trials come.
double share(int i, int n) { return (static_cast<double>((i * 7) % n) + 0.5) / n; }

} // namespace

report::ChartModel model(const std::vector<Sample>& samples)
{
    report::ChartModel made;
    made.title = "Pedal to screen: what the link adds";
    made.subtitle = "From closing the pedal contact to the first change on screen, in ms";
    made.shortHeading = "mean";
    made.valueHeading = "mean \u00b1 95 %";
    made.footer = {"Each dot is one trial. Bracket: 95 % interval of the mean. Dotted line: baseline.",
                   "These runs only: with fewer than 4 runs, another run may differ by more."};
    made.notes = {"959.9 and 473.6 camera frames a second, margin 2 ms."};
    double most = 0;
    std::int64_t id = 0;
    for (const Sample& sample : samples) {
        if (made.groups.empty() || made.groups.back().name != sample.group)
            made.groups.push_back({sample.group, {}});
        report::ChartRow row;
        row.configuration.value = ++id;
        row.name = sample.name;
        row.baseline = id == 1;
        row.counts = std::to_string(sample.trials);
        row.detail = std::to_string(sample.trials) + " trials" + (row.baseline ? ", baseline" : "");
        row.valueMs = sample.meanMs;
        row.lowMs = sample.meanMs - sample.spreadMs / 5;
        row.highMs = sample.meanMs + sample.spreadMs / 5;
        row.value = fixed(sample.meanMs);
        row.beside = "\u00b1 " + fixed(sample.spreadMs / 5);
        for (int i = 0; i < sample.trials; ++i) {
            // A camera interval of 1.0417 ms: many trials share a count.
            const double delay =
                sample.meanMs + sample.spreadMs * (share(i, sample.trials) + share(3 * i + 1, sample.trials) - 1);
            row.dotsMs.push_back(std::max(0.0, std::round(delay / 1.0417) * 1.0417));
            most = std::max(most, row.dotsMs.back());
        }
        most = std::max(most, *row.highMs);
        made.groups.back().rows.push_back(row);
    }
    const double step = most > 100 ? 200 : 10;
    made.axisMaxMs = std::ceil(most / step) * step;
    for (double tick = 0; tick <= made.axisMaxMs; tick += step)
        made.ticks.push_back({tick, std::to_string(std::lround(tick))});
    made.baselineMs = made.groups.front().rows.front().valueMs;
    return made;
}

report::ChartModel pedalLinks()
{
    return model({{"Direct", 31.3, 24, 5.5, "144 Hz display"},
                  {"Powered hub", 31.3, 24, 5.0, "144 Hz display"},
                  {"Chained hubs", 32.5, 23, 5.5, "144 Hz display"},
                  {"Wireless bridge", 38.5, 23, 5.5, "144 Hz display"},
                  {"Direct", 42.8, 24, 8.5, "75 Hz display"},
                  {"Wireless bridge", 49.2, 23, 9.5, "75 Hz display"}});
}

report::ChartModel withEarlier()
{
    report::ChartModel made = model({{"Direct", 31.3, 24, 5.5, ""},
                                     {"Powered hub", 33.1, 24, 5.0, ""},
                                     {"Wireless bridge", 38.5, 23, 5.5, ""},
                                     {"Direct", 33.0, 24, 5.5, "Earlier: Spring bench"},
                                     {"Long cable", 35.8, 18, 5.0, "Earlier: Spring bench"}});
    for (report::ChartRow& row : made.groups.back().rows)
        row.earlier = true;
    made.notes.push_back("Earlier session \u201cSpring bench\u201d of 2026-03-01: 473.6 camera frames a second, first "
                         "visible change. Compared by way of Direct, measured in both (31.3 ms here, 33.0 ms there), "
                         "each by itself at 95 %.");
    return made;
}

report::ChartModel many(int count, int groups)
{
    const char* names[] = {"Direct",     "Powered hub", "Chained hubs", "Wireless bridge",
                           "Long cable", "Adapter",     "Two adapters"};
    std::vector<Sample> samples;
    for (int i = 0; i < count; ++i)
        samples.push_back({std::string(names[i % 7]) + (i < 7 ? "" : " again"), 28.0 + 2.3 * i, 24, 6,
                           groups > 1 ? "Display " + std::to_string(i * groups / count + 1) : ""});
    return model(samples);
}

report::ChartModel longNames()
{
    std::vector<Sample> samples;
    for (int i = 0; i < 6; ++i)
        samples.push_back(
            {"Foot pedal behind two chained hubs and a wireless bridge, firmware " + std::to_string(i + 1),
             30.0 + 3 * i, 24, 6, ""});
    report::ChartModel made = model(samples);
    made.title = "What a foot pedal's link adds between closing the contact and the first change on the screen";
    return made;
}

report::ChartModel withoutMeans()
{
    report::ChartModel made = many(5);
    for (const int i : {1, 3}) {
        report::ChartRow& row = made.groups.front().rows[static_cast<std::size_t>(i)];
        row.state = i == 1 ? "clock not settled" : "no trials yet";
        row.detail = i == 1 ? "24 trials" : "no trials";
        row.valueMs = row.lowMs = row.highMs = std::nullopt;
        row.dotsMs.clear();
        row.value = row.beside = {};
    }
    return made;
}

report::ChartModel inForm(const report::ChartModel& bars, session::ChartForm form, double marginMs)
{
    report::ChartModel made = bars;
    made.form = form;
    if (form == session::ChartForm::Bars)
        return made;
    double least = 0, most = 0;
    const double baseline = *bars.groups.front().rows.front().valueMs;
    if (form == session::ChartForm::Differences) {
        made.groups.front().rows.erase(made.groups.front().rows.begin());
        std::erase_if(made.groups, [](const report::ChartGroup& group) { return group.rows.empty(); });
        made.baselineMs.reset();
        made.marginMs = marginMs;
        made.valueHeading = made.shortHeading = "difference, ms";
        made.subtitle = "Difference of mean delay to Direct (" + fixed(baseline) + " ms), in ms";
        made.footer.front() = "Bracket: interval of the difference; all hold together at 95 %.";
        least = -1.15 * marginMs;
        most = -least;
    } else {
        made.valueHeading = "median, middle half";
        made.shortHeading = "median";
        made.footer.front() = "Each dot is one trial. Box: middle half of them, with their median; line: least to "
                              "most. Dotted line: baseline.";
    }
    for (report::ChartGroup& group : made.groups)
        for (report::ChartRow& row : group.rows) {
            if (!row.valueMs)
                continue;
            if (form == session::ChartForm::Boxes) {
                const stats::Summary summary = stats::summarise(row.dotsMs);
                row.box = report::ChartBox{*summary.min, *summary.lowerQuartile, *summary.median,
                                           *summary.upperQuartile, *summary.max};
                row.valueMs = summary.median;
                row.value = fixed(*summary.median);
                row.beside = fixed(*summary.lowerQuartile) + " to " + fixed(*summary.upperQuartile);
                row.lowMs = row.highMs = std::nullopt;
                continue;
            }
            const double difference = *row.valueMs - baseline, half = (*row.highMs - *row.lowMs) * 0.7;
            row.dotsMs.clear();
            row.valueMs = difference;
            row.lowMs = difference - half;
            row.highMs = difference + half;
            least = std::min(least, *row.lowMs);
            most = std::max(most, *row.highMs);
            row.beside.clear();
            row.value = stats::formatSigned(difference, 1);
            row.verdict = *row.lowMs > 0    ? "longer, " + fixed(*row.lowMs) + " to " + fixed(*row.highMs)
                          : *row.highMs < 0 ? "shorter, less than the margin"
                          : half < marginMs - std::abs(difference) ? "same within the margin"
                                                                   : "not resolved";
            if (row.verdict == "same within the margin") {
                row.sameLowMs = difference - 0.8 * half;
                row.sameHighMs = difference + 0.8 * half;
            }
        }
    if (form == session::ChartForm::Differences) {
        const double step = most - least > 40 ? 10 : 5;
        made.ticks.clear();
        for (double tick = std::floor(least / step) * step; tick < most + step; tick += step)
            made.ticks.push_back({tick, stats::formatSigned(tick, 0)});
        made.axisMinMs = made.ticks.front().ms;
        made.axisMaxMs = made.ticks.back().ms;
    }
    return made;
}

ui::ChartStyle style(session::ChartTheme theme, QSize pixels)
{
    ui::ChartStyle made;
    made.theme = ui::bundledTheme(theme);
    made.pixels = pixels;
    return made;
}

} // namespace chart_samples
