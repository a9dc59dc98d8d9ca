#pragma once
#include "core/analysis/capture_clock.h"
#include "core/analysis/complete_blocks.h"
#include "core/analysis/trial_outcome.h"
#include "core/stats/budget.h"
#include <map>
#include <span>
#include <tuple>
#include <vector>

namespace analysis {

/// Trials that count as the statistics take them, with the error sources they share. Inside core/analysis only.
class Observations {
public:
    explicit Observations(const session::Document& document) : m_document(document) {}

    /// All outcomes of one capture, or of a piece of it, in order.
    void add(const session::Capture&, const CaptureClock&, std::span<const TrialOutcome>);

    /// After all were added.
    void setBlocks(const CompleteBlocks&);

    std::span<const stats::Observation> of(session::ConfigurationId) const;
    std::span<const stats::ErrorSource> sources() const { return m_sources; }
    int withoutRegions() const { return m_withoutRegions; } ///< trials whose row offset isn't known

private:
    enum class Kind { Clock, UnnamedClock, Rows, ScanOut, Lamp, Onset, Capture, Run, Press };
    /// From 1, in order of first use; ids are larger than an int. `part`: what tells causes of one id apart.
    int keyOf(Kind, std::int64_t id, const std::string& part = {});
    int source(Kind, std::int64_t id, const std::string& part, const std::string& label, double u, stats::LineKind);
    void addRows(stats::Observation&, const session::Capture&, const session::Trial&, const CaptureClock&);
    void addShared(stats::Observation&, session::ConfigurationId);
    std::vector<int> clockSources(const CaptureClock&);

    const session::Document& m_document;
    std::map<std::tuple<Kind, std::int64_t, std::string>, int> m_keys;
    std::vector<stats::ErrorSource> m_sources;
    std::map<session::ConfigurationId, std::vector<stats::Observation>> m_observations;
    int m_withoutRegions = 0;
};

} // namespace analysis
