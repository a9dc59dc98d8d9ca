// Writes the demo sessions for the sample footage: one read from end to end by somebody who knows the truth and errs as
// readers do, one with nothing marked. Goes through the product's own reader, so hashes and crops are real.
#include "core/analysis/run_sheet.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/measure/trace.h"
#include "core/reading/hints.h"
#include "core/reading/make_mark.h"
#include "core/reading/new_capture.h"
#include "core/session/evidence_store.h"
#include "tests/footage/random.h"
#include "tests/footage/sample.h"

#include <QDateTime>
#include <QTimeZone>
#include <algorithm>
#include <iostream>
#include <map>

namespace {

namespace fs = std::filesystem;
using namespace session;

constexpr const char* firstReader = "Reader A";
constexpr const char* secondReader = "Reader B";
constexpr const char* mirrorName = "Direct, small screen";

template <class T> void put(Table<T>& table, T entity)
{
    const auto id = entity.id;
    table[id] = std::make_shared<const T>(std::move(entity));
}

/// Puts the session together capture by capture, as it would have grown on the desk.
class SampleWriter {
public:
    explicit SampleWriter(fs::path folder) : m_folder(std::move(folder)) {}
    const EvidenceStore& evidence() const { return m_evidence; }

    Document write(bool read);

private:
    template <class IdType> IdType next() { return IdType{m_document.nextId++}; }
    std::string now(int secondsOn)
    {
        m_seconds += secondsOn;
        return QDateTime(QDate(2026, 11, 20), QTime(18, 30), QTimeZone(3600))
            .addSecs(m_seconds)
            .toString(Qt::ISODate)
            .toStdString();
    }

    void addConfigurations();
    void addMirror();
    void drawSheet();
    RunId runOf(const footage::SampleCapture& sample);
    ClockId addClock(const std::string& mode, std::vector<timing::RateEvidence> statements);
    void addCapture(const footage::SampleCapture& sample, bool read);
    void addTrial(const Capture& capture, const footage::TruePress& press, media::FrameReader& reader);
    void addMirrorTrial(const Capture& capture, const footage::TruePress& press, const Trial& ofScreen,
                        media::FrameReader& reader);
    Mark mark(const Capture& capture, const Region& screen, std::int64_t frame, media::FrameReader& reader);
    static int slip(footage::Random& random, double late, double early);

