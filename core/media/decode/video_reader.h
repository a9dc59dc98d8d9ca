#pragma once // not public: only core/media may include it
#include "core/media/index/demuxer.h"
#include "core/media/libav/decoder.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/packet_finder.h"
#include <deque>
#include <map>
#include <set>

namespace media {

/// What a FrameReader reads from, by its contract: a file, a folder, or the parts of one recording.
class FrameSource {
public:
    virtual ~FrameSource() = default;
    virtual Picture read(timing::FrameNumber n, const std::stop_token& stop, const FrameReader::Passing& passing,
                         std::optional<timing::FrameNumber> neededFrom) = 0;
    // A folder's pictures stand alone.
    virtual std::optional<timing::FrameNumber> nextTowards(timing::FrameNumber) const { return std::nullopt; }
    virtual std::vector<Doubt> doubts() const { return {}; }
};

/// FrameReader for a file. Decodes from a clean entry point on and checks each picture by ordinal and hash; of
/// unconfirmed footage by ordinal alone, where the decoder had nothing to complain about since the entry.
class VideoReader : public FrameSource {
public:
    VideoReader(std::shared_ptr<const Footage> footage, const std::stop_token& stop);

    Picture read(timing::FrameNumber n, const std::stop_token& stop, const FrameReader::Passing& passing,
                 std::optional<timing::FrameNumber> neededFrom) override;
    std::optional<timing::FrameNumber> nextTowards(timing::FrameNumber n) const override;
    std::vector<Doubt> doubts() const override;

private:
    struct Start {
        std::int64_t ordinal = 0; ///< first packet to decode
        std::int64_t frame = 0;   ///< first frame that comes out right
        bool atEntry = true;      ///< pictures before `frame` may come out first and are to be ignored
    };

    bool leadsTo(std::int64_t n) const;
    std::vector<Start> startsFor(std::int64_t n) const;
    void reopen(const std::stop_token& stop);
    void decodeWith(Threading threading);
    bool begin(const Start& start, Threading threading, const std::stop_token& stop);
    void beginAfresh(const std::stop_token& stop);
    bool isLongWay(const Start& start, std::int64_t n) const;
    /// What one thread makes of frame `n`, twice alike. Empty when there is no such thing, or the file has changed.
    Picture settle(std::int64_t n, const std::stop_token& stop);
    bool goTo(std::int64_t ordinal, const std::stop_token& stop);
    bool seekNear(const PacketMark& mark);
    bool recognise();
    bool skipTo(std::int64_t ordinal);
    int nextPacket(AVPacket& packet);

    /// Empty when what comes out isn't what was indexed; m_why says what was seen.
    Picture decodeTo(std::int64_t n, const std::stop_token& stop, const FrameReader::Passing& passing);
    enum class Next { Picture, MorePackets, Wrong };
    Next nextPicture(Picture& picture);
    bool feed();
    /// Whether the picture is the next one of the index. Empty: not one that is shown.
    std::optional<bool> isExpected(const AVFrame& frame, std::int64_t ordinal);
    std::optional<bool> isLikely(const AVFrame& frame, std::int64_t ordinal);
    void startFrom(const Start& start);
    Threading usualThreading() const;
    std::uint64_t hashOfFrame(std::int64_t n) const;

    std::shared_ptr<const Footage> m_footage;
    const PacketTable& m_packets;
    Threading m_threading = Threading::Latency;
    Complaints m_complaints;
    std::unique_ptr<Demuxer> m_demuxer;
    std::map<Threading, std::unique_ptr<Decoder>> m_decoders;
    Decoder* m_decoder = nullptr; ///< the one of them at work; others hold no pictures
    std::optional<PacketFinder> m_finder;
    std::deque<PacketPtr> m_queue; ///< read ahead to recognise the place
    PacketPtr m_packet = newPacket();
    std::int64_t m_next = 0;             ///< ordinal of the next packet
    std::int64_t m_expected = 0;         ///< number of the next frame
    Start m_start;                       ///< where this run of decoding began
    std::vector<std::int64_t> m_numbers; ///< frame of each ordinal, -1 for none
    std::int64_t m_neededFrom = 0;       ///< frames before it may be left out
    std::int64_t m_latestSpare = -1;     ///< latest frame since the entry that may have been left out
    std::int64_t m_complaintsAtStart = 0;
    bool m_sawTrouble = false; ///< unconfirmed: the decoder complained since the entry
    int m_vainSeeks = 0;
    int m_waited = 0; ///< pictures ignored on the way to the entry's own
    bool m_waiting = false;
    bool m_draining = false;
    bool m_running = false;                               ///< the decoder is somewhere known
    std::set<std::int64_t> m_distrusted;                  ///< entries that didn't give the indexed pictures
    using Hashes = std::map<std::int64_t, std::uint64_t>; ///< by frame
    Hashes m_settled;                                     ///< what holds instead of the index
    Hashes* m_noted = nullptr; ///< while settling: what comes out isn't compared, but noted here
    std::string m_why;
};

} // namespace media
