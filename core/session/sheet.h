#pragma once
#include "core/session/ids.h"
#include "core/timing/units.h"
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace session {

/// One planned run, in the order to film them.
struct SheetLine {
    int block = 1;                 ///< >= 1, never descending
    ConfigurationId configuration; ///< of the session
    int trials = 1;                ///< >= 1
    RunId run;                     ///< of what was filmed for it; 0 while nothing is
    bool ticked = false;           ///< by hand: filmed, though its footage isn't here yet
    bool operator==(const SheetLine&) const = default;
};

/// The planned order, drawn once and kept, so that captures can be held against it.
struct RunSheet {
    std::int64_t seed = 0;  ///< 0 to limits::number
    std::string time;       ///< ISO 8601, when it was drawn
    std::int64_t since = 1; ///< captures of a lower number were there before it
    std::vector<SheetLine> lines;
    bool operator==(const RunSheet&) const = default;
};

/// A trial to be read blind: its frames `first` to `last` are shown, the press lies somewhere among them.
struct RereadPlace {
    TrialId trial;                   ///< passed over where it has gone since
    timing::FrameNumber first, last; ///< 0 <= first <= last
    bool operator==(const RereadPlace&) const = default;
};

/// Trials drawn for a blind reading, in the order to read them.
struct Reread {
    std::int64_t seed = 0;
    std::string time;
    std::int64_t since = 1; ///< readings of a lower number were there before it
    std::string packet; ///< 32 hex digits: this session is that packet, for a second reader; empty: the session's own
    std::vector<RereadPlace> places;
    bool operator==(const Reread&) const = default;
};

/// A blind packet that was handed out, so that its readings find their trials again.
struct Packet {
    std::string token; ///< 32 hex digits, never twice
    std::string time;
    std::int64_t seed = 0;
    std::vector<TrialId> trials; ///< in the packet's order; some may have gone since
    bool operator==(const Packet&) const = default;
};

/// Where the plan's numbers come from.
enum class SpreadFrom { Model, Typed, Trials };

/// What the plan's runs and trials were worked out from.
struct PlanBasis {
    SpreadFrom from = SpreadFrom::Model;
    double power = 0.8;                                      ///< 0.5 to 0.999
    std::optional<double> refreshHz, captureRate, extraSdMs; ///< model; > 0, > 0, >= 0
    std::optional<double> withinSdMs, betweenSdMs;           ///< typed (between: of the model as well); > 0, >= 0
    std::optional<double> sharedMs;  ///< standard uncertainty of a difference that repeating doesn't lessen, >= 0
    std::optional<int> trialsPerRun; ///< empty: whatever takes least effort
    double runCost = 10;             ///< setting up anew takes as long as this many trials, 0 to 10,000
    std::optional<int> comparisons;  ///< empty: every configuration with the baseline
    bool operator==(const PlanBasis&) const = default;
};

/// Lines that have nothing filmed and aren't ticked, the first one.
std::optional<std::size_t> firstOpenLine(const RunSheet&, std::size_t from = 0);

} // namespace session
