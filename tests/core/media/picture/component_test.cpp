#include "core/media/picture/component.h"
#include "core/media/picture/picture.h"
#include "tests/core/media/frames.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>
#include <random>
#include <vector>

namespace {

/// Every byte of it random, those between samples too.
media::FramePtr noise(AVPixelFormat format, int width, int height, unsigned seed)
{
    media::FramePtr frame = media::newFrame();
    frame->format = format;
    frame->width = width;
    frame->height = height;
    if (av_frame_get_buffer(frame.get(), 0) < 0)
        return nullptr;
    std::mt19937 random(seed);
    for (const AVBufferRef* buffer : frame->buf)
        for (std::size_t i = 0; buffer && i < buffer->size; ++i)
            buffer->data[i] = static_cast<std::uint8_t>(random());
    return frame;
}

} // namespace

TEST_CASE("samples of every format are read as libav reads them one by one", "[media][samples]")
{
    int formats = 0;
    for (const AVPixFmtDescriptor* kind = av_pix_fmt_desc_next(nullptr); kind; kind = av_pix_fmt_desc_next(kind)) {
        const std::uint64_t flags = kind->flags;
        const bool deep =
            std::any_of(kind->comp, kind->comp + kind->nb_components, [](const auto& c) { return c.depth > 16; });
        // Of packed bits in words (xv30be, FFmpeg 7) libav reads a row otherwise than its samples; nobody asks for
        // them.
        const std::uint64_t unasked = AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_BITSTREAM;
        if ((flags & unasked) || deep || kind->nb_components == 0)
            continue;
        const media::FramePtr frame = noise(av_pix_fmt_desc_get_id(kind), 50, 6, 3);
        if (!frame)
            continue;
        ++formats;
        CAPTURE(kind->name);
        const std::uint8_t* planes[4] = {frame->data[0], frame->data[1], frame->data[2], frame->data[3]};
        const int components = flags & AV_PIX_FMT_FLAG_PAL ? 1 : kind->nb_components;
        for (int c = 0; c < components; ++c) {
            const bool chroma = (c == 1 || c == 2) && !(flags & AV_PIX_FMT_FLAG_RGB);
            const int width = chroma ? 50 >> kind->log2_chroma_w : 50, height = chroma ? 6 >> kind->log2_chroma_h : 6;
            for (int y = 0; y < height; ++y)
                for (const int x : {0, 1, 3}) {
                    const int count = width - x;
                    std::vector<std::uint16_t> row(static_cast<std::size_t>(count)), plain(row.size());
                    media::readSamples(row.data(), *frame, *kind, c, x, y, count);
                    for (int i = 0; i < count; ++i)
                        av_read_image_line(&plain[i], planes, frame->linesize, kind, x + i, y, c, 1, 0);
                    CHECK(row == plain);
                }
        }
    }
    CHECK(formats > 150); // libav 5.1 describes some 200
}

TEST_CASE("rows longer than a sum of 32 bits holds are measured right", "[media][samples]")
{
    // Sums of the brightest samples: a carry that is lost halves them at least.
    const auto format = GENERATE(AV_PIX_FMT_GRAY8, AV_PIX_FMT_GRAY16LE, AV_PIX_FMT_GRAY16BE, AV_PIX_FMT_RGB24,
                                 AV_PIX_FMT_GBRP10LE, AV_PIX_FMT_GBRP12LE, AV_PIX_FMT_GBRP14LE, AV_PIX_FMT_RGB48LE);
    const AVPixFmtDescriptor* kind = av_pix_fmt_desc_get(format);
    CAPTURE(kind->name);
    const int most = (1 << kind->comp[0].depth) - 1;
    constexpr media::Size size{140000, 2};
    const auto white = drawnPicture(format, size, [=](int, int, int) { return most; });
    const auto black = drawnPicture(format, size, [=](int, int, int) { return 0; });
    const media::Rect all{0, 0, size.width, size.height};
    CHECK_THAT(media::measure(white, all).mean, Catch::WithinAbs(255, 1e-9)); // one rounding of a double
    CHECK_THAT(media::changeBetween(white, black, all)->luma, Catch::WithinAbs(255, 1e-9));
    CHECK_THAT(media::changeBetween(white, black, all)->chroma, Catch::WithinAbs(0, 1e-9));
    if (kind->nb_components < 3)
        return;
    const auto blue = drawnPicture(format, size, [=](int c, int, int) { return c == 2 ? most : 0; });
    const auto change = media::changeBetween(black, blue, all);
    // ITU-R BT.709-6, items 3.2 and 3.3: Y' = 0.0722 B', (B' - Y') / 1.8556 = B' / 2, (0 - Y') / 1.5748
    CHECK_THAT(change->luma, Catch::WithinAbs(0.0722 * 255, 1e-9));
    CHECK_THAT(change->chroma, Catch::WithinAbs((0.5 + 0.0722 / 1.5748) / 2 * 255, 1e-9));
}
