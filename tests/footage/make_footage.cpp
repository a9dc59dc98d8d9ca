// Command line of the footage maker.
#include "tests/footage/catalogue.h"
#include "tests/footage/footage.h"
#include "tests/footage/sample.h"
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iostream>
#include <map>
#include <stdexcept>

namespace {

namespace fs = std::filesystem;

constexpr const char* usage = "usage: make_footage bench|pattern|light OUT [--size WxH] [--frames N] [--rate R] [--ppm "
                              "P] [--playback R] [--codec NAME]\n"
                              "                    [--pixels FORMAT] [--quality Q] [--gop N] [--seed N] [--presses N] "
                              "[--noise CODES] [--refresh HZ]\n"
                              "                    [--line-time SECONDS] [--from-last-row] [--pulses HZ] [--exposure "
                              "SHARE] [--rotation DEGREES] [--no-barcode] [--threads N] [--truth FILE]\n"
                              "       make_footage catalogue --out DIR     small films of every kind of file\n"
                              "       make_footage sample --out DIR        the demo's films into DIR/footage\n"
                              "       make_footage truth sample            what is in them, as JSON\n"
                              "Rates are N or N/D. --truth writes what happened as JSON.\n";

footage::Ratio ratio(const std::string& text)
{
    const auto slash = text.find('/');
    return {std::stoll(text), slash == std::string::npos ? 1 : std::stoll(text.substr(slash + 1))};
}

int film(footage::SceneKind kind, const std::vector<std::string>& arguments)
{
    footage::Spec spec;
    spec.scene.kind = kind;
    fs::path out, truthFile;
    const std::map<std::string, std::function<void(const std::string&)>> options{
        {"--size",
         [&](const std::string& v) {
             spec.camera.width = std::stoi(v);
             spec.camera.height = std::stoi(v.substr(v.find('x') + 1));
         }},
        {"--frames", [&](const std::string& v) { spec.camera.frames = std::stoi(v); }},
        {"--rate", [&](const std::string& v) { spec.camera.nominalRate = ratio(v); }},
        {"--ppm", [&](const std::string& v) { spec.camera.ppm = std::stod(v); }},
        {"--playback", [&](const std::string& v) { spec.storage.playbackRate = ratio(v); }},
        {"--codec", [&](const std::string& v) { spec.storage.codec = v; }},
        {"--pixels", [&](const std::string& v) { spec.storage.pixelFormat = v; }},
        {"--quality", [&](const std::string& v) { spec.storage.quality = std::stod(v); }},
        {"--gop", [&](const std::string& v) { spec.storage.gop = std::stoi(v); }},
        {"--seed", [&](const std::string& v) { spec.seed = std::stoull(v); }},
        {"--presses", [&](const std::string& v) { spec.scene.presses = std::stoi(v); }},
        {"--noise", [&](const std::string& v) { spec.camera.noise = std::stod(v); }},
        {"--refresh",
         [&](const std::string& v) { spec.scene.delay.refreshRate = spec.scene.delay.tickRate = std::stod(v); }},
        {"--line-time", [&](const std::string& v) { spec.camera.lineTime = std::stod(v); }},
        {"--pulses", [&](const std::string& v) { spec.scene.pulseRate = std::stod(v); }},
        {"--exposure", [&](const std::string& v) { spec.camera.exposure = std::stod(v); }},
        {"--rotation", [&](const std::string& v) { spec.storage.rotation = std::stoi(v); }},
        {"--threads", [&](const std::string& v) { spec.storage.threads = std::stoi(v); }},
        {"--truth", [&](const std::string& v) { truthFile = v; }},
    };
    for (std::size_t i = 0; i < arguments.size(); ++i) {
        const auto option = options.find(arguments[i]);
        if (arguments[i] == "--no-barcode")
            spec.storage.barcode = false;
        else if (arguments[i] == "--from-last-row")
            spec.camera.readFromBottom = true;
        else if (option != options.end() && i + 1 < arguments.size())
            option->second(arguments[++i]);
        else if (out.empty() && !arguments[i].starts_with("--"))
            out = arguments[i];
        else
            throw std::runtime_error("can't use the argument " + arguments[i]);
    }
    if (out.empty())
        throw std::runtime_error("name the file to write");

    const footage::Truth truth = footage::make(spec, out);
    if (!truthFile.empty()) {
        std::ofstream file(truthFile);
        file << footage::toJson(truth);
        if (!file.flush())
            throw std::runtime_error("can't write " + truthFile.string());
    }
    std::cout << out.string() << ": " << truth.frames.size() << " frames, " << truth.presses.size() << " presses\n";
    return EXIT_SUCCESS;
}

int makeCatalogue(const fs::path& folder)
{
    for (const footage::CatalogueEntry& entry : footage::catalogue()) {
        const footage::CatalogueFile file = entry.make(folder);
        std::cout << file.path.string() << ": " << file.barcodes.size() << " frames; " << entry.trap << '\n';
    }
    return EXIT_SUCCESS;
}

int run(const std::vector<std::string>& arguments)
{
    if (arguments.empty() || arguments[0] == "--help") {
        std::cout << usage;
        return arguments.empty() ? 2 : EXIT_SUCCESS;
    }
    const std::vector<std::string> rest(arguments.begin() + 1, arguments.end());
    if (arguments[0] == "bench")
        return film(footage::SceneKind::Bench, rest);
    if (arguments[0] == "pattern")
        return film(footage::SceneKind::Pattern, rest);
    if (arguments[0] == "light")
        return film(footage::SceneKind::PulsedLight, rest);
    const bool toFolder = rest.size() == 2 && rest[0] == "--out";
    if (arguments[0] == "catalogue" && toFolder)
        return makeCatalogue(rest[1]);
    if (arguments[0] == "sample" && toFolder) {
        footage::makeSample(fs::path(rest[1]) / "footage");
        return EXIT_SUCCESS;
    }
    if (arguments[0] == "truth" && rest == std::vector<std::string>{"sample"}) {
        std::cout << footage::sampleTruth();
        return EXIT_SUCCESS;
    }
    throw std::runtime_error("can't use the argument " + arguments[0]);
}

} // namespace

int main(int argc, char** argv)
{
    try {
        return run({argv + 1, argv + argc});
    } catch (const std::exception& error) {
        std::cerr << "make_footage: " << error.what() << "\n" << usage;
        return 2;
    }
}
