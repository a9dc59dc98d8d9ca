#pragma once
#include "core/session/configuration.h"
#include <vector>

namespace session {

enum class LampEvent { Lights, GoesOut };
enum class OnsetRule { FirstVisibleChange, Threshold };

/// What counts as press and response in this session.
struct EventDefinition {
    LampEvent lamp = LampEvent::Lights;
    std::string reaction;                ///< in words: "the panel turns white"
    OnsetRule onset = OnsetRule::FirstVisibleChange;
    double thresholdSd = 4;              ///< k of the threshold rule: mean + k SD of >= 20 frames before; > 0
    std::optional<double> limitMs;       ///< after which it is "no reaction"; > 0
    bool operator==(const EventDefinition&) const = default;
};

/// What was decided before the data were seen, with the time of the decision.
struct Plan {
    std::string question;
    ConfigurationId baseline;               ///< 0 while not chosen
    std::optional<double> marginMs;         ///< smallest difference that matters; > 0
    std::string marginTime;                 ///< ISO 8601, when the margin was last set
    std::optional<int> trialsPerConfiguration; ///< planned n, >= 1
    std::optional<int> runsPerConfiguration;   ///< >= 1
    std::string planTime;
    double level = 0.95;                    ///< of the intervals, between 0.5 and 0.999
    bool operator==(const Plan&) const = default;
};

enum class ChartTheme { Dark, Light };

struct PublishSettings {
    std::string title;
    std::string subtitle;
    std::string footnote;   ///< added below the lines the program writes
    ChartTheme theme = ChartTheme::Dark;
    std::string folder;     ///< last folder published into, relative to the session; may be empty
    bool operator==(const PublishSettings&) const = default;
};

/// Delays or comparisons were looked at before the planned n was reached.
struct Look {
    std::string time;
    std::string reader;
    std::string what; ///< "delays while reading", "comparison"
    bool operator==(const Look&) const = default;
};

struct Settings {
    std::string title;
    std::string reader; ///< who reads now; goes into new readings
    EventDefinition event;
    Plan plan;
    Texts rig;          ///< rigFields()
    PublishSettings publish;
    std::vector<Look> looks;
    bool operator==(const Settings&) const = default;
};

} // namespace session
