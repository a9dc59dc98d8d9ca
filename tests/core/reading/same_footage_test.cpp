#include "core/reading/same_footage.h"
#include "core/error.h"
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
        document = sessionWith(*footage, media::footageSha256(folder / "run.mp4"));
    }
    void mark(std::int64_t frame) { markPress(document, footage, frame, folder / "evidence"); }
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
    bench.mark(5);
    bench.mark(30);
    const reading::FootageComparison found = bench.compare("again.mkv");
    CHECK(found.same);
    CHECK_THAT(found.sentence, Contains("other bytes") && Contains("all 2 marked pictures are the same"));
    CHECK(found.sha256 != onlyCapture(bench.document).sha256);
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

TEST_CASE("one marked picture tells whether footage is what was marked in", "[same-footage]")
{
    FootageBench bench;
    bench.mark(7);
    const session::MarkedPicture marked =
        *session::markedPictures(bench.document, onlyCapture(bench.document).id).begin();
    media::FrameReader reader(bench.footage);
    CHECK(reading::shows(reader, marked));
    CHECK_FALSE(reading::shows(reader, {8, marked.second}));
    CHECK_FALSE(reading::shows(reader, {4000, marked.second}));
}
