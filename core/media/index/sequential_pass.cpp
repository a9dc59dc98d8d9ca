#include "core/media/index/sequential_pass.h"

namespace media {
namespace {

/// The H.264 decoder found pictures missing by their numbering.
bool isAboutGap(const std::string& complaint) { return complaint.starts_with("Frame num gap"); }

class Pass {
public:
    Pass(Demuxer& demuxer, Decoder& decoder, const Complaints& complaints, const PassEvents& events,
         std::int64_t firstDecoded)
        : m_demuxer(demuxer), m_decoder(decoder), m_complaints(complaints), m_events(events),
          m_firstDecoded(firstDecoded), m_heard(complaints.count())
    {}

    int run()
    {
        const PacketPtr packet = newPacket();
        for (;;) {
            const int rc = m_demuxer.next(*packet);
            if (rc < 0) {
                finish();
                return rc;
            }
            const std::int64_t ordinal = std::ssize(m_flags);
            const PacketMark mark = markOf(*packet);
            m_flags.push_back(mark.flags);
            m_events.packet(mark);
            if (mark.flags & AV_PKT_FLAG_CORRUPT)
                m_events.trouble({ordinal, Harm::MarkedBytes, "damaged bytes"});
            if (mark.size > 0
                && ordinal >= m_firstDecoded) // an empty chunk is no picture, and would tell the decoder to end
                decode(packet.get(), ordinal);
        }
    }

private:
    void decode(AVPacket* packet, std::int64_t ordinal)
    {
        const int rc = m_decoder.send(packet, ordinal);
        if (rc < 0)
            m_events.trouble({ordinal, Harm::Undecodable, reasonOf(rc)});
        takePictures(ordinal);
        // Frame threads complain at any time, between two packets too.
        if (const std::int64_t heard = m_heard; (m_heard = m_complaints.count()) == heard)
            return;
        const std::string complaint = m_complaints.latest();
        m_events.trouble({ordinal, isAboutGap(complaint) ? Harm::LostBefore : Harm::Undecodable, complaint});
    }

    void finish()
    {
        if (m_flags.empty())
            return;
        const std::int64_t last = std::ssize(m_flags) - 1;
        decode(nullptr, last);
    }

    void takePictures(std::int64_t current)
    {
        for (int errors = 0; errors < mostErrorsInARow;) {
            FramePtr frame = newFrame();
            const int rc = m_decoder.receive(*frame);
            if (rc == AVERROR(EAGAIN) || rc == AVERROR_EOF)
                return;
            if (rc < 0) {
                ++errors;
                m_events.trouble({current, Harm::Undecodable, reasonOf(rc)});
                continue;
            }
            const std::int64_t ordinal = ordinalOf(*frame);
            if (ordinal < 0 || ordinal >= std::ssize(m_flags)) {
                m_events.trouble({current, Harm::Undecodable, "a picture that no packet accounts for"});
                continue;
            }
            if (m_flags[ordinal] & AV_PKT_FLAG_DISCARD)
                continue; // some decoders show what an edit list hides
            if (frame->decode_error_flags || (frame->flags & AV_FRAME_FLAG_CORRUPT))
                m_events.trouble({ordinal, Harm::Undecodable, "concealed errors"});
            else if (!m_decoder.isWhole(*frame))
                m_events.trouble({ordinal, Harm::Undecodable, "coded data that ends before the picture does"});
            m_events.picture(std::move(frame), ordinal);
        }
    }

    Demuxer& m_demuxer;
    Decoder& m_decoder;
    const Complaints& m_complaints;
    const PassEvents& m_events;
    const std::int64_t m_firstDecoded;
    std::int64_t m_heard; ///< complaints so far
    std::vector<std::int32_t> m_flags;
};

} // namespace

PacketMark markOf(const AVPacket& packet) { return {packet.pos, packet.pts, packet.dts, packet.size, packet.flags}; }

int decodeAll(Demuxer& demuxer, Decoder& decoder, const Complaints& complaints, const PassEvents& events,
              std::int64_t firstDecoded)
{
    return Pass(demuxer, decoder, complaints, events, firstDecoded).run();
}

} // namespace media
