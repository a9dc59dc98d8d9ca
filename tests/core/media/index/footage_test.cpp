#include "core/media/index/footage.h"
#include "core/error.h"
#include "core/media/index/confirmation.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/picture/rendition.h"
#include "tests/core/media/films.h"
#include "tests/footage/catalogue.h"
#include "tests/footage/run_program.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <random>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

namespace fs = std::filesystem;
using core::ErrorKind;

namespace {

std::string noise(std::size_t count)
{
    std::mt19937 random(7);
    std::string bytes(count, '\0');
    for (char& byte : bytes)
        byte = static_cast<char>(random());
    return bytes;
}

/// Half a second of silence as a WAV file.
std::string silence()
{
    const std::string sound(22050, '\0');
    const auto number = [](std::uint32_t value, int bytes) {
        std::string text;
        for (int i = 0; i < bytes; ++i)
            text += static_cast<char>(value >> (8 * i));
        return text;
    };
    return "RIFF" + number(36 + 22050, 4) + "WAVEfmt " + number(16, 4) + number(1, 2) + number(1, 2) + number(22050, 4)
           + number(44100, 4) + number(2, 2) + number(16, 2) + "data" + number(22050, 4) + sound;
}

struct Refusal {
    ErrorKind kind;
    std::string sentence;
};

Refusal refusalOf(const fs::path& path)
{
    try {
        media::openFootage(path);
    } catch (const core::Error& error) {
        return {error.kind(), error.what()};
    }
    return {ErrorKind::Locked, "nothing was refused"};
}

void checkRefusal(const fs::path& path, ErrorKind kind, const std::string& words)
{
    const Refusal refusal = refusalOf(path);
    INFO(refusal.sentence);
    CHECK(refusal.kind == kind);
    CHECK_THAT(refusal.sentence, Catch::Contains(words));
    CHECK_THAT(refusal.sentence, Catch::Contains(path.filename().string()));
    CHECK_THAT(refusal.sentence, Catch::EndsWith("."));
}

media::RgbImage dot(std::uint8_t level) { return {8, 8, std::vector<std::uint8_t>(8 * 8 * 3, level)}; }

/// Sees whether anybody opens a file, from now on.
class OpenWatch {
public:
    explicit OpenWatch(const fs::path& path)
        : m_queue(inotify_init1(IN_NONBLOCK)), m_watch(inotify_add_watch(m_queue, path.c_str(), IN_OPEN))
    {
        REQUIRE(m_watch >= 0);
    }
    ~OpenWatch() { ::close(m_queue); }
    OpenWatch(const OpenWatch&) = delete;
    OpenWatch& operator=(const OpenWatch&) = delete;
    bool wasOpened() const
    {
        alignas(inotify_event) char events[4096];
        return ::read(m_queue, events, sizeof events) > 0;
    }

private:
    int m_queue, m_watch;
};

} // namespace

TEST_CASE("what isn't footage is refused in one sentence that says why", "[media][footage]")
{
    const TempFolder folder;
    const auto file = [&](const std::string& name, const std::string& bytes) {
        writeBytes(folder / name, bytes);
        return folder / name;
    };
    checkRefusal(folder / "nowhere.mp4", ErrorKind::NotFound, "There is no file");
    checkRefusal(file("empty.mp4", ""), ErrorKind::Unreadable, "is empty");
    checkRefusal(file("noise.mp4", noise(50000)), ErrorKind::Unsupported, "isn't footage of any known kind");
    checkRefusal(file("noise", noise(50000)), ErrorKind::Unsupported, "isn't footage of any known kind");
    checkRefusal(file("words.mp4", "Lamp on the left, screen on the right.\n"), ErrorKind::Unsupported, "holds text");
    checkRefusal(file("list.mp4", "#EXTM3U\n#EXT-X-TARGETDURATION:4\n#EXTINF:4,\n/etc/hostname\n"),
                 ErrorKind::Unsupported, "a list that points to other files");
    checkRefusal(file("script.mp4", "ffconcat version 1.0\nfile " + film("small.mp4", smallSpec()).string() + "\n"),
                 ErrorKind::Unsupported, "a list that points to other files");
    checkRefusal(file("sound.wav", silence()), ErrorKind::Unsupported, "isn't read as footage");
    footage::Spec sounding = smallSpec(12);
    sounding.storage.audioFirst = true;
    std::string sound = readBytes(film("sounding.mov", sounding));
    for (const auto& [from, to] :
         {std::pair{"vide", "text"}, {"avc1", "tx3g"}}) // what is left is sound, and notes of a kind
        for (std::size_t at = sound.find(from); at != std::string::npos; at = sound.find(from, at))
            sound.replace(at, 4, to);
    checkRefusal(file("sound.mov", sound), ErrorKind::Unsupported, "no moving picture in it, only sound");
    writePng(dot(9), folder / "still.png");
    checkRefusal(folder / "still.png", ErrorKind::Unsupported, "a single picture");

    const std::string whole = readBytes(film("small.mp4", smallSpec()));
    checkRefusal(file("head_only.mp4", whole.substr(0, whole.size() / 2)), ErrorKind::Unreadable,
                 "incomplete or damaged");

    REQUIRE(mkfifo((folder / "pipe").c_str(), 0600) == 0);
    checkRefusal(folder / "pipe", ErrorKind::Unsupported, "isn't a file that footage could be in");
}

