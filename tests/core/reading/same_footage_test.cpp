#include "core/reading/same_footage.h"
#include "core/error.h"
#include "core/media/index/packet_places.h"
#include "core/media/index/parts.h"
#include "tests/core/reading/reading_films.h"
#include "tests/footage/run_program.h"
#include <catch2/catch.hpp>

using Catch::Contains;

namespace {

struct FootageBench {
    TempFolder folder;
    std::shared_ptr<const media::Footage> footage;
    session::Document document;

    FootageBench()
    {
        smallFilm(folder / "run.mp4");
        footage = media::openFootage(folder / "run.mp4");
        document = sessionWith(*footage, media::partsSha256({folder / "run.mp4"}));
    }
    void mark(std::int64_t frame) { markPress(document, footage, frame); }
    reading::FootageComparison compare(const std::string& name) const
    {
        return reading::compareFootage(document, onlyCapture(document), folder / name);
    }
    void remux(const std::string& name) const
    {
        footage::runProgram("ffmpeg", "ffmpeg",
                            {"-y", "-i", (folder / "run.mp4").string(), "-c", "copy", (folder / name).string()},
                            folder / "log.txt");
    }
};

} // namespace

TEST_CASE("the same bytes are the footage, whatever they are called", "[same-footage]")
{
    const FootageBench bench;
    std::filesystem::rename(bench.folder / "run.mp4", bench.folder / "renamed.mp4");
    const reading::FootageComparison found = bench.compare("renamed.mp4");
    CHECK(found.same);
    CHECK(found.sentence.empty());
    CHECK(found.sha256 == onlyCapture(bench.document).sha256);
}

TEST_CASE("other bytes are the footage when frames, size and all marked pictures are the same", "[same-footage]")
{
    FootageBench bench;
    bench.remux("again.mkv");
    CHECK_THAT(bench.compare("again.mkv").sentence, Contains("no marks to compare"));
    CHECK(bench.compare("again.mkv").same);
    bench.mark(5);
    bench.mark(30);
    const reading::FootageComparison found = bench.compare("again.mkv");
    CHECK(found.same);
    CHECK_THAT(found.sentence,
               Contains("other bytes") && Contains("same stamps") && Contains("all 2 marked pictures are the same"));
    CHECK(found.sha256 != onlyCapture(bench.document).sha256);
    REQUIRE(found.places.size() == 2);
    CHECK(found.places.begin()->second == media::packetOf(*media::openFootage(bench.folder / "again.mkv"), {5}));
}

TEST_CASE("another film isn't the footage, and the sentence says why", "[same-footage]")
{
    FootageBench bench;
    bench.mark(5);
    smallFilm(bench.folder / "longer.mp4", 1, 44);
    CHECK_FALSE(bench.compare("longer.mp4").same);
    CHECK_THAT(bench.compare("longer.mp4").sentence,
               Contains("longer.mp4 isn't the footage of run") && Contains("44 frames of 320 x 180 instead of 40"));
    smallFilm(bench.folder / "other.mp4", 2);
    CHECK_FALSE(bench.compare("other.mp4").same);
    CHECK_THAT(bench.compare("other.mp4").sentence, Contains("its frame 5 isn't the picture that was marked"));
    CHECK_THROWS_AS(bench.compare("gone.mp4"), core::Error);
}

TEST_CASE("as many frames with other stamps aren't the footage", "[same-footage]")
{
    FootageBench bench;
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.frames = 41;
    spec.camera.missing = {20};
    footage::make(spec, bench.folder / "gap.mp4");
    CHECK_FALSE(bench.compare("gap.mp4").same);
    CHECK_THAT(bench.compare("gap.mp4").sentence, Contains("gap.mp4 isn't the footage of run: its stamps"));
    // Stamps that are times are compared one by one.
    session::Capture capture = onlyCapture(bench.document);
    for (int k = 0; k < 40; ++k)
        capture.stampSeconds.push_back(k / 30.0 + (k == 7 ? 0.01 : 0));
    capture.stampTickSeconds = 1e-3;
    bench.document.captures.begin()->second = std::make_shared<const session::Capture>(capture);
    bench.remux("again.mkv");
    CHECK_FALSE(bench.compare("again.mkv").same);
}

