#include "core/media/index/confirmation.h"
#include "core/media/decode/frame_reader.h"
#include "tests/core/media/films.h"
#include "tests/core/media/plain_decode.h"
#include "tests/footage/catalogue.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <random>
#include <set>

namespace {

using media::Footage;

std::vector<PlainPicture> plainPictures(const Footage& footage)
{
    if (!footage.pictureFolder)
        return plainDecode(footage.path, footage.streamIndex);
    std::vector<PlainPicture> pictures;
    for (const auto& file : media::footageFiles(footage.path))
        pictures.push_back(plainPicture(file));
    return pictures;
}

/// Frame numbers in an order; the first that comes out with another picture, else -1.
std::int64_t firstWrong(media::FrameReader& reader, const std::vector<PlainPicture>& truth,
                        const std::vector<std::int64_t>& order)
{
    for (const std::int64_t n : order)
        if (reader.read({n}).md5() != truth[n].md5)
            return n;
    return -1;
}

media::OpenOptions optionsFor(const footage::CatalogueFile& film)
{
    return {film.stream < 0 ? std::nullopt : std::optional(film.stream), {}};
}

void checkStamps(const Footage& footage, const std::vector<double>& stamps)
{
    // A container rounds to its own ticks; libav starts some of them at another zero.
    const double tick = footage.timeBase.toDouble();
    std::optional<double> shift;
    for (std::size_t n = 0; n < stamps.size() && n < footage.frames.size(); ++n) {
        if (!footage.frames[n].stamp)
            continue;
        const double found = footage.frames[n].stamp->toDouble() - stamps[n];
        shift = shift.value_or(found);
        INFO("frame " << n);
        CHECK(std::abs(found - *shift) <= tick * 1.01);
    }
}

void checkDamage(const Footage& footage, const footage::CatalogueFile& film, bool cutOff)
{
    // Pictures that may be damaged are in doubt, whole ones never.
    std::vector<std::int64_t> doubtful;
    for (const media::Doubt& doubt : footage.doubts)
        for (std::int64_t n = doubt.first.value; n <= doubt.last.value; ++n)
            doubtful.push_back(n);
    std::vector<std::int64_t> damaged;
    for (std::size_t n = film.barcodes.size(); n < footage.frames.size(); ++n)
        damaged.push_back(static_cast<std::int64_t>(n));
    CHECK(doubtful == damaged);
    CHECK((!footage.fault || cutOff));
    CHECK((footage.fault || film.damagedTail == 0));
}

} // namespace

TEST_CASE("every frame of every kind of file is the same in any order of access", "[media][catalogue]")
{
    for (const footage::CatalogueEntry& entry : footage::catalogue()) {
        CAPTURE(entry.name, entry.trap);
        const footage::CatalogueFile film = entry.make(filmCache());
        const std::shared_ptr<const Footage> opened = media::openFootage(film.path, {}, {}, optionsFor(film));
        const std::vector<PlainPicture> truth = plainPictures(*opened);
        const std::size_t count = opened->frames.size();

        CHECK(count == truth.size());
        CHECK(count >= film.barcodes.size());
        CHECK(count <= film.barcodes.size() + static_cast<std::size_t>(film.damagedTail));
        for (std::size_t n = 0; n < std::min({count, film.barcodes.size(), truth.size()}); ++n) {
            INFO("frame " << n);
            CHECK(truth[n].barcode == film.barcodes[n]);
        }
        checkStamps(*opened, film.stamps);
        CHECK(opened->rotation == film.rotation);
        CHECK(opened->pixelAspect == timing::Rational(film.pixelAspect.num, film.pixelAspect.den));
        if (entry.name != "h264_empty_edit_within_mp4") // whose doubts have a test of their own
            checkDamage(*opened, film, entry.name.find("_cut_") != std::string::npos);
        if (count != truth.size())
            continue;

        std::vector<std::int64_t> order(count);
        std::iota(order.begin(), order.end(), std::int64_t{0});
        media::FrameReader forwards(opened), anyhow(opened);
        CHECK(firstWrong(forwards, truth, order) == -1);
        if (count > 100) // each costs a whole long group: a sample will do
            std::erase_if(order, [](std::int64_t n) { return n % 7 != 0; });
        std::reverse(order.begin(), order.end());
        CHECK(firstWrong(forwards, truth, order) == -1); // by a reader that has been at the end of the file
        std::mt19937 random(20240229);
        std::shuffle(order.begin(), order.end(), random);
        CHECK(firstWrong(anyhow, truth, order) == -1);
    }
}