TEST_CASE("folders that aren't one series of numbered pictures are refused", "[media][footage]")
{
    const TempFolder folder;
    const auto pictures = [&](const std::string& name, const std::vector<std::string>& files) {
        fs::create_directories(folder / name);
        for (const std::string& picture : files)
            writePng(dot(9), folder.path() / name / picture);
        return folder / name;
    };
    checkRefusal(pictures("none", {}), ErrorKind::Unsupported, "no numbered");
    checkRefusal(pictures("unnumbered", {"left.png", "right.png"}), ErrorKind::Unsupported, "no numbered");
    checkRefusal(pictures("two", {"left1.png", "left2.png", "right1.png"}), ErrorKind::Unsupported,
                 "left*.png, right*.png");
    checkRefusal(pictures("twins", {"a1.png", "a01.png", "a2.png"}), ErrorKind::Unsupported, "holds number 1 twice");
}

TEST_CASE("a name is never taken for a pattern, a protocol or a list", "[media][footage]")
{
    const TempFolder folder;
    const fs::path film = ::film("small.mp4", smallSpec());
    for (const char* name : {"shot%03d.mp4", "http:lamp.mp4", "concat:a|b.mp4", "file:x.mp4", "-.mp4", "a b?c#d.mp4"}) {
        CAPTURE(name);
        fs::copy_file(film, folder / name);
        CHECK(media::openFootage(folder / name)->frames.size() == 60);
    }
}

TEST_CASE("numbered pictures are put in number order and holes are told", "[media][footage]")
{
    const TempFolder folder;
    for (const int number : {8, 9, 10, 13, 100})
        writePng(dot(static_cast<std::uint8_t>(number)), folder / ("shot_" + std::to_string(number) + ".png"));
    writeBytes(folder / "notes.txt", "not a picture");
    const auto footage = media::openFootage(folder.path());
    REQUIRE(footage->frames.size() == 5);
    CHECK(footage->pictureFolder);
    CHECK(footage->codec == "png");
    CHECK(footage->size == media::Size{8, 8});
    CHECK_FALSE(footage->fault);
    media::FrameReader reader(footage);
    const int levels[] = {8, 9, 10, 13, 100};
    for (std::int64_t n = 0; n < 5; ++n)
        CHECK(media::render(reader.read({n}), {}).pixels.front() == levels[n]);
    REQUIRE(footage->numberingHoles.size() == 2);
    CHECK(footage->numberingHoles[0].before.value == 3);
    CHECK(footage->numberingHoles[0].count.value == 2);
    CHECK(footage->numberingHoles[1].before.value == 4);
    CHECK(footage->numberingHoles[1].count.value == 86);
}

TEST_CASE("a picture that can't be decoded counts as missing and is named", "[media][footage]")
{
    const TempFolder folder;
    for (int number = 1; number <= 5; ++number)
        writePng(dot(static_cast<std::uint8_t>(number)), folder / (std::to_string(number) + ".png"));
    writeBytes(folder / "3.png", "no picture");
    const auto footage = media::openFootage(folder.path());
    CHECK(footage->frames.size() == 4);
    REQUIRE(footage->numberingHoles.size() == 1);
    CHECK(footage->numberingHoles[0].before.value == 2);
    REQUIRE(footage->fault);
    CHECK_THAT(*footage->fault, Catch::Contains("3.png"));

    media::FrameReader reader(footage);
    CHECK(media::render(reader.read({2}), {}).pixels.front() == 4);
    writePng(dot(200), folder / "4.png");
    CHECK_THROWS_WITH(reader.read({2}), Catch::Contains("4.png") && Catch::Contains("has changed"));
    fs::remove(folder / "4.png");
    CHECK_THROWS_WITH(reader.read({2}), Catch::Contains("4.png"));
}

TEST_CASE("opening stops when asked to and says how far it is", "[media][footage]")
{
    const fs::path path = film("small.mp4", smallSpec());
    std::int64_t last = 0, total = 0;
    media::openFootage(path, {}, [&](std::int64_t done, std::int64_t all) {
        CHECK(done >= last);
        last = done;
        total = all;
    });
    CHECK(last == total);
    CHECK(total == static_cast<std::int64_t>(fs::file_size(path)));

    std::stop_source stop;
    int calls = 0;
    CHECK_THROWS_AS(media::openFootage(path, stop.get_token(),
                                       [&](std::int64_t, std::int64_t) {
                                           if (++calls == 10)
                                               stop.request_stop();
                                       }),
                    core::Cancelled);
    CHECK(calls == 10);
    CHECK_THROWS_AS(media::openFootage(path, stop.get_token()), core::Cancelled);
    CHECK_THROWS_AS(media::partsSha256({path}, stop.get_token()), core::Cancelled);
}

