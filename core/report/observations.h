#pragma once
#include "core/report/capture_clock.h"
#include "core/report/trial_outcome.h"
#include "core/stats/budget.h"
#include <map>
#include <span>
#include <vector>

namespace report {

/// Trials that count as the statistics take them, with the error sources they share. Inside core/report only.
class Observations {
public:
    explicit Observations(const session::Document& document) : m_document(document) {}

    /// All outcomes of one capture, in order.
    void add(const session::Capture&, const CaptureClock&, std::span<const TrialOutcome>);

    std::span<const stats::Observation> of(session::ConfigurationId) const;
    std::span<const stats::ErrorSource> sources() const { return m_sources; }
    int withoutRegions() const { return m_withoutRegions; } ///< trials whose row offset isn't known

private:
    enum class Kind { Clock, UnnamedClock, Rows, Capture, Run };
    int keyOf(Kind, std::int64_t id); ///< from 1, in order of first use; ids are larger than an int
    int source(Kind, std::int64_t id, const std::string& label, double u, stats::LineKind);
    std::vector<int> clockSources(const CaptureClock&);

    const session::Document& m_document;
    std::map<std::pair<Kind, std::int64_t>, int> m_keys;
    std::vector<stats::ErrorSource> m_sources;
    std::map<session::ConfigurationId, std::vector<stats::Observation>> m_observations;
    int m_withoutRegions = 0;
};

/// Relative standard uncertainty of a number that was typed in: rectangular within half of its last digit.
double typedUncertainty(double value);

} // namespace report
