#pragma once
#include "core/session/ids.h"
#include <optional>
#include <string>
#include <vector>

namespace session {

/// A line of the budget of an earlier mean, as stats::BudgetLine has it.
struct EarlierLine {
    std::int64_t kind = 0; ///< stats::LineKind
    std::string label;
    std::int64_t source = 0;     ///< cause of error, alike in all means of its session that share it; 0: the mean's own
    double u = 0;                ///< standard uncertainty of the cause, >= 0
    double weight = 1;           ///< signed: ms of the mean for a unit of the cause
    std::optional<double> dof{}; ///< empty: endless
    bool operator==(const EarlierLine&) const = default;
};

/// What was measured of a configuration in an earlier session.
struct EarlierConfiguration {
    ConfigurationId id; ///< in the session that shows it
    std::string name;
    std::string display; ///< as its checklist names it; may be empty
    std::int64_t rejected = 0, notRead = 0, noReaction = 0, clockNotSettled = 0, noDelay = 0; ///< trials
    std::int64_t runs = 0, captures = 0;
    std::vector<double> delaysMs; ///< those that count, in order
    std::optional<double> meanMs;
    bool overRuns = false; ///< the lines are those of the mean over runs
    std::vector<EarlierLine> lines;
    bool operator==(const EarlierConfiguration&) const = default;
};

/// Results of another session, kept as they were when its file was read: neither that file nor its footage is needed
/// any more.
struct EarlierSession {
    EarlierSessionId id;
    std::string path;   ///< of its file, relative to the session's folder, or absolute
    std::string sha256; ///< of its file as it was read
    std::string time;   ///< when it was read
    std::string title;
    std::string firstRead;            ///< day of its first reading, ISO 8601; may be empty
    std::string rates;                ///< "960 camera frames a second"; empty where nothing counts
    std::string onset;                ///< the onset rule in words
    std::string corrections;          ///< what delays are corrected for, in words; may be empty
    std::vector<std::string> cameras; ///< named in the clocks that count
    std::vector<EarlierConfiguration> configurations;
    /// The bridge: one set-up measured in both, as it is called here and there. Both 0 while none is chosen.
    ConfigurationId here, there;
    bool operator==(const EarlierSession&) const = default;
};

/// Null where it isn't in it.
const EarlierConfiguration* findEarlier(const EarlierSession&, ConfigurationId);

} // namespace session
