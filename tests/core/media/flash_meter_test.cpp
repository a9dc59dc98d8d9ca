#include "core/media/encode/flash_meter.h"

#include <catch2/catch.hpp>

namespace {

constexpr media::Size size{96, 54}; // two pixels to a cell

struct Colour {
    std::uint8_t red = 0, green = 0, blue = 0;
};

constexpr Colour grey(std::uint8_t v) { return {v, v, v}; }

/// `a` and `b` in turn, `pictures` of each, on the first `width` x `height` pixels of a picture that is `b` besides;
/// two seconds of 30 pictures each.
media::Flashing flashing(Colour a, Colour b, int pictures, int width = size.width, int height = size.height)
{
    media::FlashMeter meter(size, 30);
    std::vector<std::uint8_t> pixels(static_cast<std::size_t>(size.width * size.height * 4));
    for (int n = 0; n < 60; ++n) {
        for (int y = 0; y < size.height; ++y)
            for (int x = 0; x < size.width; ++x) {
                const Colour& c = n / pictures % 2 == 0 && x < width && y < height ? a : b;
                std::uint8_t* p = &pixels[(y * size.width + x) * 4];
                p[0] = c.blue;
                p[1] = c.green;
                p[2] = c.red;
            }
        meter.add({pixels.data(), size.width * 4});
    }
    return meter.worst();
}

} // namespace

// WCAG 2.2, success criterion 2.3.1: at most three flashes in a second, a flash being a pair of opposing changes.
TEST_CASE("six changes in a second are three flashes, the seventh is too much", "[media][flash]")
{
    const media::Flashing slow = flashing(grey(0), grey(255), 5);
    CHECK(slow.general == 6);
    CHECK_FALSE(slow.tooMuch());
    const media::Flashing quick = flashing(grey(0), grey(255), 4);
    CHECK(quick.general >= 7);
    CHECK(quick.tooMuch());
    CHECK(flashing(grey(0), grey(255), 60).general == 0);
}

// Relative luminance of grey 90 is 0.1022, of 89 0.0999, of 232 0.807: sRGB by IEC 61966-2-1.
TEST_CASE("a flash is a change by a tenth of the luminance whose darker state is below 0.8", "[media][flash]")
{
    CHECK(flashing(grey(90), grey(0), 3).tooMuch());
    CHECK(flashing(grey(89), grey(0), 3).general == 0);
    CHECK(flashing(grey(231), grey(255), 3).tooMuch());
    CHECK(flashing(grey(232), grey(255), 3).general == 0);
}

// A part is 16 x 9 of 48 x 27 cells; a quarter of it is 36 of them, 12 x 12 of these pixels.
TEST_CASE("what fills less than a quarter of a third of the picture's width and height is no flash", "[media][flash]")
{
    CHECK(flashing(grey(0), grey(255), 3, 12, 12).tooMuch());
    CHECK(flashing(grey(0), grey(255), 3, 14, 10).general == 0);
}

TEST_CASE("saturated red flashes by itself", "[media][flash]")
{
    const Colour red{120, 0, 0}; // luminance 0.041: no general flash
    const media::Flashing found = flashing(red, grey(0), 3);
    CHECK(found.general == 0);
    CHECK(found.red >= 7);
    CHECK(found.tooMuch());
    CHECK(flashing({120, 60, 60}, grey(0), 3).red == 0); // R / (R + G + B) is 0.66
}
