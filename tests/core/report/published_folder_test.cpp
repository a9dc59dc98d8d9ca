#include "core/report/published_folder.h"
#include "core/error.h"
#include "core/report/publication_record.h"
#include "core/session/edits.h"
#include "tests/core/analysis/small_session.h"
#include "tests/footage/temp_folder.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <sstream>
#include <sys/wait.h>
#include <unistd.h>

namespace fs = std::filesystem;
using namespace report;

namespace {

const std::string evening = "evening.tallyframe";

std::vector<Product> products(const char* figures = "1,2\r\n")
{
    return {{"results.csv", figures}, {"note.txt", "How it came about.\n"}};
}

void put(const fs::path& path, const std::string& bytes) { std::ofstream(path, std::ios::binary) << bytes; }

std::map<std::string, std::string> filesIn(const fs::path& folder)
{
    std::map<std::string, std::string> files;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
        std::ostringstream bytes;
        bytes << std::ifstream(entry.path(), std::ios::binary).rdbuf();
        files[entry.path().filename().string()] = bytes.str();
    }
    return files;
}

} // namespace

TEST_CASE("what a session published it replaces unasked, what somebody changed since it doesn't", "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    const PublishedFolder published(folder, evening);
    CHECK(published.foreign(products()).empty());
    CHECK(published.write(products(), false).files.size() == 3);
    CHECK(published.foreign(products("3,4\r\n")).empty());
    CHECK(published.write(products("3,4\r\n"), false).reports.empty());
    CHECK(filesIn(folder).at("results.csv") == "3,4\r\n");

    put(folder / "results.csv", "edited by hand");
    const auto before = filesIn(folder);
    CHECK(published.foreign(products()) == std::vector<std::string>{"results.csv"});
    try {
        published.write(products(), false);
        FAIL("replaced what was edited by hand");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::Refused);
        CHECK(std::string(error.what()).find("results.csv") != std::string::npos);
    }
    CHECK(filesIn(folder) == before);
    published.write(products(), true);
    CHECK(filesIn(folder).at("results.csv") == "1,2\r\n");
    CHECK(published.foreign(products("5")).empty());
}

TEST_CASE("files of another session, or of nobody known, are asked about", "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    SECTION("another session's")
    {
        PublishedFolder(folder, "morning.tallyframe").write(products("9"), false);
        CHECK(PublishedFolder(folder, evening).foreign(products())
              == std::vector<std::string>{"results.csv", "checksums.txt"});
    }
    SECTION("somebody's")
    {
        fs::create_directories(folder);
        put(folder / "note.txt", "Buy milk.");
        put(folder / "checksums.txt", "of something else");
        CHECK(PublishedFolder(folder, evening).foreign(products())
              == std::vector<std::string>{"note.txt", "checksums.txt"});
    }
    SECTION("a link, which would be written through to who knows where")
    {
        fs::create_directories(folder);
        put(temporary / "elsewhere.txt", "Buy milk.");
        fs::create_symlink(temporary / "elsewhere.txt", folder / "note.txt");
        CHECK(PublishedFolder(folder, evening).foreign(products()) == std::vector<std::string>{"note.txt"});
        PublishedFolder(folder, evening).write(products(), true);
        CHECK(filesIn(temporary / "").at("elsewhere.txt") == "Buy milk.");
    }
    SECTION("the same bytes need no question")
    {
        fs::create_directories(folder);
        put(folder / "results.csv", "1,2\r\n");
        CHECK(PublishedFolder(folder, evening).foreign(products()).empty());
    }
}

TEST_CASE("what the session has on record as its own is replaced without a question, whatever lies beside it",
          "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    const auto written = PublishedFolder(folder, evening).write(products(), false);
    session::Document document;
    document =
        apply(document, session::recordPublication(document, report::publicationOf(document, {}, "0.2.0", written)));
    REQUIRE(document.publications.size() == 1);
    const session::Publication& record = *document.publications.begin()->second;
    CHECK(record.version == "0.2.0");
    CHECK(record.files == written.sums);
    CHECK(record.files.size() == products().size());
    CHECK(record.inputs.size() == 64);
    CHECK_FALSE(record.time.empty());

    fs::remove(folder / "checksums.txt");
    CHECK(PublishedFolder(folder, evening).foreign(products("5")).size() == 1); // nobody knows whose it is
    CHECK(PublishedFolder(folder, evening, document.publications).foreign(products("5")).empty());
    put(folder / "results.csv", "by hand");
    CHECK(PublishedFolder(folder, evening, document.publications).foreign(products("5"))
          == std::vector<std::string>{"results.csv"});
}