TEST_CASE("a reader that was stopped goes on as if nothing had been", "[media][footage]")
{
    const auto footage = smallFilm("mp4");
    media::FrameReader reader(footage), undisturbed(footage);
    for (const std::int64_t n : {40, 11, 35, 0, 59}) {
        std::stop_source stop;
        int passed = 0;
        const auto interrupt = [&](timing::FrameNumber, const media::Picture&) {
            if (++passed == 2)
                stop.request_stop();
        };
        try {
            reader.read({n}, stop.get_token(), interrupt);
        } catch (const core::Cancelled&) {
        }
        CHECK(reader.read({n}).md5() == undisturbed.read({n}).md5());
    }
}

TEST_CASE("frames that come out where the edit list shows nothing are in doubt", "[media][footage]")
{
    for (const footage::CatalogueEntry& entry : footage::catalogue())
        if (entry.name == "h264_empty_edit_within_mp4") {
            const auto footage = media::openFootage(entry.make(filmCache()).path);
            REQUIRE(footage->frames.size() == 55);
            REQUIRE(footage->doubts.size() == 1);
            CHECK(footage->doubts[0].first.value == 20);
            CHECK(footage->doubts[0].last.value == 34);
            REQUIRE(footage->fault);
            CHECK_THAT(*footage->fault, Catch::Contains("frames 20 to 34"));
        }
}

TEST_CASE("a change of size or pixel format in mid-film is told by its first frame", "[media][footage]")
{
    struct Change {
        const char* name;
        std::int64_t first;
        media::Size size;
        const char* format;
    };
    const Change change = GENERATE(Change{"h264_size_change_bare", 24, {480, 270}, "yuv420p"},
                                   Change{"h264_size_change_ts", 24, {480, 270}, "yuv420p"},
                                   Change{"h264_format_change_bare", 24, {320, 180}, "yuv422p"},
                                   Change{"mjpeg_format_change_bare", 16, {320, 180}, "yuvj444p"});
    CAPTURE(change.name);
    for (const footage::CatalogueEntry& entry : footage::catalogue())
        if (entry.name == change.name) {
            const auto footage = media::openFootage(entry.make(filmCache()).path);
            CHECK(footage->size == media::Size{320, 180});
            REQUIRE(footage->formatChanges.size() == 1);
            CHECK(footage->formatChanges[0].first.value == change.first);
            CHECK(footage->formatChanges[0].size == change.size);
            CHECK(footage->formatChanges[0].pixelFormat == change.format);
            const media::Picture picture = media::FrameReader(footage).read({change.first});
            CHECK(picture.size() == change.size);
            CHECK(picture.pixelFormat() == change.format);
        }
}

TEST_CASE("a file's moving pictures are listed, and one may be chosen", "[media][footage]")
{
    const auto entries = footage::catalogue();
    const auto made = [&](const std::string& name) {
        const auto entry = std::find_if(entries.begin(), entries.end(), [&](const auto& e) { return e.name == name; });
        REQUIRE(entry != entries.end());
        return entry->make(filmCache()).path;
    };
    const TempFolder cache;
    const fs::path path = made("mkvmerge_two_streams");
    for (int round = 0; round < 2; ++round) { // the second time from the cache
        const auto large = media::openFootage(path, {}, {}, media::OpenOptions{{}, cache.path()});
        const auto small = media::openFootage(path, {}, {}, media::OpenOptions{0, cache.path()});
        for (const auto& footage : {large, small}) {
            REQUIRE(footage->streams.size() == 2);
            CHECK(footage->streams[0].codec == "mpeg2video");
            CHECK(footage->streams[0].size == media::Size{240, 136});
            CHECK(footage->streams[1].codec == "h264");
            CHECK(footage->streams[1].size == media::Size{320, 180});
            CHECK_FALSE(footage->streams[0].isDefault);
            CHECK(footage->streams[1].isDefault);
            REQUIRE(footage->streams[0].seconds);
            CHECK_THAT(footage->streams[0].seconds->toDouble(),
                       Catch::WithinAbs(30 / 25.0, 0.001)); // Matroska counts ms
        }
        CHECK(large->streamIndex == 1);
        CHECK(large->frames.size() == 40);
        CHECK(small->streamIndex == 0);
        CHECK(small->frames.size() == 30);
        CHECK(media::openFootage(path, {}, {}, media::OpenOptions{1, cache.path()})->frames.size() == 40);
    }
    CHECK_THROWS_WITH(media::openFootage(path, {}, {}, media::OpenOptions{5, {}}),
                      Catch::Contains("choose one of 0, 1"));
    for (const char* name : {"mkvmerge_cover", "cover_stream_mp4"}) { // covers are larger but no films
        const auto footage = media::scanFootage(made(name));
        CHECK(footage->streams.size() == 1);
        CHECK(footage->frames.size() == 40);
    }
    CHECK_THROWS_AS(media::scanFootage(made("cover_stream_mp4"), {}, {}, media::OpenOptions{1, {}}), core::Error);
}

