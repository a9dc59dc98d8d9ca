#include "tests/gui/pages_session.h"
#include "core/session/session_store.h"
#include "ui/model/session_results.h"

#include <QDir>
#include <QFile>
#include <QFileInfo>
#include <QTest>
#include <algorithm>
#include <cmath>
#include <random>

namespace pages_session {
namespace {

using session::ClockId;

struct Link {
    const char* name;
    const char* group;
    double meanMs;
    double rate; ///< camera frames a second
};
constexpr Link links[] = {
    {"Direct", "144 Hz display", 31.3, 959.87},       {"Powered hub", "144 Hz display", 31.2, 959.87},
    {"Chained hubs", "144 Hz display", 32.5, 959.87}, {"Wireless bridge", "144 Hz display", 38.6, 959.87},
    {"Direct, 75 Hz", "75 Hz display", 42.6, 473.61}, {"Wireless bridge, 75 Hz", "75 Hz display", 49.4, 473.61},
};

timing::RateEvidence evidence(timing::Origin origin, double rate, double relativeU, const char* note)
{
    timing::RateEvidence e;
    e.origin = origin;
    e.rate = rate;
    e.relativeUncertainty = relativeU;
    e.note = note;
    return e;
}

session::Clock clock(session::EditBuilder& builder, const std::string& name,
                     const std::vector<timing::RateEvidence>& statements)
{
    session::Clock made;
    made.id = builder.nextId<ClockId>();
    made.name = name;
    for (const timing::RateEvidence& statement : statements) {
        const session::ErrorSource source{builder.nextId<session::ErrorSourceId>(),
                                          std::string(timing::label(statement.origin)) + " rate of " + name,
                                          statement.relativeUncertainty};
        builder.put(source);
        made.evidence.push_back({builder.nextId<session::EvidenceId>(), statement, {source.id}});
    }
    builder.put(made);
    return made;
}

void settle(session::EditBuilder& builder, session::Clock clock, std::size_t evidence, const char* reason)
{
    clock.settled = session::Settlement{clock.evidence[evidence].id, reason, "2024-06-09T20:15:00+02:00"};
    builder.put(clock);
}

session::CaptureId capture(session::EditBuilder& builder, int position, ClockId clock, const std::string& name)
{
    session::Capture made;
    made.id = builder.nextId<session::CaptureId>();
    made.position = position;
    made.name = name;
    made.path = name + ".mp4";
    made.frames = {60000};
    made.width = 640;
    made.height = 360;
    made.clock = clock;
    made.regions = {{builder.nextId<session::RegionId>(), session::RegionKind::Lamp, "lamp", 40, 150, 30, 30},
                    {builder.nextId<session::RegionId>(), session::RegionKind::Screen, "screen", 300, 150, 80, 60}};
    builder.put(made);
    return made.id;
}

} // namespace

session::Document document(const Content& content)
{
    const session::Document empty;
    session::EditBuilder builder(empty, "make the sample");
    const session::Clock bench =
        clock(builder, "Bench camera, 960 mode",
              {evidence(timing::Origin::Reference, 959.87, 5e-5, "9.7 Hz lamp, 181 edges over 18.6 s"),
               evidence(timing::Origin::Tag, 960, 0.03 / std::sqrt(3.0),
                        "metadata: the rate asked for, nominal until calibrated")});
    const session::Clock second =
        clock(builder, "Second camera, 480 mode",
              {evidence(timing::Origin::Reference, 473.61, 1.3e-4, "9.7 Hz lamp, 181 edges over 18.6 s"),
               evidence(timing::Origin::Declared, 480, 1e-3, "typed in: the camera's menu"),
               evidence(timing::Origin::Tag, 480, 1e-3, "metadata: the rate asked for")});
    settle(builder, bench, 0, "Fit to the 9.7 Hz lamp; the menu figure is nominal.");
    if (content.settleAll)
        settle(builder, second, 0, "Fit to the 9.7 Hz lamp.");

    session::Settings settings;
    settings.title = "Pedal links";
    settings.reader = "M. Reader";
    settings.event.reaction = "the panel turns white";
    settings.event.limitMs = 300;
    settings.plan.question = "Does the link between pedal and host add a delay that anyone would notice?";
    settings.plan.trialsPerConfiguration = content.planned;
    settings.plan.planTime = settings.plan.marginTime = "2024-06-09T18:02:00+02:00";
    if (content.margin)
        settings.plan.marginMs = 2;
    settings.publish.title = "Pedal to screen: what the link adds";

    std::mt19937 random(7);
    std::normal_distribution<double> spread(0, 2.4);
    int position = 0;
    for (int i = 0; i < content.configurations; ++i) {
        const Link& link = links[i];
        session::Configuration configuration;
        configuration.id = builder.nextId<session::ConfigurationId>();
        configuration.position = i;
        configuration.name = link.name;
        configuration.group = link.group;
        configuration.texts = {{"device", "foot pedal, first unit"}, {"link", link.name}, {"display", link.group}};
        builder.put(configuration);
        if (i == 0)
            settings.plan.baseline = configuration.id;
        for (int half = 0; half < 2; ++half) {
            const session::Run run{builder.nextId<session::RunId>(), "run" + std::to_string(2 * i + half + 1),
                                   half == 1 ? "re-plugged" : ""};
            builder.put(run);
            const session::CaptureId taken = capture(builder, position++, link.rate > 900 ? bench.id : second.id,
                                                     "run" + std::to_string(2 * i + half + 1));
            const session::Capture& in = *find(builder.document(), taken);
            const int trials = content.trialsEach / 2 + (half == 0 ? content.trialsEach % 2 : 0);
            const std::int64_t apart = std::min(1500, 55000 / std::max(1, trials));
            for (int t = 0; t < trials; ++t) {
                session::Trial trial;
                trial.id = builder.nextId<session::TrialId>();
                trial.capture = taken;
                trial.lamp = in.regions[0].id;
                trial.screen = in.regions[1].id;
                trial.configuration = configuration.id;
                trial.run = run.id;
                session::Reading reading;
                reading.id = builder.nextId<session::ReadingId>();
                reading.reader = settings.reader;
                reading.time = "2024-06-09T21:10:00+02:00";
                reading.accepted = true;
                const std::int64_t press = 500 + apart * t;
                const double delay = std::max(5.0, link.meanMs + spread(random));
                reading.press = session::Mark{press, std::string(32, 'a'), {}};
                reading.response =
                    session::Mark{press + std::llround(delay * link.rate / 1000), std::string(32, 'b'), {}};
                trial.readings = {reading};
                if (t == 5 && half == 1 && i % 2 == 1)
                    trial.reject = session::Reject{session::RejectReason::Hitch, "", "2024-06-09T21:30:00+02:00"};
                builder.put(trial);
            }
        }
    }
    if (!content.settleAll) {
        const session::Clock pocket = clock(builder, "Pocket camera, 240 mode",
                                            {evidence(timing::Origin::Tag, 240, 0.03 / std::sqrt(3.0),
                                                      "metadata: the rate asked for, nominal until calibrated")});
        const session::Clock unnamed = clock(builder, "desk_test", {});
        capture(builder, position++, pocket.id, "warmup01");
        capture(builder, position++, unnamed.id, "desk_test");
    }
    builder.put(settings);
    return session::apply(empty, std::move(builder).finish());
}

bool openIn(ui::SessionModel& model, const QString& folder, const session::Document& document)
{
    const QString path = QDir(folder).absoluteFilePath(QStringLiteral("Pedal links.tallyframe"));
    session::SessionStore::write(path.toStdString(), {document, {}});
    model.open(path);
    return QTest::qWaitFor([&] { return model.phase() != ui::SessionModel::Phase::Opening; }, 20000)
           && model.path() == QFileInfo(path).canonicalFilePath();
}

bool settled(ui::SessionModel& model)
{
    const auto results = model.findChildren<ui::SessionResults*>();
    return QTest::qWaitFor(
        [&] { return !model.pending() && std::ranges::all_of(results, &ui::SessionResults::upToDate); }, 60'000);
}

session::ConfigurationId configurationNamed(const session::Document& document, const std::string& name,
                                            const std::string& group)
{
    for (const auto& [id, configuration] : document.configurations)
        if (configuration->name == name && (group.empty() || configuration->group == group))
            return id;
    return {};
}

session::ClockId clockNamed(const session::Document& document, const std::string& name)
{
    for (const auto& [id, clock] : document.clocks)
        if (clock->name == name)
            return id;
    return {};
}

} // namespace pages_session
