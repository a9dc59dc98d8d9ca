#include "core/media/measure/calibration_traces.h"
#include "tests/footage/footage.h"
#include "tests/footage/random.h"
#include "tests/footage/temp_folder.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <functional>
#include <iomanip>
#include <iostream>
#include <map>

using Verdict = timing::PictureRepeats::Verdict;

namespace {

struct Choice {
    const char* name;
    std::function<void(footage::Spec&, footage::Random&)> make;
};

void screenOf(footage::Spec& s, double rate, double refresh)
{
    s.camera.nominalRate = {static_cast<std::int64_t>(rate), 1};
    s.scene.delay.refreshRate = s.scene.delay.tickRate = refresh;
}

/// Much moves on it, at every refresh.
void livelyScreen(footage::Spec& s, footage::Random& random)
{
    s.scene.kind = footage::SceneKind::Sway;
    s.scene.swayRefresh = s.scene.delay.refreshRate;
    s.scene.swaySpeed = random.uniform(0.5, 3);
    s.scene.swayScan = random.uniform() < 0.5 ? 0 : random.uniform();
    s.scene.swayShare = random.uniform(0.4, 0.8);
}

/// What is filmed. The first ones move clearly.
const std::vector<Choice>& scenes()
{
    static const std::vector<Choice> all{
        {"bench, hand",
         [](auto& s, auto& r) {
             s.scene.handSpeed = r.uniform(1, 3);
             s.scene.lightDrift = r.uniform(-0.02, 0.02);
         }},
        {"bench, hand, screen in step",
         [](auto& s, auto& r) {
             screenOf(s, r.uniform() < 0.5 ? 240 : 480, r.uniform() < 0.5 ? 60 : 120);
             s.scene.handSpeed = r.uniform(1, 3);
         }},
        {"bench, hand, 960",
         [](auto& s, auto& r) {
             screenOf(s, 960, 144);
             s.scene.handSpeed = r.uniform(3, 6);
         }},
        {"sway",
         [](auto& s, auto& r) {
             s.scene.kind = footage::SceneKind::Sway;
             s.scene.swaySpeed = r.uniform(0.5, 3);
         }},
        {"hand under ripple",
         [](auto& s, auto& r) {
             s.scene.handSpeed = r.uniform(1, 3);
             s.scene.ripple = r.uniform(0.01, 0.15);
             s.scene.rippleRate = r.uniform() < 0.5 ? 100 : 120;
         }},
        {"screen at 60, camera at 240",
         [](auto& s, auto& r) {
             screenOf(s, 240, 60);
             livelyScreen(s, r);
         }},
        {"screen at 120, camera at 240",
         [](auto& s, auto& r) {
             screenOf(s, 240, 120);
             livelyScreen(s, r);
         }},
        {"screen at 80, camera at 240",
         [](auto& s, auto& r) {
             screenOf(s, 240, 80);
             livelyScreen(s, r);
         }},
        {"screen at 60, camera at 480",
         [](auto& s, auto& r) {
             screenOf(s, 480, 60);
             livelyScreen(s, r);
         }},
        {"screen at 144, camera at 480",
         [](auto& s, auto& r) {
             screenOf(s, 480, 144);
             livelyScreen(s, r);
         }},
        {"screen at 60, camera at 1000",
         [](auto& s, auto& r) {
             screenOf(s, 1000, 60);
             livelyScreen(s, r);
         }},
        {"screen at 200, camera at 1000",
         [](auto& s, auto& r) {
             screenOf(s, 1000, 200);
             livelyScreen(s, r);
         }},
        {"bench, screen at 120, camera at 480", [](auto& s, auto&) { screenOf(s, 480, 120); }},
        {"a screen alone, in step",
         [](auto& s, auto& r) {
             screenOf(s, 240, r.uniform() < 0.5 ? 60 : 120);
             livelyScreen(s, r);
             s.scene.swayShare = 1;
         }},
        {"growing brighter",
         [](auto& s, auto& r) {
             s.scene.roadSpeed = 0;
             s.scene.lightDrift = r.uniform(0.05, 0.6);
         }},
        {"flicker",
         [](auto& s, auto& r) {
             s.scene.roadSpeed = 0;
             s.scene.ripple = r.uniform(0.02, 0.3);
             s.scene.rippleRate = r.uniform() < 0.5 ? 60 : r.uniform(50, 125);
         }},
        {"light on and off in step, screen",
         [](auto& s, auto& r) {
             screenOf(s, 240, r.uniform() < 0.5 ? 60 : 120);
             livelyScreen(s, r);
             s.scene.ripple = r.uniform(0.003, 0.3);
             s.scene.rippleRate = r.uniform() < 0.5 ? 60 : 30;
             s.scene.rippleSquare = true;
         }},
        {"noise",
         [](auto& s, auto& r) {
             s.scene.roadSpeed = 0;
             s.scene.presses = 0;
             s.camera.noise = r.uniform(0.5, 4);
         }},
        {"still",
         [](auto& s, auto&) {
             s.scene.roadSpeed = 0;
             s.camera.noise = 0;
         }},
    };
    return all;
}
constexpr std::size_t clearlyMoving = 5; ///< of the scenes

void everyNth(footage::Spec& s, int period, int adding)
{
    for (int k = 1; k < s.camera.frames; ++k)
        if (k % period >= adding)
            s.camera.repeated.push_back(k);
}

struct Treatment {
    const char* name;
    int period = 1, adding = 1;
    bool blended = false;
    int single = 0;
};
const std::vector<Treatment> treatments{{"none"},
                                        {"every 2nd adds nothing", 2, 1},
                                        {"every 4th adds nothing", 4, 3},
                                        {"every 5th adds nothing", 5, 4},
                                        {"every 4th is real", 4, 1},
                                        {"every 2nd is a blend", 2, 1, true},
                                        {"single repeats", 1, 1, false, 4}};

const std::vector<Choice>& storages()
{
    static const std::vector<Choice> all{
        {"H.264, P",
         [](auto& s, auto& r) {
             s.storage.bFrames = 0;
             s.storage.quality = r.uniform(15, 23);
         }},
        {"H.264, B",
         [](auto& s, auto& r) {
             s.storage.bFrames = 1 + static_cast<int>(r.uniform(0, 3));
             s.storage.bPyramid = r.uniform() < 0.5;
             s.storage.quality = r.uniform(15, 23);
         }},
        {"H.264, heavily",
         [](auto& s, auto& r) {
             s.storage.bFrames = r.uniform() < 0.5 ? 0 : 3;
             s.storage.quality = r.uniform(28, 40);
         }},
        {"HEVC",
         [](auto& s, auto& r) {
             s.storage.codec = "libx265";
             s.storage.bFrames = r.uniform() < 0.5 ? 0 : 3;
             s.storage.quality = r.uniform(14, 26);
             s.storage.preset = "ultrafast";
         }},
        {"MJPEG",
         [](auto& s, auto& r) {
             s.storage.codec = "mjpeg";
             s.storage.pixelFormat = "yuvj420p";
             s.storage.quality = r.uniform(2, 10);
         }},
        {"MPEG-4",
         [](auto& s, auto& r) {
             s.storage.codec = "mpeg4";
             s.storage.bFrames = static_cast<int>(r.uniform(0, 3));
             s.storage.codecOptions = {{"b", std::to_string(static_cast<int>(r.uniform(1, 12) * 1e6))}};
         }},
    };
    return all;
}

struct Tally {
    int right = 0, cantTell = 0, wrong = 0;
    void add(const Tally& t)
    {
        right += t.right;
        cantTell += t.cantTell;
        wrong += t.wrong;
    }
};

footage::Spec specOf(std::size_t scene, const Treatment& treatment, std::size_t storage, std::uint64_t seed)
{
    footage::Random random(seed, 77);
    footage::Spec spec;
    spec.seed = seed;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 150;
    spec.camera.nominalRate = {240, 1};
    spec.camera.ppm = random.uniform(-300, 300);
    spec.camera.noise = random.uniform(0.6, 2.5);
    spec.scene.presses = 1;
    spec.scene.firstPress = 0.1;
    spec.scene.roadSpeed = random.uniform(3, 10);
    spec.storage.barcode = false;
    spec.storage.gop = random.uniform() < 0.5 ? 30 : 250;
    scenes()[scene].make(spec, random);
    storages()[storage].make(spec, random);
    if (treatment.blended)
        for (int k = 1; k + 1 < spec.camera.frames; k += 2)
            spec.camera.blended.push_back(k);
    else
        everyNth(spec, treatment.period, treatment.adding);
    for (int i = 0; i < treatment.single; ++i)
        spec.camera.repeated.push_back(30 + 25 * i + static_cast<int>(random.uniform(0, 20)));
    return spec;
}

Tally judge(const timing::PictureRepeats& found, const footage::Truth& truth, const Treatment& treatment, bool clearly)
{
    if (found.verdict == Verdict::CantTell)
        return {0, 1, 0};
    const auto isTrue = [&](timing::FrameNumber frame) {
        return std::ranges::binary_search(truth.repeats, static_cast<int>(frame.value));
    };
    bool right = false;
    if (treatment.blended)
        right = found.verdict == Verdict::Blended;
    else if (treatment.period > 1)
        right =
            found.verdict == Verdict::Periodic && found.period == treatment.period && found.adding == treatment.adding;
    else if (treatment.single > 0) // where something clearly moves throughout, all of them can be seen
        right = found.verdict == Verdict::Irregular ? std::ranges::all_of(found.repeats, isTrue)
                                                    : found.verdict == Verdict::AllAdd && !clearly;
    else
        right = found.verdict == Verdict::AllAdd;
    return {right, 0, !right};
}

} // namespace