TEST_CASE("what packets tell of every kind of file is confirmed by decoding it", "[media][catalogue]")
{
    // Kinds whose packets tell neither by stamps nor by heads, or break off, are decoded at once.
    const std::set<std::string> decoded{
        "gst_h264_flv",       "gst_mpeg2_interlaced_ts", "gst_mpeg2_mkv",       "gst_mpeg2_ps",
        "gst_mpeg2_ts",       "h264_cut_between_mkv",    "h264_cut_within_mkv", "h264_cut_within_mp4",
        "mpeg1_ps",           "mpeg2_fields_bare",       "mpeg2_mxf",           "mpeg2_ps",
        "mpeg4_b_frames_avi", "mpeg4_mp4_no_sync_table", "mpeg4_packed_avi"};
    for (const footage::CatalogueEntry& entry : footage::catalogue()) {
        CAPTURE(entry.name, entry.trap);
        const footage::CatalogueFile film = entry.make(filmCache());
        const std::shared_ptr<const Footage> scanned = media::scanFootage(film.path, {}, {}, optionsFor(film));
        CHECK(scanned->confirmed == decoded.contains(entry.name));

        std::int64_t passed = 0;
        const media::Confirmation confirmation =
            media::confirmFootage(scanned, {}, {}, [&](timing::FrameNumber n, const media::Picture&) {
                passed = n.value == 0 ? 1 : passed + (n.value == passed);
            });
        const Footage& truth = *confirmation.footage;
        CHECK(truth.confirmed);
        CHECK(passed == (scanned->confirmed ? 0 : truth.frameCount().value));
        CHECK(confirmation.moved.empty());
        CHECK_FALSE(confirmation.difference);
        REQUIRE(scanned->frames.size() == truth.frames.size());
        for (std::size_t n = 0; n < truth.frames.size(); ++n) {
            INFO("frame " << n);
            CHECK(scanned->frames[n].ordinal == truth.frames[n].ordinal);
            CHECK(scanned->frames[n].stamp == truth.frames[n].stamp);
        }
        CHECK(scanned->size == truth.size);
        CHECK(scanned->pixelFormat == truth.pixelFormat);
        CHECK(scanned->pixelAspect == truth.pixelAspect);
        CHECK(scanned->rotation == truth.rotation);
        CHECK(scanned->interlaced == truth.interlaced);
        CHECK(scanned->averageRate == truth.averageRate);

        std::vector<std::int64_t> order(scanned->frames.size());
        std::iota(order.begin(), order.end(), std::int64_t{0});
        if (order.size() > 100)
            std::erase_if(order, [](std::int64_t n) { return n % 7 != 0; });
        const auto inDoubt = [&](std::int64_t n) {
            return std::any_of(truth.doubts.begin(), truth.doubts.end(), [n](const media::Doubt& doubt) {
                return doubt.first.value <= n && n <= doubt.last.value;
            });
        };
        std::mt19937 random(20240301);
        for (const bool backwards : {true, false}) {
            if (backwards)
                std::reverse(order.begin(), order.end());
            else
                std::shuffle(order.begin(), order.end(), random);
            if (!backwards && order.size() > 24)
                order.resize(24); // each jump costs half a group
            media::FrameReader reader(scanned);
            for (const std::int64_t n : order) {
                INFO("frame " << n);
                CHECK((reader.read({n}).hash() == truth.frames[n].hash || inDoubt(n)));
            }
        }
    }
}
