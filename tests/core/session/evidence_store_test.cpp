#include "core/session/evidence_store.h"
#include "core/error.h"
#include "journal_listener.h"
#include <catch2/catch.hpp>
#include <fstream>
#include <thread>

using session::EvidenceStore;

namespace {

std::vector<std::uint8_t> bytes(const std::string& text) { return {text.begin(), text.end()}; }

} // namespace

TEST_CASE("crops are kept once, under the checksum of their bytes", "[session]")
{
    Folder folder;
    const EvidenceStore store(folder / "bench.evidence");
    CHECK_FALSE(std::filesystem::exists(folder / "bench.evidence"));
    // SHA-256 of "abc": FIPS 180-4, example for one block, from memory.
    const std::string abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    CHECK(store.keep(bytes("abc")) == abc);
    CHECK(store.keep(bytes("abc")) == abc);
    CHECK(store.load(abc) == bytes("abc"));
    CHECK_FALSE(store.load(std::string(64, '0')));
    CHECK_FALSE(store.load("../bench.tallyframe"));
    CHECK_FALSE(store.load(""));
    const auto files = std::filesystem::directory_iterator(folder / "bench.evidence");
    CHECK(std::distance(begin(files), end(files)) == 1);
}

TEST_CASE("a crop that isn't what was kept is noticed, and keeping it again mends a cut one", "[session]")
{
    Folder folder;
    const EvidenceStore store(folder.path());
    const std::string hash = store.keep(bytes("what the lamp looked like"));
    std::ofstream(folder.path() / (hash + ".png")) << "what the lamp";
    try {
        store.load(hash);
        FAIL("a changed crop was taken for the kept one");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::AtOdds);
    }
    CHECK(store.keep(bytes("what the lamp looked like")) == hash);
    CHECK(store.load(hash) == bytes("what the lamp looked like"));
}

TEST_CASE("crops can be kept from several threads", "[session]")
{
    Folder folder;
    const EvidenceStore store(folder / "bench.evidence");
    std::vector<std::thread> threads;
    for (int t = 0; t < 4; ++t)
        threads.emplace_back([&] {
            for (int i = 0; i < 20; ++i)
                store.keep(bytes("crop " + std::to_string(i)));
        });
    for (std::thread& thread : threads)
        thread.join();
    const auto files = std::filesystem::directory_iterator(folder / "bench.evidence");
    CHECK(std::distance(begin(files), end(files)) == 20);
}

TEST_CASE("a folder that can't be made is an error with a sentence", "[session]")
{
    Folder folder;
    std::ofstream(folder / "file") << "in the way";
    const EvidenceStore store(folder / "file" / "bench.evidence");
    try {
        store.keep(bytes("crop"));
        FAIL("kept below a file");
    } catch (const core::Error& error) {
        CHECK(error.kind() == core::ErrorKind::WriteFailed);
        CHECK(std::string(error.what()).find("can't be made") != std::string::npos);
    }
}
