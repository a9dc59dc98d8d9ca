#include "core/reading/incoming_marks.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "tests/core/reading/reading_films.h"
#include <catch2/catch.hpp>

using Catch::Contains;
using reading::FirstFrame;

namespace {

/// A film of 40 frames as capture, with regions and the configurations "Direct" and "Hub".
struct TableBench {
    TempFolder folder;
    std::shared_ptr<const media::Footage> footage;
    session::Document document;
    session::EvidenceStore evidence;
    reading::ConfirmedFootage confirmed;

    TableBench()
    {
        smallFilm(folder / "Run 1.mp4");
        footage = media::openFootage(folder / "Run 1.mp4");
        document = sessionWith(*footage);
        session::Capture capture = onlyCapture(document);
        capture.path = "films/Run 1.mp4";
        capture.name = "first take";
        document = session::apply(document, session::setCapture(document, capture, "name"));
        for (const char* name : {"Direct", "Hub"}) {
            session::Configuration one;
            one.name = name;
            document = session::apply(document, session::addConfiguration(document, one));
        }
        confirmed[capture.id] = footage;
    }
    std::vector<reading::IncomingTrial> rows(const std::string& table, FirstFrame first = FirstFrame::Zero) const
    {
        return reading::incomingTrials(document, reading::csvRows("file,press,response,configuration\n" + table), first,
                                       confirmed);
    }
    std::string fault(const std::string& row, FirstFrame first = FirstFrame::Zero) const
    {
        const auto all = rows(row, first);
        REQUIRE(all.size() == 1);
        return all.front().fault;
    }
    std::string configuration(session::ConfigurationId id) const
    {
        const session::Configuration* one = session::find(document, id);
        return one ? one->name : std::string();
    }
};

} // namespace

TEST_CASE("a row names its film by the capture's name or its file", "[marks]")
{
    const TableBench bench;
    const char* name = GENERATE("first take", "FIRST TAKE", "Run 1.mp4", "Run 1", "films/run 1.mp4",
                                "C:\\films\\Run 1.mp4", "/elsewhere/Run 1.MOV");
    CAPTURE(name);
    CHECK(bench.fault(std::string(name) + ",3,9,") == "");
    CHECK_THAT(bench.fault("Run 2,3,9,"), Contains("No capture is called \u201cRun 2\u201d"));
}

TEST_CASE("the analyst says from which number a table counts frames", "[marks]")
{
    const TableBench bench;
    CHECK(bench.rows("Run 1,0,39,").front().pressFrame == timing::FrameNumber{0});
    CHECK(bench.rows("Run 1,1,40,", FirstFrame::One).front().responseFrame == timing::FrameNumber{39});
    CHECK_THAT(bench.fault("Run 1,0,39,", FirstFrame::One),
               Contains("Its press is frame 0, and the film's frames are 1 to 40 as the table counts."));
    CHECK_THAT(bench.fault("Run 1,3,40,"), Contains("Its response is frame 40"));
}

TEST_CASE("what is wrong with a row is said, and it stays out", "[marks]")
{
    TableBench bench;
    CHECK_THAT(bench.fault("Run 1,x3,9,"),
               Contains("its press is \u201cx3\u201d, not a frame number", Catch::CaseSensitive::No));
    CHECK_THAT(bench.fault("Run 1,3.0,9,"), Contains("not a frame number"));
    CHECK_THAT(bench.fault("Run 1,99999999999999999999,9,"), Contains("not a frame number"));
    CHECK_THAT(bench.fault("Run 1,,9,"), Contains("its press is \u201c\u201d", Catch::CaseSensitive::No));
    CHECK_THAT(bench.fault("Run 1,9,3,"), Contains("lies before its press"));
    CHECK_THAT(bench.fault("Run 1,3,9,Wireless"), Contains("No configuration is called \u201cWireless\u201d"));
    CHECK_THAT(bench.fault("Run 1"), Contains("not a frame number")); // a short row
    const auto twice = bench.rows("Run 1,3,9,\nrun 1,3,10,");
    CHECK(twice[0].fault.empty());
    CHECK(twice[1].fault == "A trial has that press already.");
    CHECK(twice[1].line == 3);
    bench.confirmed.clear();
    CHECK_THAT(bench.fault("Run 1,3,9,"), Contains("footage isn't there"));
    CHECK_THROWS_WITH(
        reading::incomingTrials(bench.document, reading::csvRows("file,press\na,1"), FirstFrame::Zero, {}),
        Contains("no column \"response\""));
    CHECK_THROWS_WITH(reading::incomingTrials(bench.document, {}, FirstFrame::Zero, {}),
                      Contains("no column \"file\""));
}