TEST_CASE("whether filmed pictures repeat is right or can't be told", "[media][repeats-table]")
{
    const char* times = std::getenv("TALLYFRAME_REPEATS_TIMES");
    const char* from = std::getenv("TALLYFRAME_REPEATS_SEED");
    const bool verbose = std::getenv("TALLYFRAME_REPEATS_EACH") != nullptr;
    const int rounds = times ? std::atoi(times) : 0;
    std::uint64_t seed = from ? std::strtoull(from, nullptr, 10) : 1000;
    const TempFolder folder;
    std::map<std::string, Tally> byScene, byTreatment, byStorage;
    Tally all, moving;
    const auto film = [&](std::size_t scene, const Treatment& treatment, std::size_t storage) {
        const footage::Spec spec = specOf(scene, treatment, storage, ++seed);
        const auto path =
            folder / (spec.storage.codec == "libx264" || spec.storage.codec == "libx265" ? "film.mp4" : "film.avi");
        const footage::Truth truth = footage::make(spec, path);
        const auto footage = media::openFootage(path);
        const timing::PictureRepeats found =
            timing::findRepeats(media::calibrationTraces(*footage, {0, 0, 16, 16}).changes);
        const Tally one = judge(found, truth, treatment, scene < clearlyMoving);
        byScene[scenes()[scene].name].add(one);
        byTreatment[treatment.name].add(one);
        byStorage[storages()[storage].name].add(one);
        all.add(one);
        if (scene < clearlyMoving && storages()[storage].name != std::string("H.264, heavily"))
            moving.add(one);
        if (one.wrong || verbose)
            std::cout << (one.wrong   ? "WRONG "
                          : one.right ? "right "
                                      : "can't ")
                      << scenes()[scene].name << " | " << treatment.name << " | " << storages()[storage].name
                      << " | seed " << seed << " | q " << spec.storage.quality << " b " << spec.storage.bFrames
                      << " noise " << spec.camera.noise << " | " << found.sentence(240) << std::endl;
    };
    if (rounds > 0) {
        for (int round = 0; round < rounds; ++round)
            for (std::size_t scene = 0; scene < scenes().size(); ++scene)
                for (const Treatment& treatment : treatments)
                    film(scene, treatment, (seed + static_cast<std::uint64_t>(round)) % storages().size());
    } else {
        for (std::size_t scene = 0; scene < scenes().size(); ++scene)
            for (const std::size_t i : {std::size_t{0}, std::size_t{1}})
                film(scene, treatments[(scene + 4 * i) % treatments.size()],
                     (scene + scene / 6 + 4 * i) % storages().size());
    }
    const auto print = [](const std::string& name, const Tally& t) {
        std::cout << "| " << std::left << std::setw(34) << name << " | " << std::right << std::setw(5) << t.right
                  << " | " << std::setw(5) << t.cantTell << " | " << std::setw(5) << t.wrong << " |\n";
    };
    for (const auto* part : {&byScene, &byTreatment, &byStorage})
        for (const auto& [name, tally] : *part)
            print(name, tally);
    print("clearly moving, not heavily", moving);
    print("all", all);
    CHECK(all.wrong == 0);
    CHECK(3 * moving.right > moving.cantTell); // codecs take the noise of many
}
