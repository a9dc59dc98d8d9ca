#include "core/report/observations.h"
#include "core/session/place.h"

#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>
#include <string_view>

namespace report {
namespace {

constexpr double cyclesForSweep = 3; ///< beats between refresh and camera that make the phase average out

/// Presses of one configuration within one capture, first to last, and where its observations begin.
struct Stretch {
    double firstPress = 0, lastPress = 0; ///< seconds
    std::vector<std::size_t> observations;
};

bool isSwept(const Stretch& stretch, const session::Configuration& configuration, const timing::RateEvidence& rate)
{
    if (!configuration.refreshHz)
        return false;
    const double doubt = std::hypot(rate.relativeUncertainty, typedUncertainty(*configuration.refreshHz));
    const double seconds = stretch.lastPress - stretch.firstPress;
    return stats::beatCycles(rate.rate, *configuration.refreshHz, doubt, seconds) >= cyclesForSweep;
}

} // namespace

double typedUncertainty(double value)
{
    char text[400];
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed).ptr;
    const std::string_view digits(text, static_cast<std::size_t>(end - text));
    const std::size_t point = digits.find('.');
    const auto decimals = point == std::string_view::npos ? 0 : static_cast<int>(digits.size() - point - 1);
    return 0.5 * std::pow(10.0, -decimals) / std::sqrt(3.0) / value;
}

int Observations::keyOf(Kind kind, std::int64_t id)
{
    return m_keys.emplace(std::pair(kind, id), static_cast<int>(m_keys.size()) + 1).first->second;
}

int Observations::source(Kind kind, std::int64_t id, const std::string& label, double u, stats::LineKind line)
{
    const std::size_t before = m_keys.size();
    const int key = keyOf(kind, id);
    if (m_keys.size() > before)
        m_sources.push_back({key, label, u, stats::endlessDof, line});
    return key;
}

std::vector<int> Observations::clockSources(const CaptureClock& clock)
{
    std::vector<int> keys;
    for (const session::ErrorSourceId id : clock.settled->errorSources) {
        const session::ErrorSource* named = find(m_document, id);
        assert(named);
        const int key = source(Kind::Clock, id.value, named->name, named->relativeUncertainty, stats::LineKind::Clock);
        if (std::ranges::find(keys, key) == keys.end())
            keys.push_back(key);
    }
    if (keys.empty())
        keys.push_back(source(Kind::UnnamedClock, clock.settled->id.value, "capture rate of " + clock.clock->name,
                              clock.settled->rate.relativeUncertainty, stats::LineKind::Clock));
    return keys;
}

void Observations::add(const session::Capture& capture, const CaptureClock& clock, std::span<const TrialOutcome> outcomes)
{
    if (!clock.time)
        return;
    const std::vector<int> clockKeys = clockSources(clock);
    std::map<session::ConfigurationId, Stretch> stretches;
    for (const TrialOutcome& outcome : outcomes) {
        if (outcome.state != TrialState::Counts)
            continue;
        stats::Observation observation;
        observation.delayMs = outcome.delay->delay.count();
        observation.pressIntervalMs = outcome.delay->pressInterval.count();
        observation.responseIntervalMs = outcome.delay->responseInterval.count();
        observation.captureKey = keyOf(Kind::Capture, capture.id.value);
        observation.runKey = outcome.run ? keyOf(Kind::Run, outcome.run.value) : 0;
        for (const int key : clockKeys)
            observation.errors.push_back({key, observation.delayMs});
        const std::optional<double> rows = rowSensitivityMs(capture, *find(m_document, outcome.trial), clock);
        if (!rows)
            ++m_withoutRegions;
        else if (*rows != 0)
            observation.errors.push_back({source(Kind::Rows, clock.clock->id.value, "unknown line time of " + clock.clock->name,
                                                 1 / std::sqrt(3.0), stats::LineKind::Rows), *rows});

        std::vector<stats::Observation>& ofConfiguration = m_observations[outcome.configuration];
        const double press = clock.time->at(*outcome.press).count();
        const auto [stretch, isNew] = stretches.try_emplace(outcome.configuration, Stretch{press, press, {}});
        stretch->second.firstPress = std::min(stretch->second.firstPress, press);
        stretch->second.lastPress = std::max(stretch->second.lastPress, press);
        stretch->second.observations.push_back(ofConfiguration.size());
        ofConfiguration.push_back(std::move(observation));
    }
    for (const auto& [id, stretch] : stretches)
        if (isSwept(stretch, *find(m_document, id), clock.settled->rate))
            for (const std::size_t i : stretch.observations)
                m_observations[id][i].phaseSwept = true;
}

std::span<const stats::Observation> Observations::of(session::ConfigurationId configuration) const
{
    const auto found = m_observations.find(configuration);
    return found == m_observations.end() ? std::span<const stats::Observation>() : found->second;
}

} // namespace report
