#include "tests/core/reading/reading_films.h"
#include "core/reading/make_mark.h"
#include "core/reading/new_capture.h"
#include <catch2/catch.hpp>
#include <algorithm>
#include <fstream>
#include <iterator>

footage::Truth smallFilm(const std::filesystem::path& path, std::uint64_t seed, int frames)
{
    footage::Spec spec;
    spec.seed = seed;
    spec.scene.kind = footage::SceneKind::Pattern;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = frames;
    spec.storage.preset = "ultrafast";
    if (path.extension() == ".avi") {
        spec.storage.codec = "mjpeg";
        spec.storage.pixelFormat = "yuvj420p";
    }
    return footage::make(spec, path);
}

void killPictures(const std::filesystem::path& path, const std::vector<std::size_t>& dead)
{
    std::ifstream in(path, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(in), {}};
    in.close();
    std::vector<std::size_t> starts;
    for (std::size_t at = bytes.find("\xff\xd8\xff"); at != std::string::npos; at = bytes.find("\xff\xd8\xff", at + 3))
        starts.push_back(at);
    for (const std::size_t n : dead) {
        REQUIRE(n < starts.size());
        std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(starts[n]), 600, '\0');
    }
    std::ofstream(path, std::ios::binary) << bytes;
}

session::Document sessionWith(const media::Footage& footage, const std::string& sha256)
{
    session::Document document = session::apply(
        {}, session::addCaptures({}, {reading::describeCapture(footage, footage.path.string(), sha256)}));
    const session::CaptureId id = onlyCapture(document).id;
    for (const auto& [kind, name] :
         {std::pair(session::RegionKind::Lamp, "lamp"), std::pair(session::RegionKind::Screen, "screen")})
        document = session::apply(
            document, session::setRegion(document, id,
                                         {{}, kind, name, 20, kind == session::RegionKind::Lamp ? 20 : 90, 64, 48}));
    return document;
}

const session::Capture& onlyCapture(const session::Document& document)
{
    REQUIRE(document.captures.size() == 1);
    return *document.captures.begin()->second;
}

session::TrialId markPress(session::Document& document, const std::shared_ptr<const media::Footage>& footage,
                           std::int64_t frame)
{
    const session::Capture& capture = onlyCapture(document);
    session::EvidenceStore evidence;
    const session::Mark mark =
        reading::makeMark({footage, {frame}, {}, {}, capture.regions[0], capture.regions[1]}, evidence).mark;
    document = session::apply(document, session::addTrial(document, capture.id, {}, {}, mark));
    return document.trials.rbegin()->first;
}

const session::Mark& pressOf(const session::Document& document, session::TrialId trial)
{
    return *session::find(document, trial)->readings.front().press;
}
