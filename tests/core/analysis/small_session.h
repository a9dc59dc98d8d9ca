#pragma once
#include "core/session/entity_kinds.h"
#include <initializer_list>

/// A session of our own making, small enough to work out by hand: a pedal on three links, two bench cameras.
namespace small {

using namespace session;

/// Writes straight into a document; what it makes is consistent.
class Builder {
public:
    Document document;

    ConfigurationId configuration(const std::string& name, const std::string& group = {});
    RunId run(const std::string& name);
    ErrorSourceId source(const std::string& name, double relativeUncertainty);
    /// Settled on one declared statement; all rows exposed at once, so that no line time enters.
    ClockId clock(const std::string& name, double rate, const std::vector<ErrorSourceId>& sources);
    CaptureId capture(const std::string& name, ClockId, std::vector<timing::Gap> missing = {});
    /// Accepted, read by "R. One", with regions; `response` -1 is "no reaction".
    TrialId trial(CaptureId, ConfigurationId, RunId, std::int64_t press, std::int64_t response);
    /// Trials 100 camera frames apart, the first pressed at frame 100, with the given counts.
    void trials(CaptureId, ConfigurationId, RunId, std::initializer_list<std::int64_t> counts);
    void reject(TrialId, RejectReason, const std::string& note = {});
    template <class T> void put(const T& entity);
    std::int64_t next() { return document.nextId++; }
};

struct Session {
    Document document;
    ConfigurationId wired, radio, hub;
    ClockId fast, slow, unsettled;
    CaptureId wiredCapture, radioCapture, hubCapture, openCapture;
    TrialId rejected, noReaction;
    RunId wiredRun;
};

/// Worked out by hand in results_test.cpp. Wired pedal is the baseline, margin 2 ms, 5 trials planned.
Session session();

template <class T> void put(Document& document, const T& entity)
{
    tableOf<T>(document)[entity.id] = std::make_shared<const T>(entity);
}

template <class T> void Builder::put(const T& entity) { small::put(document, entity); }

} // namespace small