TEST_CASE("footage that was moved below a folder is found by its name and checksum alone", "[same-footage]")
{
    FootageBench bench;
    std::filesystem::create_directories(bench.folder / "a/deep");
    std::filesystem::create_directory(bench.folder / "b");
    const auto& run = onlyCapture(bench.document);
    const auto decoy = bench.folder / "a/run.mp4", there = bench.folder / "a/deep/run.mp4";
    smallFilm(decoy, 2);
    std::filesystem::rename(bench.folder / "run.mp4", there);
    CHECK(reading::findMoved(run, bench.folder.path()) == there);
    std::filesystem::rename(there, bench.folder / "b/renamed.mp4");
    CHECK_FALSE(reading::findMoved(run, bench.folder.path()));
    std::stop_source stop;
    stop.request_stop();
    CHECK_THROWS_AS(reading::findMoved(run, bench.folder.path(), stop.get_token()), core::Cancelled);
}

TEST_CASE("of a joined recording the other files are looked for beside the first", "[same-footage]")
{
    FootageBench bench;
    smallFilm(bench.folder / "run_2.mp4", 3);
    const std::vector<std::filesystem::path> files{bench.folder / "run.mp4", bench.folder / "run_2.mp4"};
    bench.footage = media::openParts(files);
    bench.document = sessionWith(*bench.footage, media::partsSha256(files));
    bench.mark(45); // in the second
    CHECK(pressOf(bench.document, bench.document.trials.begin()->first).packet->part == 1);
    CHECK(reading::footageOf(onlyCapture(bench.document), "/nowhere") == files);
    std::filesystem::create_directory(bench.folder / "away");
    std::filesystem::rename(files[0], bench.folder / "away/run.mp4");
    CHECK_THROWS_AS(bench.compare("away/run.mp4"), core::Error);
    std::filesystem::rename(files[1], bench.folder / "away/run_2.mp4");
    CHECK(bench.compare("away/run.mp4").same);
    const session::Capture& before = onlyCapture(bench.document);
    bench.document = session::apply(bench.document,
                                    session::relinkCapture(bench.document, before.id, "away/run.mp4", before.sha256));
    CHECK(onlyCapture(bench.document).furtherParts.front().path == "away/run_2.mp4");
    CHECK(reading::footageOf(onlyCapture(bench.document), bench.folder.path())[1] == bench.folder / "away/run_2.mp4");
}

TEST_CASE("pictures that a capture's footage doesn't show are named, where the footage is there", "[same-footage]")
{
    FootageBench bench;
    bench.mark(7);
    auto marked = session::markedPictures(bench.document, onlyCapture(bench.document).id);
    const session::MarkedPicture other{8, marked.begin()->second};
    marked.insert(other);
    CHECK(reading::notShown(marked, onlyCapture(bench.document), bench.folder.path())
          == std::set<session::MarkedPicture>{other});
    std::filesystem::remove(bench.folder / "run.mp4");
    CHECK_FALSE(reading::notShown(marked, onlyCapture(bench.document), bench.folder.path()));
}

TEST_CASE("one marked picture tells whether footage is what was marked in", "[same-footage]")
{
    FootageBench bench;
    bench.mark(7);
    const session::MarkedPicture marked =
        *session::markedPictures(bench.document, onlyCapture(bench.document).id).begin();
    media::FrameReader reader(bench.footage);
    CHECK(reading::shows(reader, marked));
    CHECK_FALSE(reading::shows(reader, {{8}, marked.second}));
    CHECK_FALSE(reading::shows(reader, {{4000}, marked.second}));
}