TEST_CASE("a file that was replaced, cut or grew before its index is confirmed is noticed", "[media][footage]")
{
    const TempFolder folder;
    footage::Spec spec = smallSpec(12);
    spec.storage.codec = "rawvideo"; // so that other pictures take just as many bytes in the same places
    const fs::path path = folder / "lamp.avi";
    fs::copy_file(film("raw.avi", spec), path);
    spec.seed = 2;
    const std::string other = readBytes(film("raw2.avi", spec)), whole = readBytes(path);
    REQUIRE(other.size() == whole.size());
    const auto scanned = media::scanFootage(path);
    REQUIRE_FALSE(scanned->confirmed);
    for (const std::string& now : {other, whole.substr(0, whole.size() - 5000), whole + "more"}) {
        writeBytes(path, now);
        CHECK_THROWS_WITH(media::FrameReader(scanned), Catch::Contains("lamp.avi") && Catch::Contains("has changed"));
        CHECK_THROWS_WITH(media::confirmFootage(scanned),
                          Catch::Contains("lamp.avi") && Catch::Contains("has changed"));
    }
    fs::remove(path);
    CHECK_THROWS_WITH(media::FrameReader(scanned), Catch::Contains("There is no file"));
    CHECK_THROWS_WITH(media::confirmFootage(scanned), Catch::Contains("There is no file"));
}

TEST_CASE("a file cut or gone while it is read gives a sentence, and pictures again when it is back",
          "[media][footage]")
{
    const TempFolder folder;
    const std::string extension = GENERATE("mp4", "mkv", "ts", "avi");
    const fs::path path = folder / ("lamp." + extension);
    footage::Spec spec = smallSpec(240); // larger than what is read ahead
    spec.storage.quality = 8;
    const fs::path source = film("long." + extension, spec);
    fs::copy_file(source, path);
    const auto footage = media::openFootage(path);
    const auto written = fs::last_write_time(path);
    media::FrameReader reader(footage);
    CHECK(reader.read({3}).hash() == footage->frames[3].hash);
    const auto checkRefused = [&] {
        try {
            reader.read({200});
            FAIL("a picture came from bytes that aren't there");
        } catch (const core::Error& error) {
            INFO(error.what());
            CHECK_THAT(error.what(), Catch::Contains("lamp." + extension) && Catch::EndsWith("."));
        }
    };
    fs::resize_file(path, fs::file_size(path) / 3);
    checkRefused();
    checkRefused();
    fs::copy_file(source, path, fs::copy_options::overwrite_existing);
    fs::last_write_time(path, written);
    CHECK(reader.read({200}).hash() == footage->frames[200].hash);

    // What grows or is removed while it is open stays what it was for whoever has it open.
    writeBytes(path, readBytes(source) + std::string(100000, 'x'));
    CHECK(reader.read({60}).hash() == footage->frames[60].hash);
    CHECK_THROWS_WITH(media::FrameReader(footage), Catch::Contains("has changed"));
    fs::remove(path);
    CHECK(reader.read({120}).hash() == footage->frames[120].hash);
    CHECK_THROWS_WITH(media::FrameReader(footage), Catch::Contains("There is no file"));
}