TEST_CASE("the same inputs are known by their checksum, and figures are those that were shown", "[report]")
{
    const small::Session made = small::session();
    const analysis::Results results = analysis::compute(made.document);
    session::Publication first = report::publicationOf(made.document, results, "1", {});
    const session::Document published = apply(made.document, session::recordPublication(made.document, first));
    CHECK(published.settings == made.document.settings);
    REQUIRE(first.figures.size() == results.configurations.size());
    CHECK(first.figures[0].name == "Wired pedal");
    CHECK(first.figures[0].trials == results.configurations[0].n);
    CHECK(first.figures[0].meanMs == results.configurations[0].mean.shown()->estimateMs);
    session::Document again = published;
    CHECK(report::publicationOf(again, results, "1", {}).inputs == first.inputs);
    again.settings.plan.marginMs = 7;
    CHECK(report::publicationOf(again, results, "1", {}).inputs != first.inputs);
}

TEST_CASE("sha256sum reads the checksums, and finds a changed file", "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    PublishedFolder(folder, "name with \"quotes\"\nand lines.tallyframe").write(products(), false);
    const std::string check =
        "cd '" + folder.string() + "' && sha256sum --quiet --strict -c checksums.txt > /dev/null 2>&1";
    CHECK(std::system(check.c_str()) == 0);
    put(folder / "note.txt", "another");
    CHECK(std::system(check.c_str()) != 0);
}

TEST_CASE("a stop while publishing leaves everything as it was", "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    const PublishedFolder published(folder, evening);
    published.write(products(), false);
    const auto before = filesIn(folder);
    std::stop_source source;
    const auto stopAtSecond = [&](std::size_t done, std::size_t all) {
        CHECK(all == 2);
        if (done == 1)
            source.request_stop();
    };
    CHECK_THROWS_AS(published.write(products("3,4\r\n"), false, source.get_token(), stopAtSecond), core::Cancelled);
    CHECK(filesIn(folder) == before);
}

TEST_CASE("what a killed publishing left is taken away by the next one, and told", "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    const PublishedFolder published(folder, evening);
    published.write(products(), false);
    // Killed with the second file half written.
    const pid_t child = ::fork();
    if (child == 0) {
        try {
            published.write(products("3,4\r\n"), false, {}, [](std::size_t done, std::size_t) {
                if (done == 1)
                    ::_exit(9);
            });
        } catch (...) {
        }
        ::_exit(1);
    }
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    REQUIRE(WIFEXITED(status));
    REQUIRE(WEXITSTATUS(status) == 9);
    const auto killed = filesIn(folder);
    CHECK(killed.at("results.csv") == "1,2\r\n");
    REQUIRE(killed.size() == 5); // the list, two products, one half way, and what says who was at it

    // Killed a moment later, some products would have taken their places: they are still the session's.
    CHECK(published.foreign(products()).empty());
    put(folder / "results.csv", "3,4\r\n");
    CHECK(published.foreign(products("5,6\r\n")).empty());

    // What the program can't know to be its own stays: a file that was there before, and somebody's.
    put(folder / "results.csv.before-99999977-1", "somebody's results");
    put(folder / "note.txt.before-99999978-1", "How it came about.\n"); // as listed: an earlier publishing's
    put(folder / "note.txt.writing-99999979-1", "of a process that nothing is known of");
    put(folder / "holiday.before-99999977-1", "not a product");
    const auto written = published.write(products("5,6\r\n"), false);
    REQUIRE(written.reports.size() == 2);
    CHECK(written.reports[0].find("note.txt.before-99999978-1 and results.csv.writing-") != std::string::npos);
    CHECK(written.reports[1].find("note.txt.writing-99999979-1 and results.csv.before-99999977-1")
          != std::string::npos);
    auto after = filesIn(folder);
    CHECK(after.at("results.csv") == "5,6\r\n");
    CHECK(after.erase("checksums.txt") == 1);
    CHECK(
        after
        == std::map<std::string, std::string>{{"results.csv", "5,6\r\n"},
                                              {"note.txt", "How it came about.\n"},
                                              {"results.csv.before-99999977-1", "somebody's results"},
                                              {"note.txt.writing-99999979-1", "of a process that nothing is known of"},
                                              {"holiday.before-99999977-1", "not a product"}});
}

TEST_CASE("products that aren't written this time stay the session's own", "[report]")
{
    TempFolder temporary;
    const fs::path folder = temporary / "published";
    const PublishedFolder published(folder, evening);
    published.write(products(), false);
    const auto written = published.write({{"note.txt", "Another note.\n"}}, false);
    CHECK(written.rewritten == std::vector<std::string>{"note.txt", "checksums.txt"});
    CHECK(written.others == std::vector<std::string>{"results.csv"});
    CHECK(published.foreign(products("7")).empty());
}
