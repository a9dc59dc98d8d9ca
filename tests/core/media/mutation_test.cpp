#include "core/error.h"
#include "core/media/index/confirmation.h"
#include "core/media/decode/frame_reader.h"
#include "tests/core/media/films.h"
#include "tests/footage/catalogue.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <random>
#include <sys/resource.h>
#include <unistd.h>

namespace fs = std::filesystem;

namespace {

using Random = std::mt19937;

std::size_t below(Random& random, std::size_t count) { return count == 0 ? 0 : random() % count; }

/// Where a film's tables are: near its beginning or its end.
std::size_t nearAnEnd(Random& random, std::size_t size)
{
    const std::size_t reach = std::min<std::size_t>(size, 3000);
    const std::size_t at = below(random, reach);
    return random() % 2 ? at : size - reach + at;
}

void flipBits(std::string& bytes, Random& random)
{
    for (std::size_t left = 1 + below(random, 40); left > 0; --left)
        bytes[random() % 3 ? below(random, bytes.size()) : nearAnEnd(random, bytes.size())] ^=
            static_cast<char>(1 << random() % 8);
}

/// Sizes, durations, counts: 16 to 64 bits that say something extreme.
void lie(std::string& bytes, Random& random)
{
    static const std::string claims[] = {std::string(4, '\xff'),
                                         std::string(4, '\0'),
                                         std::string("\x7f\xff\xff\xff", 4),
                                         std::string("\x80\0\0\0", 4),
                                         std::string("\xff\xff\xff\x7f", 4),
                                         std::string("\0\0\0\1", 4),
                                         std::string(8, '\xff'),
                                         std::string("\x7f\xff\xff\xff\xff\xff\xff\xff", 8),
                                         std::string("\xff\xff", 2),
                                         std::string(2, '\0')};
    for (std::size_t left = 1 + below(random, 4); left > 0; --left) {
        const std::string& claim = claims[below(random, std::size(claims))];
        const std::size_t at = nearAnEnd(random, bytes.size());
        bytes.replace(at, claim.size(), claim);
    }
}

void cutOff(std::string& bytes, Random& random)
{
    bytes.resize(random() % 2 ? below(random, bytes.size())
                              : bytes.size() - std::min(bytes.size(), below(random, 5000)));
}

void addNoise(std::string& bytes, Random& random)
{
    const std::size_t at = below(random, bytes.size());
    for (std::size_t i = at, end = std::min(bytes.size(), at + 1 + below(random, 2000)); i < end; ++i)
        bytes[i] = static_cast<char>(random());
}

void takeOut(std::string& bytes, Random& random)
{
    const std::size_t at = below(random, bytes.size());
    bytes.erase(at, 1 + below(random, 3000));
}

void putTwice(std::string& bytes, Random& random)
{
    const std::size_t from = below(random, bytes.size());
    const std::string piece = bytes.substr(from, 1 + below(random, 3000));
    bytes.insert(below(random, bytes.size()), piece);
}

std::string mutated(std::string bytes, Random& random)
{
    constexpr void (*changes[])(std::string&, Random&) = {flipBits, flipBits, lie,     lie,
                                                          cutOff,   addNoise, takeOut, putTwice};
    for (std::size_t left = 1 + below(random, 2); left > 0 && !bytes.empty(); --left)
        changes[below(random, std::size(changes))](bytes, random);
    return bytes;
}

/// What is told when something is wrong: one sentence.
void checkSentence(const std::string& text)
{
    INFO(text);
    CHECK_THAT(text, Catch::EndsWith("."));
    CHECK(text.size() < 2000);
}

void readSome(const std::shared_ptr<const media::Footage>& footage, Random& random)
{
    const std::int64_t last = footage->frameCount().value - 1;
    REQUIRE(last >= 0);
    media::FrameReader reader(footage);
    for (const std::int64_t n :
         {last, std::int64_t{0}, static_cast<std::int64_t>(below(random, static_cast<std::size_t>(last + 1)))}) {
        INFO("frame " << n);
        try {
            const std::uint64_t hash = reader.read({n}).hash();
            CHECK((!footage->confirmed || hash == footage->frames[n].hash));
        } catch (const core::Error& error) { // confirmed frames come out as they did before, whatever the damage
            checkSentence(error.what());
            CHECK_FALSE(footage->confirmed);
        }
    }
}

/// Threads take turns otherwise, and nothing else changes.
void checkOpensAlike(const media::Footage& first, const fs::path& path)
{
    try {
        const auto again = media::openFootage(path);
        REQUIRE(again->frames.size() == first.frames.size());
        for (std::size_t n = 0; n < first.frames.size(); ++n) {
            const media::FrameEntry &one = first.frames[n], &other = again->frames[n];
            if (one.hash != other.hash || one.ordinal != other.ordinal || one.cleanEntry != other.cleanEntry)
                FAIL_CHECK("frame " << n << " is another when the file is opened again");
        }
        CHECK(again->doubts.size() == first.doubts.size());
        CHECK(again->fault.has_value() == first.fault.has_value());
    } catch (const core::Error& error) {
        FAIL_CHECK("it can't be opened again: " << error.what());
    }
}

void openAndRead(const fs::path& path, Random& random)
{
    try {
        const auto scanned = media::scanFootage(path);
        readSome(scanned, random);
        const media::Confirmation confirmation = media::confirmFootage(scanned);
        readSome(confirmation.footage, random);
        if (confirmation.footage->fault)
            checkSentence(*confirmation.footage->fault);
        checkOpensAlike(*confirmation.footage, path);
        if (confirmation.difference)
            checkSentence(*confirmation.difference);
        for (const auto& now : confirmation.moved)
            CHECK((!now || (now->value >= 0 && now->value < confirmation.footage->frameCount().value)));
    } catch (const core::Error& error) {
        checkSentence(error.what());
    }
}

std::int64_t peakKiB()
{
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return usage.ru_maxrss;
}

std::size_t numberFrom(const char* variable, std::size_t usual)
{
    const char* text = std::getenv(variable);
    return text ? std::strtoul(text, nullptr, 10) : usual;
}

} // namespace

