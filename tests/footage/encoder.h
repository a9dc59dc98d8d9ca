#pragma once
#include "tests/footage/av.h"
#include "tests/footage/frame.h"
#include "tests/footage/spec.h"
#include <cstdint>
#include <functional>

namespace footage {

/// One libav video encoder, repeatable to the byte. Packets leave with stamps in frame numbers: pts = place in the
/// order of `encode` calls, dts = pts order shifted by the encoder's delay (below 0 at the start).
class Encoder {
public:
    using Sink = std::function<void(AVPacket&)>;

    /// `globalHeader`: parameter sets go into the container's header instead of the stream.
    Encoder(const StorageSpec& storage, int width, int height, bool globalHeader, Sink sink);

    void encode(const Frame& frame);
    void finish();
    const AVCodecContext& context() const { return *m_context; }

private:
    void receive();

    StorageSpec m_storage;
    Sink m_sink;
    CodecPtr m_context;
    PacketPtr m_packet;
    std::int64_t m_next = 0;
};

} // namespace footage
