#include "core/media/picture/rendition.h"
#include "core/media/picture/scaler.h"
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace media {
namespace {

/// Each target pixel shows the source pixel that its centre falls on.
RgbImage scaleToNearest(const RgbImage& image, Size target)
{
    std::vector<std::size_t> column(static_cast<std::size_t>(target.width));
    for (std::size_t x = 0; x < column.size(); ++x)
        column[x] = 3 * ((2 * x + 1) * static_cast<std::size_t>(image.width) / (2 * column.size()));
    RgbImage result{target.width, target.height, {}};
    result.pixels.resize(3 * column.size() * static_cast<std::size_t>(target.height));
    std::uint8_t* out = result.pixels.data();
    for (std::size_t y = 0; y < static_cast<std::size_t>(target.height); ++y) {
        const std::size_t from =
            (2 * y + 1) * static_cast<std::size_t>(image.height) / (2 * static_cast<std::size_t>(target.height));
        const std::uint8_t* row = image.pixels.data() + 3 * from * static_cast<std::size_t>(image.width);
        for (const std::size_t x : column)
            out = std::copy_n(row + x, 3, out);
    }
    return result;
}

void brighten(RgbImage& image, double gain, double gamma)
{
    if (gain == 1 && gamma == 1)
        return;
    std::array<std::uint8_t, 256> curve{};
    for (std::size_t i = 0; i < curve.size(); ++i) {
        const double level = std::clamp(static_cast<double>(i) / 255 * gain, 0.0, 1.0);
        curve[i] = static_cast<std::uint8_t>(std::lround(255 * std::pow(level, 1 / gamma)));
    }
    for (std::uint8_t& sample : image.pixels)
        sample = curve[sample];
}

/// Each tile's mean goes to the middle of the scale and its spread over it, within bounds, so that noise stays noise;
/// between the tiles' middles both go over into each other.
void spreadLocally(RgbImage& image)
{
    constexpr int tile = 32;           // pixels a side
    constexpr float wantedSpread = 48; // standard deviation, of 255
    constexpr float leastSpread = 6;   // what is flatter is noise
    const auto width = static_cast<std::size_t>(image.width);
    const int columns = (image.width + tile - 1) / tile, rows = (image.height + tile - 1) / tile;
    struct Sums {
        std::int64_t count = 0, level = 0, square = 0;
    };
    std::vector<Sums> sums(static_cast<std::size_t>(columns * rows));
    for (int y = 0; y < image.height; y += 2) { // every other pixel is enough
        const std::uint8_t* pixel = &image.pixels[3 * static_cast<std::size_t>(y) * width];
        for (int x = 0; x < image.width; x += 2, pixel += 6) {
            Sums& own = sums[y / tile * columns + x / tile];
            const int level = (2 * pixel[0] + 5 * pixel[1] + pixel[2]) / 8;
            ++own.count;
            own.level += level;
            own.square += level * level;
        }
    }
    struct Spread {
        float factor = 1, mean = 0;
        Spread towards(const Spread& other, float share) const
        {
            return {factor + share * (other.factor - factor), mean + share * (other.mean - mean)};
        }
    };
    std::vector<Spread> tiles;
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            Sums all;
            for (int v = std::max(0, row - 1); v <= std::min(rows - 1, row + 1); ++v)
                for (int u = std::max(0, column - 1); u <= std::min(columns - 1, column + 1); ++u) {
                    const Sums& own = sums[v * columns + u];
                    all.count += own.count;
                    all.level += own.level;
                    all.square += own.square;
                }
            const float mean = static_cast<float>(all.level) / static_cast<float>(all.count);
            const float variance = static_cast<float>(all.square) / static_cast<float>(all.count) - mean * mean;
            tiles.push_back({wantedSpread / std::max(leastSpread, std::sqrt(std::max(0.f, variance))), mean});
        }
    struct Place {
        std::size_t first = 0, second = 0; // tiles
        float share = 0;                   // of the way to the second
    };
    const auto placeOf = [](int at, int count) {
        const float middle =
            std::clamp((static_cast<float>(at) + 0.5f) / tile - 0.5f, 0.f, static_cast<float>(count - 1));
        const auto first = static_cast<std::size_t>(middle);
        return Place{first, std::min(first + 1, static_cast<std::size_t>(count - 1)),
                     middle - static_cast<float>(first)};
    };
    std::vector<Place> places;
    for (int x = 0; x < image.width; ++x)
        places.push_back(placeOf(x, columns));
    std::vector<Spread> across(static_cast<std::size_t>(columns));
    std::uint8_t* pixel = image.pixels.data();
    for (int y = 0; y < image.height; ++y) {
        const Place down = placeOf(y, rows);
        for (std::size_t column = 0; column < across.size(); ++column)
            across[column] = tiles[down.first * across.size() + column].towards(
                tiles[down.second * across.size() + column], down.share);
        for (const Place& place : places) {
            const Spread spread = across[place.first].towards(across[place.second], place.share);
            for (int k = 0; k < 3; ++k, ++pixel)
                *pixel = static_cast<std::uint8_t>(
                    std::clamp(128.5f + spread.factor * (static_cast<float>(*pixel) - spread.mean), 0.f, 255.f));
        }
    }
}

RgbImage turned(const RgbImage& image, int rotation)
{
    const std::size_t width = static_cast<std::size_t>(image.width), height = static_cast<std::size_t>(image.height);
    const bool sideways = rotation == 90 || rotation == 270;
    RgbImage result{sideways ? image.height : image.width, sideways ? image.width : image.height, {}};
    result.pixels.resize(image.pixels.size());
    for (std::size_t y = 0; y < height; ++y) {
        for (std::size_t x = 0; x < width; ++x) {
            std::size_t at = 0;
            switch (rotation) {
            case 90: at = x * height + (height - 1 - y); break;
            case 180: at = (height - 1 - y) * width + (width - 1 - x); break;
            default: at = (width - 1 - x) * height + y;
            }
            std::copy_n(image.pixels.data() + 3 * (y * width + x), 3, result.pixels.data() + 3 * at);
        }
    }
    return result;
}

} // namespace

