#include "small_session.h"

#include <cmath>

namespace small {
namespace {

const std::string somePicture(32, 'a');
const std::string someCrop(64, 'b');

Mark markAt(std::int64_t frame) { return {frame, somePicture, {someCrop, someCrop, someCrop, someCrop}}; }

} // namespace

ConfigurationId Builder::configuration(const std::string& name, const std::string& group)
{
    Configuration made;
    made.id = ConfigurationId{next()};
    made.position = static_cast<int>(document.configurations.size());
    made.name = name;
    made.group = group;
    put(made);
    return made.id;
}

RunId Builder::run(const std::string& name)
{
    const RunId id{next()};
    put(Run{id, name, {}});
    return id;
}

ErrorSourceId Builder::source(const std::string& name, double relativeUncertainty)
{
    const ErrorSourceId id{next()};
    put(ErrorSource{id, name, relativeUncertainty});
    return id;
}

ClockId Builder::clock(const std::string& name, double rate, const std::vector<ErrorSourceId>& sources)
{
    Clock made;
    made.id = ClockId{next()};
    made.name = name;
    made.readout.kind = ReadoutKind::AllAtOnce;
    double square = 0;
    for (const ErrorSourceId source : sources)
        square += std::pow(find(document, source)->relativeUncertainty, 2);
    const EvidenceId evidence{next()};
    made.evidence = {{evidence, {timing::Origin::Declared, rate, {}, std::sqrt(square), "typed in"}, sources}};
    made.settled = Settlement{evidence, "compared with a generator", "2030-01-31T18:05:00+01:00"};
    put(made);
    return made.id;
}

CaptureId Builder::capture(const std::string& name, ClockId clock, std::vector<timing::Gap> missing)
{
    Capture made;
    made.id = CaptureId{next()};
    made.position = static_cast<int>(document.captures.size());
    made.name = name;
    made.path = "footage/" + name;
    made.sha256 = std::string(64, 'c');
    made.frames = {1'000};
    made.width = 640;
    made.height = 400;
    made.missing = std::move(missing);
    made.clock = clock;
    made.regions = {{RegionId{next()}, RegionKind::Lamp, "Lamp", 10, 20, 40, 40},
                    {RegionId{next()}, RegionKind::Screen, "Panel", 200, 100, 80, 80}};
    put(made);
    return made.id;
}

TrialId Builder::trial(CaptureId capture, ConfigurationId configuration, RunId run, std::int64_t press,
                       std::int64_t response)
{
    Trial made;
    made.id = TrialId{next()};
    made.capture = capture;
    made.lamp = find(document, capture)->regions.front().id;
    made.screen = find(document, capture)->regions.back().id;
    made.configuration = configuration;
    made.run = run;
    Reading reading;
    reading.id = ReadingId{next()};
    reading.reader = "R. One";
    reading.time = "2030-02-01T20:00:00+01:00";
    reading.accepted = true;
    reading.press = markAt(press);
    if (response >= 0)
        reading.response = markAt(response);
    else
        reading.noReaction = true;
    made.readings = {reading};
    put(made);
    return made.id;
}

void Builder::trials(CaptureId capture, ConfigurationId configuration, RunId run,
                     std::initializer_list<std::int64_t> counts)
{
    std::int64_t press = 100;
    for (const std::int64_t count : counts) {
        trial(capture, configuration, run, press, press + count);
        press += 100;
    }
}

void Builder::reject(TrialId id, RejectReason reason, const std::string& note)
{
    Trial trial = *find(document, id);
    trial.reject = Reject{reason, note, "2030-02-01T21:00:00+01:00"};
    put(trial);
}

Session session()
{
    Builder b;
    Session s;
    b.document.settings.title = "Pedal links";
    b.document.settings.event.reaction = "the panel turns white";
    b.document.settings.event.limitMs = 400;
    b.document.settings.plan.question = "Does the radio link add delay?";
    b.document.settings.plan.marginMs = 2;
    b.document.settings.plan.trialsPerConfiguration = 5;

    s.wired = b.configuration("Wired pedal", "144 Hz panel");
    s.radio = b.configuration("Radio pedal", "144 Hz panel");
    s.hub = b.configuration("Pedal through hub", "75 Hz panel");
    b.document.settings.plan.baseline = s.wired;
    s.wiredRun = b.run("run 1");
    const RunId radioRun = b.run("run 2"), hubRun = b.run("run 3");

    const ErrorSourceId generator = b.source("frequency of the generator", 0.001);
    const ErrorSourceId fit = b.source("fit of the fast camera", 0.002);
    s.fast = b.clock("Fast camera", 1000, {generator, fit});
    s.slow = b.clock("Slow camera", 500, {generator});
    s.unsettled = b.clock("Borrowed camera", 240, {});
    Clock borrowed = *find(b.document, s.unsettled);
    borrowed.settled.reset();
    b.put(borrowed);

    s.wiredCapture = b.capture("wired.mp4", s.fast);
    s.radioCapture = b.capture("radio.mp4", s.fast, {{500, 3}});
    s.hubCapture = b.capture("hub.mp4", s.slow);
    s.openCapture = b.capture("hub_borrowed.mp4", s.unsettled, {{310, 2}});

    b.trials(s.wiredCapture, s.wired, s.wiredRun, {30, 32, 31, 29, 33});
    s.rejected = b.trial(s.wiredCapture, s.wired, s.wiredRun, 600, 661);
    b.reject(s.rejected, RejectReason::Hitch);
    s.noReaction = b.trial(s.wiredCapture, s.wired, s.wiredRun, 700, -1);

    b.trials(s.radioCapture, s.radio, radioRun, {40, 42, 41});
    b.trial(s.radioCapture, s.radio, radioRun, 480, 518); // 38 counted, 3 missing
    b.trial(s.radioCapture, s.radio, radioRun, 600, 641);

    b.trials(s.hubCapture, s.hub, hubRun, {16, 17, 15, 16, 18});
    b.trial(s.openCapture, s.hub, hubRun, 100, 120);
    b.trial(s.openCapture, s.hub, hubRun, 300, 325); // 25 counted, 2 missing

    s.document = std::move(b.document);
    return s;
}

} // namespace small