TEST_CASE("a camera maker's raw recordings are refused with what to export instead", "[media][footage]")
{
    const TempFolder folder;
    const auto file = [&](const std::string& name, const std::string& bytes) {
        writeBytes(folder / name, bytes);
        return folder / name;
    };
    const std::string head = std::string("CI\x2c\0\2\0\1\0", 8) + std::string(2000, '\7');
    checkRefusal(file("shot.cine", head), ErrorKind::Unsupported, "a camera maker's raw recording; export it");
    checkRefusal(file("shot.bin", head), ErrorKind::Unsupported, "a camera maker's raw recording; export it");
    checkRefusal(file("clip.bin", std::string("\0\0\0\x44RED2", 8) + std::string(2000, '\7')), ErrorKind::Unsupported,
                 "export it");
    for (const char* name : {"shot.mraw", "shot.RAW", "shot.r3d", "shot.dng"})
        checkRefusal(file(name, noise(20000)), ErrorKind::Unsupported, "as numbered TIFF or PNG pictures");
    CHECK_THAT(refusalOf(file("words.raw", "Lamp left.\n")).sentence,
               Catch::Contains("maker's raw")); // the name is all there is

    std::string bytes = readBytes(film("small.mov", smallSpec()));
    for (std::size_t at = bytes.find("avc1"); at != std::string::npos; at = bytes.find("avc1", at))
        bytes.replace(at, 4, "brvn"); // a QuickTime container around something that only its maker decodes
    checkRefusal(file("wrapped.mov", bytes), ErrorKind::Unsupported, "a camera maker's raw recording; export it");
    for (std::size_t at = bytes.find("brvn"); at != std::string::npos; at = bytes.find("brvn", at))
        bytes.replace(at, 4, "zqzq");
    checkRefusal(file("unheard.mov", bytes), ErrorKind::Unsupported, "can't be decoded (zqzq)");

    fs::create_directories(folder / "frames");
    for (const char* name : {"frames/a_001.dng", "frames/a_002.dng"})
        file(name, noise(100));
    checkRefusal(folder / "frames", ErrorKind::Unsupported, "a camera maker's raw recording; export it");
}

TEST_CASE("lists and addresses are refused, whatever they are called", "[media][footage]")
{
    const TempFolder folder;
    const std::string other = film("small.mp4", smallSpec()).string();
    const auto checkList = [&](const std::string& name, const std::string& text) {
        writeBytes(folder / name, text);
        checkRefusal(folder / name, ErrorKind::Unsupported, "a list that points to other files");
    };
    for (const char* name : {"a.m3u8", "a.mp4"})
        checkList(name, "#EXTM3U\n#EXT-X-TARGETDURATION:4\n#EXTINF:4,\n" + other + "\n#EXT-X-ENDLIST\n");
    for (const char* name : {"b.ffconcat", "b.mkv"})
        checkList(name, "ffconcat version 1.0\nfile '" + other + "'\n");
    checkList("c.m3u", other + "\n");
    checkList("d.pls", "[playlist]\nFile1=" + other + "\n");
    checkList("e.mp4", "<?xml version=\"1.0\"?><MPD><BaseURL>http://bench.invalid/a.mp4</BaseURL></MPD>");
    checkList("f.sdp", "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nm=video 5004 RTP/AVP 96\n");
    checkList("g.url", "[InternetShortcut]\nURL=http://bench.invalid/a.mp4\n");
    checkRefusal("https://bench.invalid/lamp.mp4", ErrorKind::Unsupported, "is an address");
    checkRefusal("rtsp://bench.invalid/lamp.mp4", ErrorKind::Unsupported, "is an address");
}

TEST_CASE("a file's references to other files aren't followed", "[media][footage]")
{
    // A QuickTime film whose pictures lie, as its data reference says, in another file: a whole copy beside it.
    const TempFolder folder;
    footage::Spec spec = smallSpec(24);
    const fs::path source = film("reference.mov", spec);
    std::string bytes = readBytes(source);
    fs::copy_file(source, folder / "elsewhere.mov");

    const auto number = [](std::size_t value, int count) {
        std::string text;
        for (int shift = 8 * (count - 1); shift >= 0; shift -= 8)
            text += static_cast<char>(value >> shift);
        return text;
    };
    // The alias record, as libavformat's mov_read_dref() reads it: names, then pieces of the path by kind.
    const std::string absolute = (folder / "elsewhere.mov").string(), name = "elsewhere.mov";
    std::string alias =
        std::string(10, '\0') + '\0' + std::string(27, '\0') + std::string(12, '\0') + static_cast<char>(name.size())
        + name + std::string(63 - name.size(), '\0') + std::string(16, '\0') + number(1, 2) + number(1, 2)
        + std::string(16, '\0') + number(2, 2) + number(absolute.size(), 2) + absolute
        + (absolute.size() % 2 ? std::string(1, '\0') : std::string()) + number(0xffff, 2) + number(0, 2);
    const std::string entry = number(alias.size() + 12, 4) + "alis" + std::string(4, '\0') + alias;
    const std::size_t box = bytes.find("dref") - 4, moov = bytes.find("moov") - 4;
    REQUIRE(moov < box);
    const std::size_t old = static_cast<unsigned char>(bytes[box + 19]); // size of the one entry that is there
    REQUIRE(old == 12);
    for (const char* outer :
         {"moov", "trak", "mdia", "minf", "dinf", "dref"}) { // the last of each: pictures come last in the file
        const std::size_t at = bytes.rfind(outer, box + 8) - 4;
        std::size_t size = 0;
        for (std::size_t i = 0; i < 4; ++i)
            size = size << 8 | static_cast<unsigned char>(bytes[at + i]);
        bytes.replace(at, 4, number(size + entry.size() - old, 4));
    }
    bytes.replace(box + 16, old, entry);
    const std::size_t samples = bytes.find("mdat") + 4;
    REQUIRE(samples < moov);
    std::fill(bytes.begin() + samples, bytes.begin() + moov, '\0');
    writeBytes(folder / "lamp.mov", bytes);
    const OpenWatch elsewhere(folder / "elsewhere.mov");
    CHECK_THROWS_AS(media::openFootage(folder / "lamp.mov"), core::Error);
    CHECK_FALSE(elsewhere.wasOpened());
}

