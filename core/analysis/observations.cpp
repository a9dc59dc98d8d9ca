#include "core/analysis/observations.h"
#include "core/analysis/phrases.h"
#include "core/analysis/corrections.h"
#include "core/session/place.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace analysis {
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

int Observations::keyOf(Kind kind, std::int64_t id, const std::string& part)
{
    return m_keys.emplace(std::tuple(kind, id, part), static_cast<int>(m_keys.size()) + 1).first->second;
}

int Observations::source(Kind kind, std::int64_t id, const std::string& part, const std::string& label, double u,
                         stats::LineKind line)
{
    const std::size_t before = m_keys.size();
    const int key = keyOf(kind, id, part);
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
        const int key =
            source(Kind::Clock, id.value, {}, named->name, named->relativeUncertainty, stats::LineKind::Clock);
        if (std::ranges::find(keys, key) == keys.end())
            keys.push_back(key);
    }
    if (keys.empty())
        keys.push_back(source(Kind::UnnamedClock, clock.settled->id.value, {}, "capture rate of " + clock.clock->name,
                              clock.settled->rate.relativeUncertainty, stats::LineKind::Clock));
    return keys;
}

void Observations::addRows(stats::Observation& observation, const session::Capture& capture,
                           const session::Trial& trial, const CaptureClock& clock)
{
    const std::optional<timing::ShutterEffect> shutter = shutterEffect(capture, trial, clock);
    if (!shutter) {
        ++m_withoutRegions;
        return;
    }
    if (shutter->rows == 0)
        return;
    const session::Readout& readout = clock.clock->readout;
    const bool known = readout.kind == session::ReadoutKind::LineTime;
    const std::string label =
        (known ? "line time of " : "unknown line time of ") + clock.clock->name
        + (known && readout.direction == session::ReadoutDirection::Unknown ? ", direction unknown" : "");
    // Of an unknown one only the bound is known, and that goes by the height of the picture.
    const std::string part = known ? std::string() : std::to_string(capture.height);
    observation.errors.push_back(
        {source(Kind::Rows, clock.clock->id.value, part, label, shutter->uPerRow, stats::LineKind::Rows),
         shutter->rows});
}

/// One display's scan-out is the same whatever is plugged in; where nobody says which display it is, each configuration
/// has its own.
void Observations::addShared(stats::Observation& observation, session::ConfigurationId id)
{
    if (const auto scanOut = scanOutEffect(m_document, id); scanOut && scanOut->correction.add.count() != 0) {
        const session::Configuration& configuration = *find(m_document, id);
        const auto display = configuration.texts.find("display");
        const bool named = display != configuration.texts.end();
        const std::string part = plain(*configuration.refreshHz) + (named ? display->second : std::string());
        const int key = source(Kind::ScanOut, named ? 0 : id.value, part,
                               "scan-out of " + (named ? display->second : configuration.name), scanOut->relativeU,
                               stats::LineKind::ScanOut);
        observation.errors.push_back({key, scanOut->correction.add.count()});
    }
    const session::EventDefinition& event = m_document.settings.event;
    const auto stated = [&](double widthMs, Kind kind, const char* label, stats::LineKind line) {
        if (widthMs > 0)
            observation.errors.push_back(
                {source(kind, 0, {}, label, stats::rectangularSource(0, {}, widthMs, line).u, line), 1});
    };
    stated(event.lampLeadWidthMs, Kind::Lamp, "lead of the lamp", stats::LineKind::Lamp);
    stated(event.onsetWidthMs, Kind::Onset, "onset rule", stats::LineKind::Onset);
}

void Observations::add(const session::Capture& capture, const CaptureClock& clock,
                       std::span<const TrialOutcome> outcomes)
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
        observation.pairKey = keyOf(Kind::Press, capture.id.value, std::to_string(outcome.press->value));
        for (const int key : clockKeys) // what was added doesn't depend on the rate
            observation.errors.push_back({key, observation.delayMs - outcome.corrections.all().add.count()});
        addRows(observation, capture, *find(m_document, outcome.trial), clock);
        addShared(observation, outcome.configuration);

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

void Observations::setBlocks(const CompleteBlocks& complete)
{
    for (const auto& [id, runs] : complete.blocks) {
        std::map<int, int> blocks;
        for (const auto& [run, block] : runs)
            blocks[keyOf(Kind::Run, run.value)] = block;
        for (stats::Observation& observation : m_observations.at(id))
            observation.blockKey = blocks.at(observation.runKey);
    }
}

std::span<const stats::Observation> Observations::of(session::ConfigurationId configuration) const
{
    const auto found = m_observations.find(configuration);
    return found == m_observations.end() ? std::span<const stats::Observation>() : found->second;
}

} // namespace analysis
