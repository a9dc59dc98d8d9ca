#pragma once
#include "core/analysis/results.h"
#include <optional>
#include <string>
#include <vector>

namespace report {

/// Quartiles (Hyndman & Fan 7), least and most of the trials of a row.
struct ChartBox {
    double least = 0, lower = 0, median = 0, upper = 0, most = 0;
};

struct ChartRow {
    session::ConfigurationId configuration;
    std::string name;
    std::string detail; ///< "24 trials, 1 rejected, baseline"
    std::string counts; ///< the same where there is no room: "24", "23 of 24"
    bool baseline = false;
    bool earlier = false;          ///< of an earlier session: drawn striped, its dots as squares
    std::optional<double> valueMs; ///< mean; median (Boxes); configuration minus baseline (Differences); empty: `state`
    std::optional<double> lowMs, highMs; ///< interval of mean or difference. `lowMs` may lie below the axis
    /// Differences that are the same within the margin: what that goes by, within `lowMs` and `highMs`.
    std::optional<double> sameLowMs, sameHighMs;
    std::optional<ChartBox> box; ///< Boxes only
    std::vector<double> dotsMs;  ///< one a trial, in the order taken; none in Differences
    std::string value;           ///< "31.3", "+7.2"; empty without a value
    std::string beside;          ///< "± 1.1"; "29.2 to 33.3" (Boxes); empty without
    std::string verdict;         ///< Differences: "longer, 5.7 to 8.7"
    std::string state;           ///< in place of a bar: "clock not settled", "all rejected", ...; empty with a value
};

struct ChartGroup {
    std::string name;           ///< may be empty
    std::vector<ChartRow> rows; ///< >= 1
};

struct ChartTick {
    double ms = 0;
    std::string label; ///< without the unit
};

/// The comparison chart as numbers and words; places and pixels are the painter's.
struct ChartModel {
    session::ChartForm form = session::ChartForm::Bars;
    std::string title, subtitle;
    std::vector<ChartGroup> groups; ///< none in a session without configurations
    std::string valueHeading;       ///< "mean ± 95 %"; empty where no row has a value
    std::string shortHeading;       ///< "mean": where the value stands alone
    std::string unit = "ms";
    double axisMinMs = 0, axisMaxMs = 0; ///< first and last tick. Bars: from 0. Differences: 0 lies between them
    std::vector<ChartTick> ticks;        ///< ascending, >= 2; empty where no row has a value
    std::optional<double> baselineMs;    ///< where the dotted line stands; none in Differences
    std::optional<double> marginMs;      ///< Differences: half the width of the band
    std::vector<std::string> footer;     ///< what dot, bracket and line mean, and what has to stand beside any figure
    std::vector<std::string>
        notes; ///< rates, margin, corrections, earlier sessions, the analyst's footnote: may stand apart
};

/// By the session's publish settings, in a form of its own where one is given. Words the analyst didn't give (title,
/// subtitle) are made from the session; his subtitle speaks of the form he chose and stands with that one only.
/// `analysis::Results` are those of `Document`.
ChartModel chartModel(const session::Document&, const analysis::Results&, session::ChartForm form);
ChartModel chartModel(const session::Document&, const analysis::Results&);

/// Capture rates of the clocks that the delays were read with, highest first: "960 camera frames a second"; empty where
/// none was.
std::string captureRates(const session::Document&, const analysis::Results&);

/// What `PublishSettings::groupBy` may be: key and words; only checklist fields that some configuration fills in.
struct GroupChoice {
    std::string key, words;
};
std::vector<GroupChoice> groupChoices(const session::Document&);

} // namespace report