TEST_CASE("lists that are attached to a film aren't followed", "[media][footage]")
{
    const TempFolder folder;
    fs::copy_file(film("small.mkv", smallSpec()), folder / "elsewhere.mkv");
    const std::string other = (folder / "elsewhere.mkv").string();
    writeBytes(folder / "list.m3u8", "#EXTM3U\n#EXT-X-TARGETDURATION:4\n#EXTINF:4,\n" + other + "\n#EXT-X-ENDLIST\n");
    writeBytes(folder / "script.ffconcat", "ffconcat version 1.0\nfile '" + other + "'\n");
    writeBytes(
        folder / "chapters.xml",
        "<?xml version=\"1.0\"?><Chapters><EditionEntry><EditionFlagOrdered>1</EditionFlagOrdered><ChapterAtom>"
        "<ChapterTimeStart>00:00:00.000000000</ChapterTimeStart><ChapterTimeEnd>00:00:01.000000000</ChapterTimeEnd>"
        "<ChapterSegmentUID format=\"hex\">00112233445566778899aabbccddeeff</ChapterSegmentUID>"
        "</ChapterAtom></EditionEntry></Chapters>");
    const fs::path path = folder / "lamp.mkv";
    footage::runProgram("mkvmerge", "mkvtoolnix",
                        {"--quiet", "--output", path.string(), "--chapters", (folder / "chapters.xml").string(),
                         "--attachment-mime-type", "application/vnd.apple.mpegurl", "--attach-file",
                         (folder / "list.m3u8").string(), "--attachment-mime-type", "video/mp4", "--attachment-name",
                         "http://bench.invalid/a.mp4", "--attach-file", (folder / "script.ffconcat").string(),
                         film("small.mp4", smallSpec()).string()},
                        folder / "log.txt");
    const OpenWatch elsewhere(folder / "elsewhere.mkv");
    const auto footage = media::openFootage(path);
    CHECK(footage->frames.size() == smallFilm("mp4")->frames.size());
    CHECK(media::FrameReader(footage).read({30}).hash() == smallFilm("mp4")->frames[30].hash);
    CHECK_FALSE(elsewhere.wasOpened());
    readBytes(folder / "elsewhere.mkv");
    CHECK(elsewhere.wasOpened()); // the watch does see it
}

TEST_CASE("a confirming pass that was stopped goes on near where it was, and finds the same",
          "[media][footage][confirm]")
{
    const std::string extension = GENERATE("mp4", "mkv", "ts", "avi");
    const auto whole = smallFilm(extension); // groups of 12
    const auto scanned = media::scanFootage(whole->path);
    REQUIRE_FALSE(scanned->confirmed);
    media::ConfirmationDraft draft;
    std::stop_source stop;
    const auto stopAt40 = [&](timing::FrameNumber n, const media::Picture&) {
        if (n.value == 40)
            stop.request_stop();
    };
    CHECK_THROWS_AS(media::confirmFootage(scanned, stop.get_token(), {}, stopAt40, {}, &draft), core::Cancelled);
    REQUIRE(draft.soFar);
    REQUIRE(draft.soFar->frames.size() >= 41);

    std::vector<std::int64_t> passed;
    std::int64_t confirmed = 0;
    const auto note = [&](timing::FrameNumber n, const media::Picture& picture) {
        passed.push_back(n.value);
        CHECK(picture.hash() == whole->frames[n.value].hash);
    };
    const auto progress = [&](std::int64_t, std::int64_t, timing::FrameCount count) {
        confirmed = std::max(confirmed, count.value);
    };
    const auto goOn = [&](std::int64_t had) {
        passed.clear();
        media::ConfirmationDraft copy = draft;
        copy.had = {had};
        return media::confirmFootage(scanned, {}, progress, note, {}, &copy);
    };
    const auto check = [&](const media::Confirmation& found, std::int64_t from) {
        INFO(extension << " from " << from);
        CHECK(found.moved.empty());
        CHECK(passed.front() == from);
        CHECK(passed.back() == 59);
        CHECK(confirmed == 60);
        CHECK(std::is_sorted(passed.begin(), passed.end()));
        REQUIRE(found.footage->frames.size() == whole->frames.size());
        for (std::size_t n = 0; n < whole->frames.size(); ++n) {
            CHECK(found.footage->frames[n].ordinal == whole->frames[n].ordinal);
            CHECK(found.footage->frames[n].hash == whole->frames[n].hash);
            CHECK(found.footage->frames[n].stamp == whole->frames[n].stamp);
            CHECK(found.footage->frames[n].cleanEntry == whole->frames[n].cleanEntry);
        }
        CHECK(found.footage->doubts.empty());
        CHECK_FALSE(found.footage->fault);
        CHECK(found.footage->size == whole->size);
    };
    check(goOn(60), 24); // at least 8 frames of what was there are compared
    check(goOn(20), 12); // pictures are needed from 21 on
    check(goOn(5), 0);

    auto other = std::make_shared<media::Footage>(*draft.soFar);
    other->frames[30].hash ^= 1; // it doesn't come out as before: all anew
    draft.soFar = other;
    const auto found = goOn(60);
    CHECK(std::count(passed.begin(), passed.end(), 0) == 1);
    passed.erase(passed.begin(), std::find(passed.begin(), passed.end(), 0));
    check(found, 0);
}

