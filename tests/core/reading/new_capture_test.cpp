#include "core/reading/new_capture.h"
#include "core/session/edits.h"
#include <catch2/catch.hpp>

namespace {

media::Footage footageOf(const std::string& path, std::int64_t frames)
{
    media::Footage footage;
    footage.path = path;
    footage.size = {320, 180};
    footage.frames.resize(static_cast<std::size_t>(frames));
    return footage;
}

media::FootagePart part(const std::string& path, std::int64_t first, std::int64_t frames)
{
    return {{first}, std::make_shared<media::Footage>(footageOf(path, frames))};
}

} // namespace

TEST_CASE("parts of a recording come into the session with what is known of their seams", "[take-in]")
{
    media::Footage footage = footageOf("/films/a_1.mp4", 60);
    footage.parts = {part("/films/a_1.mp4", 0, 30), part("/films/a_2.mp4", 30, 20), part("/elsewhere/a_3.mp4", 50, 10)};
    footage.seams = {{{30}, std::nullopt, "a_2.mp4 follows a_1.mp4 there, and nothing tells"},
                     {{50}, timing::FrameCount{3}, "stamps"}};
    const session::Capture capture = reading::describeCapture(footage, "footage/a_1.mp4").capture;
    CHECK(capture.path == "footage/a_1.mp4");
    CHECK(capture.furtherParts
          == std::vector<session::FurtherPart>{{"footage/a_2.mp4", 30, false}, {"/elsewhere/a_3.mp4", 50, true}});
    REQUIRE(capture.unknown.size() == 1);
    CHECK(capture.unknown[0].first.value == 29);
    CHECK(capture.unknown[0].last.value == 30);
    CHECK_FALSE(capture.unknown[0].stampsTell);
    CHECK(capture.missing == std::vector<timing::Gap>{{{50}, {3}}});
}

TEST_CASE("a chosen stream is noted where it isn't the one that opens by itself", "[take-in]")
{
    media::Footage footage = footageOf("/films/a.mkv", 10);
    footage.streams = {{0, "h264", {160, 90}, {}, false, true}, {1, "h264", {320, 180}, {}, true, true}};
    footage.streamIndex = 1;
    CHECK_FALSE(reading::describeCapture(footage, "a.mkv").capture.stream);
    footage.streamIndex = 0;
    CHECK(reading::describeCapture(footage, "a.mkv").capture.stream == 0);
}

TEST_CASE("interlaced footage and changes of size are told in a capture's notes", "[take-in]")
{
    media::Footage footage = footageOf("/films/a.ts", 10);
    CHECK(reading::describeCapture(footage, "a.ts").capture.notes.empty());
    footage.interlaced = true;
    footage.formatChanges = {{{4}, {640, 360}, "yuv420p"}};
    const std::vector<std::string> notes = reading::describeCapture(footage, "a.ts").capture.notes;
    REQUIRE(notes.size() == 2);
    CHECK_THAT(notes[0], Catch::Contains("interlaced"));
    CHECK_THAT(notes[1], Catch::Contains("From frame 4 on") && Catch::Contains("640 x 360"));
}

TEST_CASE("captures of a camera mode that the tags name share its clock", "[take-in]")
{
    media::Footage footage = footageOf("/films/a.mov", 10);
    footage.tags = {{"com.apple.quicktime.make", " Bench "}, {"com.apple.quicktime.model", "X1"}};
    CHECK(reading::describeCapture(footage, "a.mov").cameraMode.empty()); // at what rate?
    footage.tags["com.android.capture.fps"] = "960";
    CHECK(reading::describeCapture(footage, "a.mov").cameraMode == "Bench X1, 960 mode");
    footage.tags["com.apple.quicktime.model"] = "Bench camera X1";
    CHECK(reading::describeCapture(footage, "a.mov").cameraMode == "Bench camera X1, 960 mode");
    footage.codec = "h264";
    footage.tags["com.apple.quicktime.model"] = "X1\x01\n" + std::string(5'000, 'x'); // as nobody should write it
    const session::NewCapture added = reading::describeCapture(footage, "a.mov");
    REQUIRE(added.capture.stored);
    CHECK(added.capture.stored->codec == "h264");
    CHECK(added.capture.stored->camera.starts_with("Bench X1 xxx"));
    const session::Document empty;
    CHECK(session::contradiction(session::apply(empty, session::addCaptures(empty, {added}))).empty());
}

TEST_CASE("frames missing from a numbered folder are counted where its numbers leap", "[take-in]")
{
    media::Footage footage = footageOf("/films/a", 10);
    footage.pictureFolder = true;
    footage.numberingHoles = {{{4}, 2}, {{9}, 1}};
    CHECK(reading::describeCapture(footage, "a").capture.missing == std::vector<timing::Gap>{{{4}, {2}}, {{9}, {1}}});
}

TEST_CASE("a file with more to say than a session holds is taken in all the same", "[take-in]")
{
    media::Footage footage = footageOf("/films/a.ts", 30'000);
    for (std::int64_t i = 1; i < 29'000; i += 2)
        footage.doubts.push_back({{i}, {i}, std::string(3'000, 'x')});
    const session::NewCapture taken = reading::describeCapture(footage, "a.ts");
    REQUIRE(taken.capture.notes.size() == 100);
    CHECK(taken.capture.notes.back() == "And 14401 more.");
    session::NewCapture whole = taken;
    whole.capture.frames = {30'000};
    const session::Document document = session::apply({}, session::addCaptures({}, {whole}));
    CHECK(session::contradiction(document).empty());
}
