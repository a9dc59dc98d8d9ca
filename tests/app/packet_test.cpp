// Blind packets and the run sheet on the command line.
#include "tests/app/program.h"
#include "tests/footage/temp_folder.h"

#include <filesystem>
#include <fstream>
#include <iterator>

namespace fs = std::filesystem;

namespace {

QString packetTestText(const fs::path& path) { return QString::fromStdString(path.string()); }

std::string contents(const fs::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

/// The sample session, to be written on.
struct Sample {
    TempFolder folder;
    fs::path session;
    Sample()
    {
        const fs::path from(SAMPLE_SESSION);
        fs::copy(from.parent_path(), folder / "own", fs::copy_options::recursive);
        session = folder / "own" / from.filename();
    }
};

} // namespace

TEST_CASE("a packet is handed out and brought in on the command line", "[app]")
{
    const Sample sample;
    const fs::path packet = sample.folder / "packet";
    const Outcome made =
        run({"packet", packetTestText(sample.session), "--out", packetTestText(packet), "--seed", "4"});
    INFO(made.problem.toStdString());
    REQUIRE(made.status == 0);
    CHECK(made.output.toStdString() == "20 trials in " + packet.string() + "\n");
    const std::string written = contents(packet / "blind packet.tallyframe");
    for (const char* secret : {"Direct", "hub", "Wireless", "run0", "\"press\"", "Reader A"})
        CHECK(written.find(secret) == std::string::npos);
    for (const fs::directory_entry& entry : fs::directory_iterator(packet / "footage"))
        CHECK(entry.path().filename().string().starts_with("capture "));

    const Outcome unread = run({"bringin", packetTestText(sample.session), packetTestText(packet)});
    CHECK(unread.status == 0);
    CHECK(unread.output == "No reading was brought in, 20 trials not read in the packet yet.\n");

    const Outcome again = run({"packet", packetTestText(sample.session), "--out", packetTestText(packet)});
    CHECK(again.status == 1);
    CHECK(again.problem.contains("something of that name is there already"));
}

TEST_CASE("footage outside somebody else's session folder is left alone until it is asked for", "[app]")
{
    const Sample sample;
    const fs::path text = sample.folder / "given.json", given = sample.folder / "given/given.tallyframe";
    fs::create_directory(sample.folder / "given");
    fs::copy(sample.session.parent_path() / "footage", sample.folder / "given/footage");
    REQUIRE(run({"export", packetTestText(sample.session), "--out", packetTestText(text)}).status == 0);
    std::string json = contents(text); // the same captures, where they lie
    const std::string own = "\"footage/run01.mp4\"", outside = "\"../own/footage/run01.mp4\"";
    REQUIRE(json.find(own) != std::string::npos);
    json.replace(json.find(own), own.size(), outside);
    std::ofstream(text, std::ios::binary) << json;
    REQUIRE(run({"import", packetTestText(text), "--out", packetTestText(given)}).status == 0);
    const QByteArray left = "The footage of run01 lies outside the session's folder and isn't read";

    CHECK(run({"check", packetTestText(given)}).output.contains(left));
    CHECK_FALSE(run({"check", packetTestText(given), "--read-outside"}).output.contains(left));
    const auto published = [&](const QStringList& more) {
        return run(QStringList{"publish", packetTestText(given), "--only", "evidence", "--trials", "run01:1",
                               "--replace", "--out", packetTestText(sample.folder / "out")}
                   + more);
    };
    CHECK(published({}).problem.contains(left));
    CHECK_FALSE(published({"--read-outside"}).problem.contains(left));
    const auto packed = [&](const char* name, const QStringList& more) {
        return run(QStringList{"packet", packetTestText(given), "--share", "100", "--out",
                               packetTestText(sample.folder / name)}
                   + more);
    };
    CHECK(packed("one", {}).problem.contains(left));
    CHECK_FALSE(packed("two", {"--read-outside"}).problem.contains(left));
}

TEST_CASE("footage that isn't what was read stays here and is named", "[app]")
{
    const Sample sample;
    const auto filesIn = [](const fs::path& folder) {
        return std::distance(fs::directory_iterator(folder), fs::directory_iterator());
    };
    const QStringList everything{"packet", packetTestText(sample.session), "--share", "100", "--out"};
    REQUIRE(run(everything + QStringList{packetTestText(sample.folder / "whole")}).status == 0);
    const auto all = filesIn(sample.folder / "whole/footage");
    const fs::path own = sample.folder / "own";
    const fs::path film = own / "footage/run05.mp4";
    REQUIRE(fs::exists(film));
    fs::remove(film); // the samples may be links to one file
    std::ofstream(film) << "a letter to somebody";
    const fs::path packet = sample.folder / "packet";
    const Outcome made = run(everything + QStringList{packetTestText(packet)});
    CHECK(made.status == 0);
    CHECK(made.problem.contains("isn't in the packet: what lies at"));
    CHECK(made.problem.contains(film.filename().string().c_str()));
    CHECK(filesIn(packet / "footage") == all - 1);
}

TEST_CASE("wrong packets and wrong options get a status and a sentence", "[app]")
{
    const Sample sample;
    CHECK(run({"packet", packetTestText(sample.session)}).status == 2);
    CHECK(run({"packet", packetTestText(sample.session), "--out", packetTestText(sample.folder / "p"), "--share", "3"})
              .status
          == 2);
    CHECK(run({"bringin", packetTestText(sample.session)}).status == 2);
    const Outcome own = run({"bringin", packetTestText(sample.session), packetTestText(sample.session)});
    CHECK(own.status == 3);
    CHECK(
        own.problem
        == "tallyframe: That session isn't a blind packet; choose the packet that the second reader has sent back.\n");
    std::ofstream(sample.folder / "broken.tallyframe") << "{ \"format\": ";
    CHECK(run({"bringin", packetTestText(sample.session), packetTestText(sample.folder / "broken.tallyframe")}).status
          == 3);
    CHECK(run({"bringin", packetTestText(sample.session), packetTestText(sample.folder / "nothing")}).status == 3);
    CHECK(run({"runsheet", packetTestText(sample.session), "--seed", "-1"}).status == 2);
    CHECK(run({"runsheet", packetTestText(sample.session), "--seed", "5"}).output
          == run({"runsheet", packetTestText(sample.session), "--seed", "5"}).output);
}
