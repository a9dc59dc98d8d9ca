#include "tests/footage/sample.h"
#include "tests/footage/random.h"
#include <cmath>
#include <iterator>
#include <utility>

namespace footage {
namespace {

namespace fs = std::filesystem;

constexpr int blocks = 4, pressesPerRun = 4;
constexpr std::uint64_t sampleSeed = 20;
constexpr double lastLook = 0.20; // filmed on after the last press, seconds

struct Link {
    const char* name;
    double delay, spread; // of device and link, seconds
};
struct Display {
    const char* name;
    double refreshRate, processing, pixelRise;
};
constexpr Link direct{"Direct", 0.0032, 0.0004}, hub{"Powered hub", 0.0034, 0.0004},
    hubs{"Chained hubs", 0.0042, 0.0009}, wireless{"Wireless bridge", 0.0104, 0.0016};
constexpr Display fast{"144 Hz", 144, 0.0031, 0.0012}, slow{"75 Hz", 75, 0.0060, 0.0028};
constexpr double mirrorLag = 0.0096; // the splitter keeps step with the monitor
/// What all delays of a block have beside: the host is started anew before each, and what else runs on it differs.
constexpr double blockDrift[blocks]{0, 0.0040, 0.0015, 0.0060};
constexpr std::pair<Link, Display> configurations[] = {{direct, fast},   {hub, fast},    {hubs, fast},
                                                       {wireless, fast}, {direct, slow}, {wireless, slow}};

/// Mode "960": its tag is right within a crystal's and a rounding's error. Mode "480": really 473.6.
void setMode(SampleCapture& capture, bool first)
{
    capture.cameraMode = first ? "960" : "480";
    capture.spec.camera.nominalRate = {first ? 960 : 480, 1};
    capture.spec.camera.ppm = first ? -625 : (473.6 / 480 - 1) * 1e6;
    capture.spec.storage.tags = {{"com.android.capture.fps", first ? "960.000000" : "480.000000"}};
}

double captureRate(const Spec& spec) { return spec.camera.nominalRate.value() * (1 + spec.camera.ppm * 1e-6); }

Spec baseSpec(std::uint64_t seed)
{
    Spec spec;
    spec.seed = seed;
    spec.scene.lampHold = spec.scene.reactionHold = 0.09;
    spec.scene.roadSpeed = 0.6;
    spec.camera.noise = 2.0;
    spec.storage.quality = 26;
    spec.storage.preset = "medium";
    spec.storage.gop = 240;
    spec.storage.barcode = false;
    spec.storage.muxerOptions = {{"movflags", "use_metadata_tags"}};
    return spec;
}

SampleCapture runOf(const std::pair<Link, Display>& configuration, int block, int number)
{
    const auto& [link, display] = configuration;
    const std::uint64_t seed = sampleSeed + static_cast<std::uint64_t>(number);
    SampleCapture capture;
    capture.file = (number < 10 ? "run0" : "run") + std::to_string(number) + ".mp4";
    capture.configuration = std::string(link.name) + ", " + display.name;
    capture.block = block;
    capture.spec = baseSpec(seed);
    setMode(capture, number <= blocks * static_cast<int>(std::size(configurations)) - 2);

    Random random(seed, 100);
    Spec& spec = capture.spec;
    DelaySpec& delay = spec.scene.delay;
    delay.device = link.delay + 0.0003 * random.normal() + blockDrift[block - 1]; // plugged in anew for every run
    delay.deviceSpread = link.spread;
    delay.tickRate = 360;
    delay.refreshRate = display.refreshRate;
    delay.displayProcessing = display.processing;
    spec.scene.pixelRise = display.pixelRise;
    spec.scene.pixelFall = display.pixelRise * 1.2;
    if (capture.configuration == mirroredConfiguration)
        spec.scene.mirrorLag = mirrorLag;
    double press = random.uniform(0.10, 0.16);
    for (int i = 0; i < pressesPerRun; ++i, press += random.uniform(0.33, 0.42))
        spec.scene.pressTimes.push_back(press);
    spec.camera.frames = static_cast<int>(std::ceil((spec.scene.pressTimes.back() + lastLook) * captureRate(spec)));
    return capture;
}

/// A lamp at a known frequency and nothing else: what the clock of mode "960" can be settled with.
SampleCapture referenceClip()
{
    SampleCapture capture;
    capture.file = "reference_960.mp4";
    capture.lampFrequency = 9.7; // no simple fraction of the capture rate, so that the phases dither
    capture.spec = baseSpec(sampleSeed);
    setMode(capture, true);
    SceneSpec& scene = capture.spec.scene;
    scene.roadSpeed = 0;
    scene.lampHold = 0.5 / capture.lampFrequency;
    constexpr int flashes = 25;
    for (int i = 0; i < flashes; ++i) {
        scene.pressTimes.push_back(0.0317 + i / capture.lampFrequency);
        scene.oddities.push_back({i, OddityKind::NoReaction});
    }
    capture.spec.camera.frames = static_cast<int>((scene.pressTimes.back() + 0.02) * captureRate(capture.spec));
    return capture;
}

void addOddities(std::vector<SampleCapture>& runs)
{
    const auto scene = [&](int number) -> SceneSpec& { return runs[number - 1].spec.scene; };
    scene(7).oddities = {{2, OddityKind::DoublePress}};
    scene(12).oddities = {{1, OddityKind::EarlyChange}};
    scene(17).oddities = {{3, OddityKind::NoReaction}};
    // Three frames lost between a press and its reaction.
    Spec& lossy = runs[9].spec;
    const int lost = static_cast<int>((lossy.scene.pressTimes[1] + 0.010) * captureRate(lossy));
    lossy.camera.missing = {lost, lost + 1, lost + 2};
}

std::string entry(const SampleCapture& capture)
{
    Truth truth = foresee(capture.spec);
    truth.path = capture.file;
    return "{\"file\": \"" + capture.file + "\", \"configuration\": \"" + capture.configuration + "\", \"block\": "
           + std::to_string(capture.block) + ", \"cameraMode\": \"" + capture.cameraMode + "\", \"lampFrequency\": "
           + std::to_string(capture.lampFrequency) + ", \"truth\":\n" + toJson(truth, false) + "}";
}

} // namespace

std::vector<SampleCapture> sampleCaptures()
{
    // As the run sheet drew it that the product makes from `sheetSeed`.
    constexpr std::size_t order[blocks][std::size(configurations)]{
        {0, 1, 5, 3, 2, 4}, {3, 0, 5, 1, 2, 4}, {0, 4, 1, 2, 3, 5}, {3, 4, 5, 0, 1, 2}};
    std::vector<SampleCapture> captures;
    for (int block = 1; block <= blocks; ++block)
        for (const std::size_t c : order[block - 1])
            captures.push_back(runOf(configurations[c], block, static_cast<int>(captures.size()) + 1));
    addOddities(captures);
    captures.insert(captures.begin(), referenceClip());
    return captures;
}

void makeSample(const fs::path& folder)
{
    for (const SampleCapture& capture : sampleCaptures())
        make(capture.spec, folder / capture.file);
}

std::string sampleTruth()
{
    std::string out = "{\"captures\": [\n";
    const auto captures = sampleCaptures();
    for (std::size_t i = 0; i < captures.size(); ++i)
        out += entry(captures[i]) + (i + 1 < captures.size() ? ",\n" : "\n");
    return out + "]}\n";
}

} // namespace footage
