#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include <mutex>
#include <unordered_map>
#include <vector>

namespace media {

/// Where decoders get the memory for their pictures. libav's own pools belong to one decoder each and never shrink, so
/// pictures that go in and out of a cache would be held twice. Any thread; lives as long as the program.
class FrameStore {
public:
    static FrameStore& shared();

    /// Lets the decoder and its threads take their pictures from here. `cleared`: each begins all zero but for the
    /// fillings of undecoded_squares.h, so that what a damaged stream leaves out looks the same every time. Call before
    /// the decoder is opened.
    static void serve(AVCodecContext& decoder, bool cleared);

    /// A picture without content. Throws core::Error (Unreadable) when there is no memory for it.
    FramePtr blank(int format, int width, int height);
    /// A copy with memory from here, for pictures that come out of a foreign pool.
    FramePtr copyOf(const AVFrame& frame);

private:
    static int giveBuffer(AVCodecContext* decoder, AVFrame* frame, int flags);
    static int giveClearedBuffer(AVCodecContext* decoder, AVFrame* frame, int flags);
    static void takeBack(void* size, std::uint8_t* block);

    int allocate(AVFrame& frame, int paddedWidth, int paddedHeight, const int* strideAlign);
    std::uint8_t* take(std::size_t size);
    void put(std::uint8_t* block, std::size_t size);

    std::mutex m_mutex;
    std::unordered_map<std::size_t, std::vector<std::uint8_t*>> m_idle; ///< by size
    std::size_t m_idleBytes = 0;
};

} // namespace media
