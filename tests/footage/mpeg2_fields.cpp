// Syntax: ITU-T H.262 (02/2012), 6.2.2 (sequence), 6.2.3 (picture), 6.2.4 (slice), 6.2.5 (macroblock), tables B.2, B.3
// and B.12 to B.14; from memory.
#include "tests/footage/mpeg2_fields.h"
#include "tests/footage/bits.h"
#include <array>
#include <cstdlib>

namespace footage {
namespace {

constexpr int macroblock = 16, fieldBlock = 8;
constexpr int topField = 1, bottomField = 2;

struct Word {
    std::uint32_t bits;
    int length;
};
/// dct_dc_size_luminance and dct_dc_size_chrominance, sizes 0 to 8.
constexpr std::array<Word, 9> lumaSizes{{{4, 3}, {0, 2}, {1, 2}, {5, 3}, {6, 3}, {14, 4}, {30, 5}, {62, 6}, {126, 7}}};
constexpr std::array<Word, 9> chromaSizes{
    {{0, 2}, {1, 2}, {2, 2}, {6, 3}, {14, 4}, {30, 5}, {62, 6}, {126, 7}, {254, 8}}};

std::string unit(int code, Bits bits) { return std::string{0, 0, 1, static_cast<char>(code)} + bits.aligned(); }

std::string sequence(int width, int height)
{
    Bits head;
    head.put(static_cast<std::uint32_t>(width), 12);
    head.put(static_cast<std::uint32_t>(height), 12);
    head.put(1, 4);       // square samples
    head.put(5, 4);       // 30 a second
    head.put(50'000, 18); // bit rate, in 400 a second
    head.put(1, 1);
    head.put(112, 10); // vbv_buffer_size
    head.put(0, 3);    // nothing constrained, the usual matrices
    Bits extension;
    extension.put(1, 4);
    extension.put(0x48, 8); // Main profile at Main level
    extension.put(0, 1);    // progressive_sequence
    extension.put(1, 2);    // 4:2:0
    extension.put(0, 4);    // no higher bits of width and height
    extension.put(0, 12);
    extension.put(1, 1);
    extension.put(0, 8);
    extension.put(1, 1); // low_delay: no B pictures
    extension.put(0, 7);
    return unit(0xb3, head) + unit(0xb5, extension);
}

std::string pictureHead(int number, bool builds, bool bottom)
{
    Bits head;
    head.put(static_cast<std::uint32_t>(number % 1024), 10);
    head.put(builds ? 2 : 1, 3);
    head.put(0xffff, 16); // vbv_delay
    if (builds) {
        head.put(0, 1); // full_pel_forward_vector
        head.put(7, 3); // forward_f_code
    }
    head.put(0, 1);
    Bits extension;
    extension.put(8, 4);
    extension.put(builds ? 1 : 15, 4); // f_code, horizontal and vertical
    extension.put(builds ? 1 : 15, 4);
    extension.put(0xff, 8);
    extension.put(0, 2); // intra_dc_precision: 8 bit
    extension.put(bottom ? bottomField : topField, 2);
    extension.put(0, 10); // from top_field_first to composite_display_flag all off
    return unit(0, head) + unit(0xb5, extension);
}

/// Mean of one block of a field.
int meanOf(const std::string& picture, std::size_t plane, int stride, int x, int y, bool bottom)
{
    int sum = 0;
    for (int dy = 0; dy < fieldBlock; ++dy)
        for (int dx = 0; dx < fieldBlock; ++dx) {
            const int line = 2 * (y + dy) + (bottom ? 1 : 0);
            sum += static_cast<unsigned char>(picture[plane + static_cast<std::size_t>(line * stride + x + dx)]);
        }
    return (sum + fieldBlock * fieldBlock / 2) / (fieldBlock * fieldBlock);
}

void putBlock(Bits& bits, int value, int& predicted, const std::array<Word, 9>& sizes)
{
    const int difference = value - predicted;
    predicted = value;
    int size = 0;
    while (std::abs(difference) >> size)
        ++size;
    bits.put(sizes[size].bits, sizes[size].length);
    if (size > 0)
        bits.put(static_cast<std::uint32_t>(difference > 0 ? difference : difference + (1 << size) - 1), size);
    bits.put(2, 2); // end of fieldBlock
}

std::string slice(const std::string& picture, int width, int height, int row, bool builds, bool bottom)
{
    Bits bits;
    bits.put(1, 5); // quantiser_scale_code
    bits.put(0, 1);
    std::array<int, 3> predicted{128, 128, 128};
    const auto luma = static_cast<std::size_t>(width * height);
    for (int column = 0; column < width / macroblock; ++column) {
        bits.put(1, 1);                           // macroblock_address_increment
        bits.put(builds ? 3 : 1, builds ? 5 : 1); // intra
        for (int part = 0; part < 4; ++part)
            putBlock(bits,
                     meanOf(picture, 0, width, column * macroblock + part % 2 * fieldBlock,
                            row * macroblock + part / 2 * fieldBlock, bottom),
                     predicted[0], lumaSizes);
        for (const std::size_t plane : {std::size_t{1}, std::size_t{2}})
            putBlock(bits,
                     meanOf(picture, luma + (plane - 1) * luma / 4, width / 2, column * fieldBlock, row * fieldBlock,
                            bottom),
                     predicted[plane], chromaSizes);
    }
    return unit(row + 1, bits);
}

} // namespace

std::string mpeg2FieldPictures(const std::vector<std::string>& pictures, int width, int height, int group)
{
    std::string stream;
    for (std::size_t n = 0; n < pictures.size(); ++n) {
        const int number = static_cast<int>(n) % group;
        if (number == 0) {
            Bits head;
            head.put(0, 25);
            head.put(1, 1); // closed_gop
            head.put(0, 1);
            stream += sequence(width, height) + unit(0xb8, head);
        }
        for (const bool bottom : {false, true}) {
            stream += pictureHead(number, number > 0, bottom);
            for (int row = 0; row < height / (2 * macroblock); ++row)
                stream += slice(pictures[n], width, height, row, number > 0, bottom);
        }
    }
    return stream + std::string{0, 0, 1, '\xb7'};
}

} // namespace footage
