#include "core/media/frame_reader.h"
#include "tests/core/media/films.h"
#include "tests/core/media/plain_decode.h"
#include "tests/footage/catalogue.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <random>

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
std::int64_t firstWrong(media::FrameReader& reader, const std::vector<PlainPicture>& truth, const std::vector<std::int64_t>& order)
{
    for (const std::int64_t n : order)
        if (reader.read({n}).md5() != truth[static_cast<std::size_t>(n)].md5)
            return n;
    return -1;
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
        const std::shared_ptr<const Footage> opened = media::openFootage(film.path);
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