    fs::path m_folder;
    EvidenceStore m_evidence;
    Document m_document;
    std::map<std::string, ConfigurationId> m_configurations;
    std::map<std::string, ClockId> m_clocks;
    std::shared_ptr<const media::Footage> m_footage; ///< of the capture at hand
    footage::Random m_random{77, 1}, m_onMirror{78, 1};
    qint64 m_seconds = 0;
    int m_trials = 0;
};

void SampleWriter::addConfigurations()
{
    struct Set {
        const char *device, *rate, *link, *adapter;
        double refresh;
    };
    constexpr Set sets[] = {
        {"Direct", "144 Hz", "USB cable", "none", 143.98},
        {"Powered hub", "144 Hz", "USB cable", "hub with its own supply", 143.98},
        {"Chained hubs", "144 Hz", "USB cable", "two hubs in a row", 143.98},
        {"Wireless bridge", "144 Hz", "2.4 GHz bridge", "receiver at the host", 143.98},
        {"Direct", "75 Hz", "USB cable", "none", 74.97},
        {"Wireless bridge", "75 Hz", "2.4 GHz bridge", "receiver at the host", 74.97},
    };
    int position = 0;
    for (const Set& set : sets) {
        Configuration configuration;
        configuration.id = next<ConfigurationId>();
        configuration.position = position++;
        configuration.name = std::string(set.device) + ", " + set.rate;
        configuration.group = std::string(set.rate) + " display";
        configuration.refreshHz = set.refresh;
        configuration.texts = {{"device", "pedal with a contact of its own"},
                               {"link", set.link},
                               {"adapter", set.adapter},
                               {"pollRate", "1000 a second"},
                               {"sync", "on"},
                               {"scene", "empty road"},
                               {"action", "press the pedal to the stop"},
                               {"resolution", "1920 x 1080"}};
        m_configurations[configuration.name] = configuration.id;
        put(m_document.configurations, std::move(configuration));
    }
}

/// The same pedal and link, seen on the small screen beside: it came into the picture after the sheet was drawn, and
/// each of its trials shares its press with one of the baseline.
void SampleWriter::addMirror()
{
    Configuration configuration = *find(m_document, m_configurations.at(footage::mirroredConfiguration));
    configuration.id = next<ConfigurationId>();
    configuration.position = static_cast<int>(m_document.configurations.size());
    configuration.name = mirrorName;
    configuration.group = "Screen behind a splitter";
    configuration.texts["adapter"] = "none; the picture goes through a splitter to a small screen";
    m_configurations[configuration.name] = configuration.id;
    put(m_document.configurations, std::move(configuration));
}

void SampleWriter::drawSheet()
{
    RunSheet sheet = analysis::drawRunSheet(m_document, footage::sheetSeed);
    sheet.time = now(0);
    sheet.since = m_document.nextId;
    m_document.settings.runSheet = std::move(sheet);
}

/// The run of the sheet's next line, which is to be what was filmed.
RunId SampleWriter::runOf(const footage::SampleCapture& sample)
{
    std::vector<SheetLine>& lines = m_document.settings.runSheet->lines;
    const auto line = std::ranges::find(lines, RunId{}, &SheetLine::run);
    if (line == lines.end() || line->block != sample.block
        || line->configuration != m_configurations.at(sample.configuration))
        throw std::runtime_error(sample.file + " isn't what the run sheet has next");
    Run run;
    run.id = line->run = next<RunId>();
    run.name = "block " + std::to_string(sample.block) + ", " + sample.configuration;
    const bool begins = line == lines.begin() || std::prev(line)->block != line->block;
    run.note = begins ? "block begins: host started anew; plugged in anew" : "plugged in anew";
    put(m_document.runs, run);
    return run.id;
}

ClockId SampleWriter::addClock(const std::string& mode, std::vector<timing::RateEvidence> statements)
{
    if (const auto known = m_clocks.find(mode); known != m_clocks.end())
        return known->second;
    const bool bench = mode == "960";
    Clock clock;
    clock.id = m_clocks[mode] = next<ClockId>();
    clock.name = bench ? "Bench camera, 960 mode" : "Bench camera, 480 mode";
    clock.camera = {{"mode", mode + " a second"},
                    {"exposure", "1/1200 s"},
                    {"locks", "all locked"},
                    {"warmUp", "20 minutes"},
                    {"readout", "global"}};
    clock.readout.kind = ReadoutKind::AllAtOnce;

    timing::RateEvidence declared = timing::declaredEvidence(bench ? 959.4 : 480, bench ? 2e-4 : 1e-3);
    declared.note = bench ? "counted by hand over 24 flashes of a 9.7 Hz lamp in reference_960"
                          : "typed in: what the camera's menu says";
    statements.push_back(std::move(declared));
    if (!bench)
        statements.push_back({timing::Origin::Reference, 473.6, std::nullopt, 3e-4,
                              "counted by hand over two lamp flashes 2 s apart, before block 4"});
    for (timing::RateEvidence& statement : statements) {
        ErrorSource source;
        source.id = next<ErrorSourceId>();
        source.name = std::string(timing::label(statement.origin)) + " rate of " + clock.name;
        source.relativeUncertainty = statement.relativeUncertainty;
        ClockEvidence evidence;
        evidence.id = next<EvidenceId>();
        evidence.rate = std::move(statement);
        evidence.errorSources = {source.id};
        // The other mode's menu and a count disagree by 1.3 %.
        if (evidence.rate.origin == (bench ? timing::Origin::Declared : timing::Origin::Reference))
            clock.settled = Settlement{evidence.id,
                                       bench ? "The count over the reference clip is better than the nominal tag."
                                             : "Two flashes were filmed; the menu and the tag only say a nominal rate.",
                                       now(60)};
        clock.evidence.push_back(std::move(evidence));
        put(m_document.errorSources, std::move(source));
    }
    const ClockId id = clock.id;
    put(m_document.clocks, std::move(clock));
    return id;
}

/// Frames that a reader is off by: `late` and `early` are the shares one frame after and before the true one.
int SampleWriter::slip(footage::Random& random, double late, double early)
{
    const double draw = random.uniform(0, 1);
    return draw < late ? 1 : draw > 1 - early ? -1 : 0;
}

Mark SampleWriter::mark(const Capture& capture, const Region& screen, std::int64_t frame, media::FrameReader& reader)
{
    reading::MarkRequest request{m_footage, {frame}, {}, {}, capture.regions[0], screen};
    if (frame > 0)
        request.before = reader.read({frame - 1});
    request.at = reader.read({frame});
    return reading::makeMark(request, m_evidence).mark;
}

void SampleWriter::addTrial(const Capture& capture, const footage::TruePress& press, media::FrameReader& reader)
{
    if (!press.lampFrame)
        return;
    Trial trial;
    trial.id = next<TrialId>();
    trial.capture = capture.id;
    trial.lamp = capture.regions[0].id;
    trial.screen = capture.regions[1].id;
    trial.configuration = capture.configuration;
    trial.run = capture.run;
    ++m_trials;

    const auto readingBy = [&](const char* reader_, bool blind, int pressSlip, int responseSlip) {
        Reading reading;
        reading.id = next<ReadingId>();
        reading.reader = reader_;
        reading.blind = blind;
        reading.view = blind ? "zoom 2, gain 1" : "fit, gain 1";
        reading.press = mark(capture, capture.regions[1], *press.lampFrame + pressSlip, reader);
        if (press.reactionFrame && *press.reactionFrame > *press.lampFrame)
            reading.response = mark(capture, capture.regions[1], *press.reactionFrame + responseSlip, reader);
        reading.noReaction = press.oddity == footage::OddityKind::NoReaction;
        reading.accepted = reading.response || reading.noReaction;
        reading.time = now(20 + static_cast<int>(m_random.bits() % 15));
        return reading;
    };
    // The first glimmer is now and then taken for noise, a noisy frame now and then for a glimmer.
    trial.readings.push_back(readingBy(firstReader, false, slip(m_random, 0.04, 0), slip(m_random, 0.14, 0.05)));
    if (press.oddity == footage::OddityKind::DoublePress)
        trial.reject = Reject{RejectReason::DoublePress, "the lamp goes out and lights again", now(5)};
    if (press.oddity == footage::OddityKind::EarlyChange)
        trial.reject = Reject{RejectReason::EarlyChange, "", now(5)};
    if (!trial.reject && m_trials % 8 == 0) {
        const bool differ = m_trials % 24 == 0;
        Reading second = readingBy(secondReader, true, 0, 0);
        if (differ && second.response && trial.readings.front().response)
            second.response =
                mark(capture, capture.regions[1], trial.readings.front().response->frame.value + 1, reader);
        trial.readings.push_back(std::move(second));
        // All but the last have been settled by looking again.
        const auto frames = [](const Reading& r) {
            return std::pair(r.press->frame, r.response ? std::optional(r.response->frame) : std::nullopt);
        };
        if (frames(trial.readings[0]) != frames(trial.readings[1]) && m_trials < 90)
            trial.settled = trial.readings.front().id;
    }
    if (m_trials == 21)
        trial.readings.front().doubtful = true;
    if (press.mirrorFrame)
        addMirrorTrial(capture, press, trial, reader);
    put(m_document.trials, std::move(trial));
}

void SampleWriter::addMirrorTrial(const Capture& capture, const footage::TruePress& press, const Trial& ofScreen,
                                  media::FrameReader& reader)
{
    Trial trial = ofScreen;
    trial.id = next<TrialId>();
    trial.screen = capture.regions[2].id;
    trial.configuration = m_configurations.at(mirrorName);
    trial.settled = {};
    trial.readings.resize(1);
    Reading& reading = trial.readings.front();
    reading.id = next<ReadingId>();
    reading.press = mark(capture, capture.regions[2], reading.press->frame.value, reader);
    reading.response = mark(capture, capture.regions[2], *press.mirrorFrame + slip(m_onMirror, 0.14, 0.05), reader);
    reading.time = now(10);
    put(m_document.trials, std::move(trial));
}

void SampleWriter::addCapture(const footage::SampleCapture& sample, bool read)
{
    const fs::path path = m_folder / "footage" / sample.file;
    m_footage = media::openFootage(path);
    const footage::Truth truth = footage::foresee(sample.spec);
    const NewCapture described =
        reading::describeCapture(*m_footage, "footage/" + sample.file, media::partsSha256({path}));
    Capture capture = described.capture;
    capture.id = next<CaptureId>();
    capture.position = static_cast<int>(m_document.captures.size());
    capture.clock = addClock(sample.cameraMode, described.evidence);
    if (!sample.configuration.empty()) {
        capture.configuration = m_configurations.at(sample.configuration);
        capture.run = runOf(sample);
    }
    const auto region = [&](RegionKind kind, const char* name, const footage::Rect& r) {
        return Region{next<RegionId>(), kind, name, r.x, r.y, r.width, r.height};
    };
    capture.regions = {region(RegionKind::Lamp, "lamp", truth.lamp),
                       region(RegionKind::Screen, "screen", truth.screen)};
    if (read && truth.mirror.width > 0)
        capture.regions.push_back(region(RegionKind::Screen, "small screen", truth.mirror));
    capture.lampReference = sample.configuration.empty();
    if (!capture.lampReference) {
        const std::vector<media::Rect> regions{reading::rectOf(capture.regions[0]),
                                               reading::rectOf(capture.regions[1])};
        const std::vector<media::Trace> traces = media::traceRegions(*m_footage, regions);
        capture.presses.emplace();
        for (const reading::HintPair& pair :
             reading::findHints(traces[0], traces[1], regions[1], m_document.settings.event.lamp))
            capture.presses->proposed.push_back(reading::proposedPress(pair, capture.frames));
    }
    if (read && !capture.lampReference) {
        media::FrameReader reader(m_footage);
        for (const footage::TruePress& press : truth.presses)
            addTrial(capture, press, reader);
    }
    put(m_document.captures, std::move(capture));
}

Document SampleWriter::write(bool read)
{
    Settings& settings = m_document.settings;
    settings.title = read ? "Pedal links" : "Pedal links, to read yourself";
    settings.reader = firstReader;
    settings.event.reaction = "the panel at the left of the road lights up";
    settings.event.limitMs = 250;
    settings.plan.question = "What does each link between pedal and host add?";
    settings.plan.marginMs = 7; // a refresh interval of the faster display
    settings.plan.marginTime = settings.plan.planTime = now(0);
    settings.plan.trialsPerConfiguration = 12;
    settings.plan.runsPerConfiguration = 4;
    settings.rig = {{"lampWiring", "across the pedal's contact, through a transistor"},
                    {"lampColour", "red"},
                    {"resistor", "330 ohm"},
                    {"supply", "3.3 V"},
                    {"pressMethod", "by foot, at random moments"},
                    {"light", "one dimmed DC lamp"}};
    settings.publish.title = "Pedal to screen: what the link adds";
    settings.publish.subtitle = "From closing the pedal contact to the first change on screen, in ms";
    addConfigurations();
    settings.plan.baseline = m_configurations.at(footage::mirroredConfiguration);
    drawSheet();
    if (read)
        addMirror();
    // The reference clip stands last: who opens the demo sees a run first.
    std::vector<footage::SampleCapture> samples = footage::sampleCaptures();
    std::stable_partition(samples.begin(), samples.end(),
                          [](const auto& sample) { return !sample.configuration.empty(); });
    for (const footage::SampleCapture& sample : samples)
        addCapture(sample, read);
    if (const std::string wrong = contradiction(m_document); !wrong.empty())
        throw std::runtime_error("the sample contradicts itself: " + wrong);
    return std::move(m_document);
}

void makeSession(const fs::path& folder, bool read, const fs::path& path)
{
    SampleWriter writer(folder);
    const Document document = writer.write(read);
    SessionStore::write(path, {document, {}}, [&](const SessionStore::AddCrop& add) {
        for (const auto& [sha256, png] : writer.evidence().uncommitted())
            add(sha256, png);
    });
    std::cout << path.string() << ": " << document.captures.size() << " captures, " << document.trials.size()
              << " trials\n";
}

} // namespace

int main(int argc, char* argv[])
{
    if (argc != 2) {
        std::cerr << "usage: make_sample_session FOLDER (which holds footage/ by make_footage sample)\n";
        return 2;
    }
    try {
        const fs::path folder = argv[1];
        makeSession(folder, true, folder / "pedal_links.tallyframe");
        makeSession(folder, false, folder / "try_reading.tallyframe");
    } catch (const std::exception& error) {
        std::cerr << "make_sample_session: " << error.what() << '\n';
        return 3;
    }
    return 0;
}