TEST_CASE("a stopped pass over a folder goes on with the picture where it was", "[media][footage][confirm]")
{
    const TempFolder folder;
    const auto pathOf = [&](int number) { return folder / ("shot_" + std::to_string(1000 + number) + ".png"); };
    for (int number = 0; number < 40; ++number)
        if (number != 9 && number != 35) // not there
            writePng(dot(static_cast<std::uint8_t>(5 * number)), pathOf(number));
    writeBytes(pathOf(4), "no picture"); // two that count as missing
    writeBytes(pathOf(36), "nor this");
    const auto whole = media::openFootage(folder.path());
    REQUIRE(whole->frames.size() == 36);
    const auto scanned = media::scanFootage(folder.path());
    REQUIRE_FALSE(scanned->confirmed);
    media::ConfirmationDraft draft;
    std::stop_source stop;
    CHECK_THROWS_AS(media::confirmFootage(
                        scanned, stop.get_token(), {},
                        [&](timing::FrameNumber n, const media::Picture&) {
                            if (n.value == 20)
                                stop.request_stop();
                        },
                        {}, &draft),
                    core::Cancelled);
    REQUIRE(draft.soFar);

    std::vector<std::int64_t> passed;
    const auto goOn = [&](std::int64_t had) {
        passed.clear();
        draft.had = {had};
        const auto found = media::confirmFootage(
            scanned, {}, {}, [&](timing::FrameNumber n, const media::Picture&) { passed.push_back(n.value); }, {},
            &draft);
        CHECK(passed.back() == 35);
        CHECK(std::is_sorted(passed.begin(), passed.end()));
        REQUIRE(found.footage->frames.size() == whole->frames.size());
        for (std::size_t n = 0; n < whole->frames.size(); ++n) {
            CHECK(found.footage->frames[n].hash == whole->frames[n].hash);
            CHECK(found.footage->frames[n].ordinal == whole->frames[n].ordinal);
        }
        CHECK(found.footage->fault == whole->fault);
        REQUIRE(found.footage->numberingHoles.size() == whole->numberingHoles.size());
        for (std::size_t i = 0; i < whole->numberingHoles.size(); ++i) {
            CHECK(found.footage->numberingHoles[i].before == whole->numberingHoles[i].before);
            CHECK(found.footage->numberingHoles[i].count == whole->numberingHoles[i].count);
        }
        return passed.front();
    };
    SECTION("all pictures were had") { CHECK(goOn(38) == 20); }
    SECTION("some are needed") { CHECK(goOn(7) == 7); }
    SECTION("all are needed") { CHECK(goOn(0) == 0); }
    SECTION("it is stopped again, earlier")
    {
        const auto before = draft.soFar;
        draft.had = {5};
        std::stop_source again;
        CHECK_THROWS_AS(media::confirmFootage(
                            scanned, again.get_token(), {},
                            [&](timing::FrameNumber, const media::Picture&) { again.request_stop(); }, {}, &draft),
                        core::Cancelled);
        CHECK(draft.soFar == before);
    }
    SECTION("the picture where it was is another by now")
    {
        auto other = std::make_shared<media::Footage>(*draft.soFar);
        other->frames.back().hash ^= 1;
        draft.soFar = other;
        CHECK(goOn(38) == 0);
    }
}

TEST_CASE("a file that changed after it was opened is noticed", "[media][footage]")
{
    const TempFolder folder;
    const fs::path path = folder / "lamp.mp4";
    fs::copy_file(film("small.mp4", smallSpec()), path);
    const auto footage = media::openFootage(path);
    media::FrameReader reader(footage);
    reader.read({5});

    footage::Spec other = smallSpec();
    other.seed = 2;
    fs::copy_file(film("other.mp4", other), path, fs::copy_options::overwrite_existing);
    try {
        media::FrameReader late(footage);
        late.read({30});
        FAIL("another film was shown");
    } catch (const core::Error& error) {
        CHECK(error.kind() == ErrorKind::AtOdds);
        CHECK_THAT(error.what(), Catch::Contains("lamp.mp4"));
    }
    fs::remove(path);
    CHECK_THROWS_AS(media::FrameReader(footage), core::Error);
}

