#include "tests/footage/barcode.h"
#include <algorithm>
#include <array>
#include <cassert>

namespace footage {
namespace {

constexpr int cells = 24;
constexpr int numberBits = 16;
constexpr int checkBits = 6;
constexpr std::uint16_t blackCode = 4096, whiteCode = 61440;

unsigned checkOf(unsigned number)
{
    // Remainder by x^6 + x + 1, started from ones so that a blank strip doesn't check.
    unsigned rest = (number << checkBits) ^ (0x3fu << numberBits);
    for (int bit = numberBits + checkBits - 1; bit >= checkBits; --bit)
        if (rest & (1u << bit))
            rest ^= 0x43u << (bit - checkBits);
    return rest & 0x3fu;
}

int cellStart(int cell, int width) { return cell * width / cells; }

} // namespace

int barcodeHeight(int pictureHeight) { return std::min(pictureHeight, std::max(8, pictureHeight / 20)); }

void drawBarcode(Frame& frame, int number)
{
    assert(number >= 0 && number < barcodeLimit);
    const unsigned bits = (2u << (numberBits + checkBits)) | (static_cast<unsigned>(number) << checkBits)
                          | checkOf(static_cast<unsigned>(number));
    for (int y = frame.height - barcodeHeight(frame.height); y < frame.height; ++y) {
        for (int cell = 0; cell < cells; ++cell) {
            const bool white = bits >> (cells - 1 - cell) & 1u;
            std::fill(frame.row(0, y) + cellStart(cell, frame.width),
                      frame.row(0, y) + cellStart(cell + 1, frame.width), white ? whiteCode : blackCode);
        }
        for (int plane = 1; plane < 3; ++plane)
            std::fill(frame.row(plane, y), frame.row(plane, y) + frame.width, std::uint16_t{32768});
    }
}

std::optional<int> readBarcode(const std::uint8_t* luma, std::ptrdiff_t stride, int width, int height, int bitDepth,
                               int pixelStep, bool bigEndian)
{
    const int sampleBytes = bitDepth > 8 ? 2 : 1;
    const int step = pixelStep > 0 ? pixelStep : sampleBytes;
    const int strip = barcodeHeight(height);
    if (width < cells || height < 8)
        return std::nullopt;

    std::array<double, cells> mean{};
    for (int cell = 0; cell < cells; ++cell) {
        // The middle of the cell only: codecs smear the edges.
        const int from = cellStart(cell, width), to = cellStart(cell + 1, width);
        const int margin = (to - from) / 4;
        double sum = 0;
        int count = 0;
        for (int y = height - strip + strip / 4; y < height - strip / 4; ++y) {
            const std::uint8_t* row = luma + stride * y;
            for (int x = from + margin; x < to - margin; ++x, ++count) {
                const std::uint8_t* sample = row + static_cast<std::ptrdiff_t>(x) * step;
                sum += sampleBytes == 1 ? sample[0]
                       : bigEndian      ? sample[0] * 256 + sample[1]
                                        : sample[1] * 256 + sample[0];
            }
        }
        mean[cell] = sum / count;
    }

    const double contrast = mean[0] - mean[1];
    if (contrast < 0.3 * static_cast<double>(1 << bitDepth))
        return std::nullopt;
    const double threshold = (mean[0] + mean[1]) / 2;
    unsigned bits = 0;
    for (int cell = 2; cell < cells; ++cell)
        bits = bits << 1 | (mean[cell] > threshold ? 1u : 0u);
    const unsigned number = bits >> checkBits;
    if (checkOf(number) != (bits & 0x3fu))
        return std::nullopt;
    return static_cast<int>(number);
}

} // namespace footage
