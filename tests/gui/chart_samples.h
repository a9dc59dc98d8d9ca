#pragma once
#include "core/report/chart_model.h"
#include "ui/chart/chart_style.h"
#include <string>
#include <vector>

/// Chart models of a scenario of our own: a foot pedal on different links.
namespace chart_samples {

struct Sample {
    std::string name;
    double meanMs = 30;
    int trials = 24;
    double spreadMs = 6;
    std::string group = {};
};

/// A model as the report makes it: dots spread evenly about the mean, the first row the baseline, axis to a multiple
/// of 10.
report::ChartModel model(const std::vector<Sample>& samples);

/// Six configurations on two displays.
report::ChartModel pedalLinks();
/// `count` configurations with names of usual length.
report::ChartModel many(int count, int groups = 1);
/// Six configurations with names, title and footer that don't fit on one line.
report::ChartModel longNames();
/// Three configurations, and two of an earlier session with its method among the notes.
report::ChartModel withEarlier();
/// Rows without a mean beside rows with one.
report::ChartModel withoutMeans();
/// The same trials in another form: boxes of their dots, or differences to the first row with the given margin.
report::ChartModel inForm(const report::ChartModel& bars, session::ChartForm form, double marginMs = 2);

/// One style without files.
ui::ChartStyle style(session::ChartTheme theme = session::ChartTheme::Dark, QSize pixels = {1920, 1080});

} // namespace chart_samples