TEST_CASE("a checksum is that of the file, or of a folder's list", "[media][footage]")
{
    const TempFolder folder;
    writeBytes(folder / "abc", "abc");
    // NIST, FIPS 180-4 example values (SHA-256 of "abc")
    CHECK(media::partsSha256({folder / "abc"}) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");

    const fs::path pictures = folder / "pictures";
    fs::create_directories(pictures);
    writeBytes(pictures / "10.png", "abc");
    writeBytes(pictures / "9.png", "abc");
    writeBytes(folder / "list", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  9.png\n"
                                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  10.png\n");
    CHECK(media::partsSha256({pictures}) == media::partsSha256({folder / "list"}));
    CHECK_THROWS_AS(media::partsSha256({folder / "nowhere"}), core::Error);
}

TEST_CASE("what the container tells about the footage comes along", "[media][footage]")
{
    footage::Spec spec = smallSpec();
    spec.storage.tags = {{"com.android.capture.fps", "960"}};
    spec.storage.rotation = 90;
    spec.storage.playbackRate = {30, 1};
    const auto footage = media::openFootage(film("tagged.mp4", spec));
    CHECK(footage->codec == "h264");
    CHECK(footage->pixelFormat == "yuv420p");
    CHECK(footage->size == media::Size{320, 180});
    CHECK(footage->rotation == 90);
    CHECK(footage->averageRate == timing::Rational(30));
    CHECK(footage->frames[3].stamp == timing::Rational(3, 30));
    CHECK(footage->keyFrames().size() == 5);
    CHECK(footage->tags.contains("handler_name"));
}

TEST_CASE("a film that begins amid a group begins with its first whole picture", "[media][footage]")
{
    const auto whole = smallFilm("ts");
    const TempFolder folder;
    const std::string bytes = readBytes(whole->path);
    constexpr std::size_t packet = 188;
    writeBytes(folder / "amid.ts", bytes.substr(packet * (bytes.size() / packet / 10)));
    const auto footage = media::openFootage(folder / "amid.ts");
    REQUIRE(footage->frames.size() == 48); // groups of 12
    CHECK(footage->doubts.empty());
    CHECK(footage->fault.value_or("").find("damaged") == std::string::npos);
    for (std::size_t n = 0; n < footage->frames.size(); ++n)
        CHECK(footage->frames[n].hash == whole->frames[n + 12].hash);
    media::FrameReader reader(footage);
    for (const std::int64_t n : {47, 0, 13})
        CHECK(reader.read({n}));
}

TEST_CASE("hostile counts and sizes are answered within a second", "[media][footage]")
{
    const TempFolder folder;
    const auto checkQuick = [](const fs::path& path) {
        const auto begin = std::chrono::steady_clock::now();
        try {
            media::openFootage(path);
        } catch (const core::Error& error) {
            CHECK_THAT(error.what(), Catch::Contains(path.filename().string()));
        }
        // A second here; slower under sanitizers.
        CHECK(std::chrono::steady_clock::now() - begin < std::chrono::seconds(5));
    };
    std::string bytes = readBytes(film("small.mp4", smallSpec()));
    const std::size_t table = bytes.find("stsz");
    REQUIRE(table != std::string::npos);
    // Every sample has one byte, and there are two thousand million of them.
    bytes.replace(table + 8, 8, std::string("\x00\x00\x00\x01\x7f\xff\xff\xff", 8));
    writeBytes(folder / "samples.mp4", bytes);
    checkQuick(folder / "samples.mp4");

    footage::Spec raw = smallSpec(4);
    raw.storage.codec = "rawvideo";
    bytes = readBytes(film("four.avi", raw));
    const std::size_t format = bytes.find("strf");
    REQUIRE(format != std::string::npos);
    // 65535 x 65535 pixels in a file of a few hundred kilobytes
    bytes.replace(format + 12, 8, std::string("\xff\xff\x00\x00\xff\xff\x00\x00", 8));
    writeBytes(folder / "pixels.avi", bytes);
    CHECK_THROWS_AS(media::openFootage(folder / "pixels.avi"), core::Error);
    checkQuick(folder / "pixels.avi");

    const media::RgbImage small = dot(1);
    const std::vector<std::uint8_t> png = media::encodePng(small);
    bytes.assign(png.begin(), png.end());
    bytes.replace(16, 8, std::string("\x00\x00\xff\xff\x00\x00\xff\xff", 8));
    fs::create_directories(folder / "pictures");
    writeBytes(folder / "pictures" / "1.png", bytes);
    CHECK_THROWS_WITH(media::openFootage(folder / "pictures"), Catch::Contains("1.png"));
}
