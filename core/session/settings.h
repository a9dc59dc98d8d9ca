#pragma once
#include "core/session/configuration.h"
#include "core/session/sheet.h"
#include <vector>

namespace session {

enum class LampEvent { Lights, GoesOut };
enum class OnsetRule { FirstVisibleChange, Threshold };

/// A display scans out for 90 to 98 % of its refresh interval and pauses for the rest (blanking; 1080 of 1125 lines in
/// a common 60 Hz mode, figures from memory), while the correction takes all of it.
inline constexpr double usualScanOutTolerance = 0.1;

/// What counts as press and response in this session, and what is known of how they show.
struct EventDefinition {
    LampEvent lamp = LampEvent::Lights;
    std::string reaction; ///< in words: "the panel turns white"
    OnsetRule onset = OnsetRule::FirstVisibleChange;
    double thresholdSd = 4;        ///< k of the threshold rule: mean + k SD of >= 20 frames before; > 0
    std::optional<double> limitMs; ///< after which it is "no reaction"; > 0
    double lampLeadMs = 0; ///< the lamp shows the press this much too early (negative: too late); taken off each delay
    double lampLeadWidthMs = 0; ///< full width in which the lead lies, evenly around it; >= 0
    double onsetWidthMs = 0;    ///< full width that the onset rule leaves to every delay; >= 0
    std::optional<double>
        commonHeight{}; ///< delays are given as for a reaction at this height, 0 (top) to 1; empty: as filmed
    double scanOutTolerance = usualScanOutTolerance; ///< +- share of the scan-out correction; 0 to 1
    bool operator==(const EventDefinition&) const = default;
};

/// What was decided before the data were seen, with the time of the decision.
struct Plan {
    std::string question;
    ConfigurationId baseline;                        ///< 0 while not chosen
    std::optional<double> marginMs;                  ///< smallest difference that matters; > 0
    std::string marginTime;                          ///< ISO 8601, when the margin was last set
    std::optional<int> trialsPerConfiguration;       ///< planned n, >= 1
    std::optional<int> runsPerConfiguration;         ///< >= 1
    std::optional<int> baselineTrials, baselineRuns; ///< where the baseline has numbers of its own, >= 1
    std::optional<PlanBasis> basis;                  ///< what they were worked out from
    std::string planTime;
    double level = 0.95; ///< of the intervals, between 0.5 and 0.999
    bool operator==(const Plan&) const = default;
};

enum class ChartTheme { Dark, Light };
enum class ChartForm {
    Bars,        ///< means from 0 with their intervals, every trial a dot
    Boxes,       ///< every trial a dot, quartiles as a box; the axis may begin above 0
    Differences, ///< to the baseline, with the verdict's interval and the margin as a band
};
enum class ChartOrder { Plan, Value };

inline constexpr int leastPictureSide = 320, mostPictureSide = 7680; ///< px, of published pictures

struct PublishSettings {
    std::string title;
    std::string subtitle;
    std::string footnote; ///< added below the lines the program writes
    ChartTheme theme = ChartTheme::Dark;
    std::string folder; ///< last folder published into, relative to the session; may be empty
    ChartForm form = ChartForm::Bars;
    ChartOrder order = ChartOrder::Plan;
    std::string groupBy{};           ///< key of configurationFields(); "none"; empty: the configurations' own groups
    int width = 1920, height = 1080; ///< px, leastPictureSide to mostPictureSide
    bool transparent = false;
    bool notesApart = false;   ///< the method's lines stand on a still of their own
    std::string ownTheme{};    ///< name of one of the analyst's own themes, in place of `theme`; may be empty
    std::string shownTrials{}; ///< whose evidence, as "run01:3, run07:1"; empty: of each configuration a typical one
    bool sideBySide = false;   ///< two of them in one clip
    double motionSeconds = 10; ///< the chart in motion, 1 to 120
    int motionRate = 60;       ///< its pictures a second, 1 to 120
    bool motionEven = false;   ///< at one pace; else it starts and stops slowly
    std::string sentences{};   ///< to read out, the analyst's own, one a line; report::ownSentences() fills them in
    std::string products{};    ///< keys of what is published, separated by commas; empty: all that doesn't take long
    bool operator==(const PublishSettings&) const = default;
};

/// Delays or comparisons were looked at before the planned n was reached.
struct EarlyLook {
    std::string time;
    std::string reader;
    std::string what; ///< "delays while reading", "comparison"
    bool operator==(const EarlyLook&) const = default;
};

/// Planned for that configuration: the baseline's own numbers where it has some.
std::optional<int> plannedTrials(const Plan&, ConfigurationId);
std::optional<int> plannedRuns(const Plan&, ConfigurationId);

struct Settings {
    std::string title;
    std::string reader; ///< who reads now; goes into new readings
    EventDefinition event;
    Plan plan;
    Texts rig; ///< rigFields()
    PublishSettings publish;
    std::vector<EarlyLook> earlyLooks;
    std::optional<RunSheet> runSheet;
    std::optional<Reread> reread; ///< the blind reading that is under way, or was last
    std::vector<Packet> packets;  ///< handed out, in order
    bool operator==(const Settings&) const = default;
};

} // namespace session
