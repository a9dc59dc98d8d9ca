#include "core/media/libav/frame_store.h"
#include "core/media/libav/av_setup.h"
#include "core/media/libav/undecoded_squares.h"
#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <sys/mman.h>

namespace media {
namespace {

constexpr std::size_t mostIdleBytes = std::size_t{48}
                                      << 20; // saves a decoder from clearing fresh pages for each picture
constexpr std::size_t alignment = 64;
constexpr std::size_t overread = 64; // vector code of decoders and scalers looks past the end of a plane
constexpr std::size_t page = 4096;
const std::string keeping = "A picture can't be kept";

std::size_t roundedUp(std::size_t value, std::size_t unit) { return (value + unit - 1) / unit * unit; }

} // namespace

FrameStore& FrameStore::shared()
{
    static FrameStore& store = *new FrameStore; // never destroyed: pictures may outlive every other object
    return store;
}

void FrameStore::serve(AVCodecContext& decoder, bool cleared)
{
    if (decoder.codec->capabilities & AV_CODEC_CAP_DR1)
        decoder.get_buffer2 = cleared ? giveClearedBuffer : giveBuffer;
    letThreadsTakeBuffers(decoder);
}

FramePtr FrameStore::blank(int format, int width, int height)
{
    FramePtr frame = newFrame();
    frame->format = format;
    frame->width = width;
    frame->height = height;
    constexpr std::array<int, AV_NUM_DATA_POINTERS> strideAlign{alignment, alignment, alignment, alignment, 1, 1, 1, 1};
    check(allocate(*frame, static_cast<int>(roundedUp(static_cast<std::size_t>(width), alignment)), height,
                   strideAlign.data()),
          keeping);
    return frame;
}

FramePtr FrameStore::copyOf(const AVFrame& frame)
{
    FramePtr copy = blank(frame.format, frame.width, frame.height);
    check(av_frame_copy(copy.get(), &frame), keeping);
    check(av_frame_copy_props(copy.get(), &frame), keeping);
    return copy;
}

int FrameStore::giveBuffer(AVCodecContext* decoder, AVFrame* frame, int)
{
    std::array<int, AV_NUM_DATA_POINTERS> strideAlign{};
    int width = frame->width, height = frame->height;
    avcodec_align_dimensions2(decoder, &width, &height, strideAlign.data());
    return shared().allocate(*frame, width, height, strideAlign.data());
}

int FrameStore::giveClearedBuffer(AVCodecContext* decoder, AVFrame* frame, int flags)
{
    const int rc = giveBuffer(decoder, frame, flags);
    if (rc >= 0) {
        std::memset(frame->buf[0]->data, 0, frame->buf[0]->size);
        prefillSquares(*frame);
    }
    return rc;
}

int FrameStore::allocate(AVFrame& frame, int paddedWidth, int paddedHeight, const int* strideAlign)
{
    const auto format = static_cast<AVPixelFormat>(frame.format);
    std::array<int, 4> strides{};
    int width = paddedWidth;
    for (bool aligned = false; !aligned;) { // chroma planes are aligned by widening the picture
        const int rc = av_image_fill_linesizes(strides.data(), format, width);
        if (rc < 0)
            return rc;
        width += width & ~(width - 1);
        aligned = true;
        for (std::size_t plane = 0; plane < strides.size(); ++plane)
            aligned = aligned && strides[plane] % std::max(strideAlign[plane], 1) == 0;
    }
    std::array<std::ptrdiff_t, 4> steps{};
    std::copy(strides.begin(), strides.end(), steps.begin());
    std::array<std::size_t, 4> sizes{};
    const int rc = av_image_fill_plane_sizes(sizes.data(), format, paddedHeight, steps.data());
    if (rc < 0)
        return rc;
    std::size_t total = 0;
    for (const std::size_t size : sizes)
        total += size > 0 ? roundedUp(size + overread, alignment) : 0;
    total = roundedUp(total, page);
    if (total > largestAllocation)
        return AVERROR(ENOMEM);

    std::uint8_t* block = take(total);
    if (!block)
        return AVERROR(ENOMEM);
    frame.buf[0] = av_buffer_create(block, total, takeBack, reinterpret_cast<void*>(total), 0);
    if (!frame.buf[0]) {
        put(block, total);
        return AVERROR(ENOMEM);
    }
    for (std::size_t plane = 0; plane < sizes.size(); ++plane) {
        frame.linesize[plane] = strides[plane];
        frame.data[plane] = sizes[plane] > 0 ? block : nullptr;
        block += sizes[plane] > 0 ? roundedUp(sizes[plane] + overread, alignment) : 0;
    }
    frame.extended_data = frame.data;
    return 0;
}

std::uint8_t* FrameStore::take(std::size_t size)
{
    {
        const std::lock_guard lock(m_mutex);
        auto& idle = m_idle[size];
        if (!idle.empty()) {
            std::uint8_t* block = idle.back();
            idle.pop_back();
            m_idleBytes -= size;
            return block;
        }
    }
    // Straight from the system: the heap would keep the holes that evicted pictures leave.
    void* block = mmap(nullptr, size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (block == MAP_FAILED)
        return nullptr;
#ifdef MADV_HUGEPAGE
    madvise(block, size,
            MADV_HUGEPAGE); // a fresh picture is hundreds of page faults; where the system can't, it stays so
#endif
    return static_cast<std::uint8_t*>(block);
}

void FrameStore::takeBack(void* size, std::uint8_t* block) { shared().put(block, reinterpret_cast<std::size_t>(size)); }

void FrameStore::put(std::uint8_t* block, std::size_t size)
{
    {
        const std::lock_guard lock(m_mutex);
        if (m_idleBytes + size <= mostIdleBytes) {
            m_idle[size].push_back(block);
            m_idleBytes += size;
            return;
        }
    }
    munmap(block, size);
}

} // namespace media
