// Syntax: ITU-T H.264 (08/2021), 7.3.2.1 (sequence), 7.3.2.2 (picture), 7.3.3 (slice header), 7.3.4 (slice data), 9.1
// (Exp-Golomb).
#include "tests/footage/field_pictures.h"
#include "tests/footage/bits.h"

namespace footage {
namespace {

constexpr int macroblock = 16;
constexpr int frameNumBits = 4, orderBits = 8;

/// With start code, head and emulation prevention (7.4.1).
std::string unit(int reference, int type, const std::string& payload)
{
    std::string bytes{0, 0, 0, 1, static_cast<char>(reference << 5 | type)};
    int zeros = 0;
    for (const char c : payload) {
        if (zeros == 2 && static_cast<unsigned char>(c) <= 3) {
            bytes += '\3';
            zeros = 0;
        }
        bytes += c;
        zeros = c == 0 ? zeros + 1 : 0;
    }
    return bytes;
}

std::string sequenceSet(int width, int height)
{
    Bits bits;
    bits.put(77, 8); // Main profile
    bits.put(0, 8);
    bits.put(40, 8); // level 4
    bits.code(0);    // seq_parameter_set_id
    bits.code(frameNumBits - 4);
    bits.code(0); // pic_order_cnt_type
    bits.code(orderBits - 4);
    bits.code(1);   // max_num_ref_frames
    bits.put(0, 1); // no gaps in frame_num
    bits.code(static_cast<std::uint32_t>(width / macroblock - 1));
    bits.code(static_cast<std::uint32_t>(height / (2 * macroblock) - 1));
    bits.put(0, 1); // frame_mbs_only_flag: fields may be coded
    bits.put(0, 1); // mb_adaptive_frame_field_flag
    bits.put(1, 1); // direct_8x8_inference_flag
    bits.put(0, 1); // no cropping
    bits.put(0, 1); // no vui
    return unit(3, 7, bits.finished());
}

std::string pictureSet()
{
    Bits bits;
    bits.code(0);   // pic_parameter_set_id
    bits.code(0);   // seq_parameter_set_id
    bits.put(0, 1); // CAVLC
    bits.put(0, 1); // bottom_field_pic_order_in_frame_present_flag
    bits.code(0);   // one slice group
    bits.code(0);   // one reference in list 0
    bits.code(0);   // one in list 1
    bits.put(0, 1); // no weighted prediction
    bits.put(0, 2);
    bits.code(0);   // pic_init_qp_minus26
    bits.code(0);   // pic_init_qs_minus26
    bits.code(0);   // chroma_qp_index_offset
    bits.put(1, 1); // deblocking_filter_control_present_flag
    bits.put(0, 1); // constrained_intra_pred_flag
    bits.put(0, 1); // redundant_pic_cnt_present_flag
    return unit(3, 8, bits.finished());
}

/// First row of macroblocks in a field whose samples are stored in pictures that build on others.
int firstStoredRow(int height) { return height / (2 * macroblock) * 2 / 3; }

struct Field {
    int number = 0; ///< of the picture within its group
    int groupNumber = 0;
    bool bottom = false;
};

void putMacroblock(Bits& bits, const std::string& picture, int width, int height, int column, int row, bool bottom)
{
    bits.align();
    const auto block = [&](std::size_t plane, int stride, int size) {
        for (int y = 0; y < size; ++y)
            for (int x = 0; x < size; ++x) {
                const int line = 2 * (row * size + y) + (bottom ? 1 : 0);
                bits.byte(picture[plane + static_cast<std::size_t>(line * stride + column * size + x)]);
            }
    };
    const auto luma = static_cast<std::size_t>(width * height);
    block(0, width, macroblock);
    block(luma, width / 2, macroblock / 2);
    block(luma + luma / 4, width / 2, macroblock / 2);
}

std::string slice(const std::string& picture, int width, int height, const Field& field)
{
    const bool builds = field.number > 0;
    const bool refreshes = !builds && !field.bottom; // only the first field of a picture can be an IDR one
    Bits bits;
    bits.code(0);              // first_mb_in_slice
    bits.code(builds ? 5 : 7); // P or I, all slices of the picture alike
    bits.code(0);
    bits.put(static_cast<std::uint32_t>(field.number % (1 << frameNumBits)), frameNumBits);
    bits.put(1, 1); // field_pic_flag
    bits.put(field.bottom ? 1 : 0, 1);
    if (refreshes)
        bits.code(static_cast<std::uint32_t>(field.groupNumber % 2)); // idr_pic_id
    bits.put(static_cast<std::uint32_t>((2 * field.number + (field.bottom ? 1 : 0)) % (1 << orderBits)), orderBits);
    if (builds)
        bits.put(0, 2);             // no override of the number of references, no changed list
    bits.put(0, refreshes ? 2 : 1); // dec_ref_pic_marking()
    bits.code(0);                   // slice_qp_delta
    bits.code(1);                   // no deblocking

    const int columns = width / macroblock, rows = height / (2 * macroblock);
    const int first = builds ? firstStoredRow(height) : 0;
    for (int row = first; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            if (builds)
                bits.code(row == first && column == 0 ? static_cast<std::uint32_t>(first * columns) : 0); // mb_skip_run
            bits.code(builds ? 30 : 25);                                                                  // I_PCM
            putMacroblock(bits, picture, width, height, column, row, field.bottom);
        }
    return unit(1, refreshes ? 5 : 1, bits.finished());
}

} // namespace

std::string fieldPictures(const std::vector<std::string>& pictures, int width, int height, int group)
{
    std::string stream;
    for (std::size_t n = 0; n < pictures.size(); ++n) {
        const int number = static_cast<int>(n) % group, groupNumber = static_cast<int>(n) / group;
        if (number == 0)
            stream += sequenceSet(width, height) + pictureSet();
        for (const bool bottom : {false, true})
            stream += slice(pictures[n], width, height, {number, groupNumber, bottom});
    }
    return stream;
}

} // namespace footage
