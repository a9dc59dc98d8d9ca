#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include "core/media/libav/av_setup.h"

namespace media {

enum class Threading {
    Throughput, ///< all cores, more delay before the first picture
    LongWay,    ///< the same for pictures that may be held for long
    Latency,    ///< no more delay than one thread has
    One,        ///< damaged footage: what comes out mustn't depend on threads
};

/// The chosen stream's decoder. Pictures come out in presentation order and know the packet they came from.
class Decoder {
public:
    /// `complaints` must outlive the decoder. Throws core::Error (Unreadable).
    Decoder(const AVCodec& codec, const AVStream& stream, Threading threading, Complaints& complaints);

    /// Takes the packet with this place in the file; null at the end. Receive everything before the next send.
    /// `spare`: its picture isn't needed, and doesn't come out if no other builds on it and `canLeaveOut()`.
    /// An error is libav's: the packet can't be decoded, decoding may go on.
    int send(AVPacket* packet, std::int64_t ordinal, bool spare = false);

    /// Whether the codec says of each packet if others build on its picture.
    bool canLeaveOut() const;

    /// 0 and a picture in `frame`; AVERROR(EAGAIN): send more; AVERROR_EOF; or a decoding error: receive again.
    int receive(AVFrame& frame);

    /// Whether the coded data gave all of a received picture, as far as that can be told: with threads for throughput,
    /// or one.
    bool isWhole(const AVFrame& frame) const;

    /// A received picture in memory that may be held for long without the decoder's pool growing.
    FramePtr kept(FramePtr frame) const;

    /// Forgets everything that was sent, so that decoding can begin elsewhere.
    void flush();

    const AVCodecContext& context() const { return *m_context; }

private:
    CodecPtr m_context;
    bool m_hasForeignPool;
    bool m_prefills = false; ///< memory is filled before pictures are decoded into it
};

} // namespace media