RgbImage render(const Picture& picture, const View& view)
{
    assert(view.rotation == 0 || view.rotation == 90 || view.rotation == 180 || view.rotation == 270);
    assert(view.gain >= 0 && view.gamma > 0);
    if (!picture)
        return {};
    const Size whole = picture.size();
    const bool all = view.source.width <= 0 || view.source.height <= 0;
    const Rect source = all ? Rect{0, 0, whole.width, whole.height} : clipped(view.source, whole);
    if (source.width == 0)
        return {};
    const Size own{source.width, source.height};
    const Size target = view.target.width <= 0 || view.target.height <= 0 ? own : view.target;
    const Quality quality = view.exact ? Quality::Exact : Quality::Fast;

    RgbImage image = toRgb(picture.native(), source, view.smooth ? target : own, quality);
    if (!view.smooth && !(target == own))
        image = scaleToNearest(image, target);
    brighten(image, view.gain, view.gamma);
    if (view.localContrast)
        spreadLocally(image);
    return view.rotation == 0 ? image : turned(image, view.rotation);
}

RgbImage fitted(const RgbImage& image, Size target, int rotation, bool smooth)
{
    RgbImage result = Size{image.width, image.height} == target ? image
                      : smooth                                  ? scaleSmoothly(image, target, Quality::Fast)
                                                                : scaleToNearest(image, target);
    return rotation == 0 ? result : turned(result, rotation);
}

RgbImage evidenceCrop(const Picture& picture, const Rect& region, int maxPixels)
{
    assert(maxPixels > 0);
    Rect part = clipped(region, picture.size());
    if (part.width == 0)
        return {};
    const double excess = static_cast<double>(part.width) * part.height / maxPixels;
    if (excess > 1) {
        const double shrink = 1 / std::sqrt(excess);
        const int width = std::clamp(static_cast<int>(part.width * shrink), 1, maxPixels);
        const int height = std::clamp(static_cast<int>(part.height * shrink), 1, maxPixels / width);
        part = {part.x + (part.width - width) / 2, part.y + (part.height - height) / 2, width, height};
    }
    View view;
    view.source = part;
    return render(picture, view);
}

} // namespace media
