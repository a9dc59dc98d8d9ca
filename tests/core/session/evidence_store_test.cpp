#include "core/session/evidence_store.h"
#include "core/error.h"
#include "refusals.h"
#include "sample_document.h"
#include "session_listener.h"
#include <catch2/catch.hpp>
#include <thread>

using namespace session;

namespace {

std::vector<std::uint8_t> bytes(const std::string& text) { return {text.begin(), text.end()}; }

/// As the writing thread does it: with an edit.
void writeAll(EvidenceStore& store, const std::filesystem::path& path, std::int64_t sequence)
{
    const CropBytes crops = store.uncommitted();
    SessionStore(path).commit({sequence, LogKind::PassedOver, ""}, {}, {}, crops);
    store.wrote(crops);
}

} // namespace

TEST_CASE("crops are kept once, under the checksum of their bytes", "[session]")
{
    Folder folder;
    const auto path = folder / "bench.tallyframe";
    SessionStore::write(path, {});
    EvidenceStore store(path);
    // SHA-256 of "abc": FIPS 180-4, example for one block, from memory.
    const std::string abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    for (int written = 0; written < 2; ++written) {
        CHECK(store.keep(bytes("abc")) == abc);
        CHECK(store.keep(bytes("abc")) == abc);
        CHECK(store.uncommitted().size() == 1);
        CHECK(store.load(abc) == bytes("abc"));
        writeAll(store, path, written + 1);
        CHECK(store.uncommitted().empty());
        CHECK(store.load(abc) == bytes("abc"));
    }
    CHECK_FALSE(store.load(std::string(64, '0')));
    CHECK_FALSE(store.load("../bench.tallyframe"));
    CHECK_FALSE(store.load(""));
    int count = 0;
    SessionStore(path).forCrops([&](const std::string&, const QByteArray&) { ++count; });
    CHECK(count == 1);
}

TEST_CASE("a crop that isn't what was kept is noticed", "[session]")
{
    Folder folder;
    const auto path = folder / "bench.tallyframe";
    SessionStore::write(path, {}, [](const SessionStore::AddCrop& add) { add(std::string(64, 'a'), "other bytes"); });
    EvidenceStore store(path);
    const auto error = errorOf([&] { store.load(std::string(64, 'a')); });
    REQUIRE(error);
    CHECK(error->kind() == core::ErrorKind::AtOdds);
}

TEST_CASE("crops can be kept from several threads", "[session]")
{
    Folder folder;
    const auto path = folder / "bench.tallyframe";
    SessionStore::write(path, {});
    EvidenceStore store(path);
    std::vector<std::thread> threads;
    for (int t = 0; t < 4; ++t)
        threads.emplace_back([&] {
            for (int i = 0; i < 20; ++i)
                store.load(store.keep(bytes("crop " + std::to_string(i))));
        });
    for (std::thread& thread : threads)
        thread.join();
    CHECK(store.uncommitted().size() == 20);
}