TEST_CASE("any file changed anyhow is read or refused in a sentence, within bounds of time and memory",
          "[media][mutation]")
{
    // How many changed copies of each film of the catalogue, from which seed on, for how many seconds at most, and of
    // which film only; see the contributor's guide.
    const char* only = std::getenv("TALLYFRAME_MUTATION_FILM");
    const std::size_t copies = numberFrom("TALLYFRAME_MUTATIONS", 2),
                      firstSeed = numberFrom("TALLYFRAME_MUTATION_SEED", 1);
    const std::chrono::seconds mostTime(numberFrom("TALLYFRAME_MUTATION_SECONDS", 86'400));
    constexpr std::clock_t mostSeconds =
        20; // most take hundredths; pictures of 2^26 samples on all cores under sanitizers more
    // The file stays when the program dies, so that the case can be looked at.
    const fs::path folder = fs::temp_directory_path() / ("tallyframe_mutation_" + std::to_string(getpid()));
    fs::create_directories(folder);
    std::vector<std::pair<std::string, fs::path>> films;
    for (const footage::CatalogueEntry& entry : footage::catalogue())
        if (const footage::CatalogueFile film = entry.make(filmCache());
            !fs::is_directory(film.path) && (!only || entry.name == only))
            films.emplace_back(entry.name, film.path);
    const auto start = std::chrono::steady_clock::now();
    std::size_t seed = firstSeed;
    for (; seed < firstSeed + copies && std::chrono::steady_clock::now() - start < mostTime; ++seed) {
        for (const auto& [film, whole] : films) {
            CAPTURE(film, seed);
            const fs::path path = folder / ("changed" + whole.extension().string());
            std::string name = film + std::to_string(seed); // so that a case doesn't depend on the films before it
            std::seed_seq mixed(name.begin(), name.end());
            Random random(mixed);
            writeBytes(path, mutated(readBytes(whole), random));
            const std::clock_t begin = std::clock(); // of this process: neighbours don't count
            openAndRead(path, random);
            CHECK((std::clock() - begin) / CLOCKS_PER_SEC < mostSeconds);
        }
    }
    fs::remove_all(folder);
    // libav may keep some tens of pictures of 2^26 samples; nothing of ours grows with what a file claims.
    CHECK(peakKiB() < 3 * 1024 * 1024);
    if (std::getenv("TALLYFRAME_MUTATIONS") || std::getenv("TALLYFRAME_MUTATION_SECONDS"))
        WARN((seed - firstSeed) * films.size()
             << " changed files, at most " << peakKiB() / 1024 << " MiB; go on with TALLYFRAME_MUTATION_SEED=" << seed);
}