TEST_CASE("rows become trials with evidence in one edit", "[marks]")
{
    TableBench bench;
    auto rows = bench.rows("Run 1,17,20,hub\nRun 1,4,none,Direct\nRun 1,30,,\nRun 1,x,,");
    const auto made = reading::makeTrials(bench.document, rows, bench.confirmed, bench.evidence);
    REQUIRE(made.size() == 3);
    const session::Edit edit = reading::bringInTrials(bench.document, made, "marks.csv");
    const session::Document after = session::apply(bench.document, edit);
    const auto trials = session::trialsOf(after, onlyCapture(after).id);
    REQUIRE(trials.size() == 3);
    const auto reading = [&](std::size_t at) { return *session::countingReading(*trials[at]); };
    CHECK(reading(0).press->frame.value == 4);
    CHECK(reading(0).noReaction);
    CHECK(reading(0).accepted);
    CHECK(bench.configuration(trials[0]->configuration) == "Direct");
    CHECK(reading(1).accepted);
    CHECK(reading(1).view == "brought in from marks.csv, line 2");
    CHECK(bench.configuration(trials[1]->configuration) == "Hub");
    CHECK_FALSE(reading(2).accepted); // half read
    media::FrameReader reader(bench.footage);
    CHECK(reading(1).response->pictureHash == reader.read({20}).md5());
    CHECK(bench.evidence.load(reading(1).response->crops.screenAt));
    session::Document undone = session::apply(after, session::reversed(edit));
    undone.nextId = bench.document.nextId; // no number is given twice
    CHECK(undone == bench.document);
    // A second time there is nothing to bring in.
    CHECK(reading::bringInTrials(after, made, "marks.csv").changes.empty());
    bench.document = after;
    CHECK(bench.fault("Run 1,17,20,") == "A trial has that press already.");
}

TEST_CASE("a press some frames beside another stays out until the analyst takes it", "[marks]")
{
    TableBench bench;
    auto rows = bench.rows("Run 1,5,9,\nRun 1,30,34,");
    const auto made = reading::makeTrials(bench.document, rows, bench.confirmed, bench.evidence);
    bench.document = session::apply(bench.document, reading::bringInTrials(bench.document, made, "marks.csv"));
    CHECK(bench.fault("Run 1,6,9,") == "It lies beside the press of trial 1 of first take (1 frame).");
    CHECK(bench.fault("Run 1,27,34,") == "It lies beside the press of trial 2 of first take (3 frames).");
    CHECK(bench.fault("Run 1,17,18,") == "It lies beside the press of trial 1 of first take (12 frames).");
    CHECK(bench.fault("Run 1,5,9,") == "A trial has that press already.");
    const std::string near =
        "file,press,response,configuration\nRun 1,18,20,\nRun 1,20,22,\nRun 1,29,34,\nRun 1,30,34,";
    const auto of = [&](reading::Beside beside) {
        return reading::incomingTrials(bench.document, reading::csvRows(near), FirstFrame::Zero, bench.confirmed,
                                       beside);
    };
    const auto out = of(reading::Beside::StaysOut);
    CHECK(out[0].fault == "It lies beside the press of trial 2 of first take (12 frames).");
    CHECK(out[1].isBeside);
    CHECK(out[2].fault == "It lies beside the press of trial 2 of first take (1 frame).");
    CHECK_FALSE(out[3].isBeside);
    const auto in = of(reading::Beside::ComesIn);
    CHECK(in[0].fault.empty());
    CHECK(in[1].fault.empty());
    CHECK(in[1].isBeside);
    CHECK(in[3].fault == "A trial has that press already.");
}
