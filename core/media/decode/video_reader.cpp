#include "core/media/decode/video_reader.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/index/refusal.h"
#include "core/media/index/sequential_pass.h"
#include <algorithm>
#include <array>

namespace media {
namespace {

constexpr std::int64_t longWay =
    8; // pictures; from there on frame threads make up for their delay (measured at 1080p, two cores)
constexpr std::int64_t cheaperThanASeek = 4; // pictures; about what refilling the reorder delay costs
constexpr std::size_t mostEntriesTried = 3;
constexpr int mostPicturesBeforeEntry = 100; // leading pictures of an open group; the reorder limit is 16
constexpr int mostUnknownPackets = 16;       // pieces that a seek into the middle of a packet leaves
constexpr std::size_t mostQueued = 64;
constexpr int mostVainSeeks = 3;       // in a row; then this file is one that can't be sought in
constexpr int mostPicturesBeyond = 32; // past the wanted one when the order is only likely; twice the reorder limit

} // namespace

VideoReader::VideoReader(std::shared_ptr<const Footage> footage, const std::stop_token& stop)
    : m_footage(std::move(footage)), m_packets(*m_footage->packets)
{
    m_threading = usualThreading();
    reopen(stop);
    m_finder.emplace(m_packets, !m_demuxer->isBareStream());
    m_numbers.assign(m_packets.marks.size(), -1);
    for (std::size_t n = 0; n < m_footage->frames.size(); ++n)
        m_numbers[m_footage->frames[n].ordinal] = static_cast<std::int64_t>(n);
}

Picture VideoReader::read(timing::FrameNumber n, const std::stop_token& stop, const FrameReader::Passing& passing,
                          std::optional<timing::FrameNumber> neededFrom)
{
    m_why.clear();
    m_noted = nullptr;
    // Only its hash tells whether a picture came out right without the others.
    m_neededFrom = neededFrom && m_footage->confirmed ? std::min(neededFrom->value, n.value) : 0;
    try {
        if (m_demuxer)
            m_demuxer->setStop(stop);
        if (leadsTo(n.value))
            if (Picture picture = decodeTo(n.value, stop, passing))
                return picture;
        for (const Start& start : startsFor(n.value)) {
            if (isLongWay(start, n.value) && begin(start, Threading::LongWay, stop))
                if (Picture picture = decodeTo(n.value, stop, passing))
                    return picture;
            m_neededFrom = 0;
            if (begin(start, m_threading, stop))
                if (Picture picture = decodeTo(n.value, stop, passing))
                    return picture;
            m_distrusted.insert(start.frame);
        }
        // Damage that no decoder complains about comes out differently with other threads: the ones it was indexed with
        // last.
        for (const Threading threading : {m_threading, Threading::One, Threading::Throughput}) {
            if (!m_footage->confirmed && threading != m_threading)
                break; // without a hash there is no telling which is right
            m_threading = threading;
            beginAfresh(stop);
            if (Picture picture = decodeTo(n.value, stop, passing))
                return picture;
        }
        if (Picture picture = m_footage->confirmed ? settle(n.value, stop) : Picture()) {
            if (passing)
                passing(n, picture);
            return picture;
        }
    } catch (...) {
        if (!stop.stop_requested()) // something is broken: next time everything anew
            m_demuxer.reset();
        throw;
    }
    m_running = false;
    m_distrusted.clear();
    m_threading = usualThreading();
    if (!m_footage->confirmed)
        throw core::Error(core::ErrorKind::Unreadable,
                          "Frame " + std::to_string(n.value) + " of \"" + m_footage->path.string()
                              + "\" doesn't come out of the decoder (" + m_why
                              + "); whether it can be had is known when all of the file has been decoded.");
    throw core::Error(core::ErrorKind::AtOdds, "Frame " + std::to_string(n.value) + " of \"" + m_footage->path.string()
                                                   + "\" can't be shown as it was when the file was opened (" + m_why
                                                   + "); the file has changed or is damaged, or the disk is failing.");
}

Picture VideoReader::settle(std::int64_t n, const std::stop_token& stop)
{
    const auto& frames = m_footage->frames;
    std::int64_t last = n; // what builds on the same data is likely to differ as well
    while (last + 1 < std::ssize(frames) && !frames[last + 1].cleanEntry)
        ++last;
    std::array<Hashes, 2> noted;
    Picture picture;
    const std::string why = m_why;
    for (Hashes& hashes : noted) {
        m_threading = Threading::One;
        beginAfresh(stop);
        if (m_demuxer->file().time != m_packets.file.time)
            return {};
        m_noted = &hashes;
        decodeTo(last, stop, [&](timing::FrameNumber number, const Picture& passing) {
            picture = number.value == n ? passing : picture;
        });
        m_noted = nullptr;
    }
    m_why = why;
    if (!noted[0].contains(n) || !noted[1].contains(n) || noted[0].at(n) != noted[1].at(n))
        return {};
    for (const auto& [number, hash] : noted[0])
        if (const auto again = noted[1].find(number);
            again != noted[1].end() && again->second == hash && hash != hashOfFrame(number))
            m_settled[number] = hash;
    m_distrusted.clear();
    return picture;
}

std::optional<timing::FrameNumber> VideoReader::nextTowards(timing::FrameNumber n) const
{
    return m_footage->confirmed && leadsTo(n.value) ? std::optional(timing::FrameNumber{m_expected}) : std::nullopt;
}

std::vector<Doubt> VideoReader::doubts() const
{
    std::vector<Doubt> doubts;
    for (const auto& [n, hash] : m_settled)
        if (!doubts.empty() && doubts.back().last.value == n - 1)
            doubts.back().last = {n};
        else
            doubts.push_back(
                {{n}, {n}, "it comes out of the decoder with other pixels than before, so its data are damaged"});
    return doubts;
}

Threading VideoReader::usualThreading() const
{
    return m_packets.oneThread || !m_settled.empty() ? Threading::One : Threading::Latency;
}

std::uint64_t VideoReader::hashOfFrame(std::int64_t n) const
{
    const auto settled = m_settled.find(n);
    return settled == m_settled.end() ? m_footage->frames[n].hash : settled->second;
}

bool VideoReader::leadsTo(std::int64_t n) const
{
    if (!m_running || !m_demuxer || n < m_expected || n <= m_latestSpare)
        return false;
    for (std::int64_t entry = n; entry > m_expected + cheaperThanASeek; --entry)
        if (m_footage->frames[entry].cleanEntry && !m_distrusted.contains(entry))
            return false;
    return true;
}

bool VideoReader::isLongWay(const Start& start, std::int64_t n) const
{
    return m_threading == Threading::Latency && n - start.frame >= longWay;
}

std::vector<VideoReader::Start> VideoReader::startsFor(std::int64_t n) const
{
    std::vector<Start> starts;
    for (std::int64_t entry = n; entry > 0 && starts.size() < mostEntriesTried; --entry)
        if (m_footage->frames[entry].cleanEntry && !m_distrusted.contains(entry))
            starts.push_back({m_footage->frames[entry].ordinal, entry, true});
    if (starts.size() < mostEntriesTried && !m_distrusted.contains(0))
        starts.push_back({0, 0, false});
    return starts;
}

void VideoReader::reopen(const std::stop_token& stop)
{
    m_running = false;
    m_queue.clear();
    m_decoder = nullptr;
    m_decoders.clear();
    m_demuxer.reset();
    m_demuxer = std::make_unique<Demuxer>(m_footage->path, m_footage->streamIndex, stop);
    if (m_demuxer->file().size != m_packets.file.size || (!m_footage->confirmed && m_demuxer->file() != m_packets.file))
        throw changedSinceOpened(m_footage->path);
}

void VideoReader::decodeWith(Threading threading)
{
    if (m_decoder)
        m_decoder->flush();
    std::unique_ptr<Decoder>& decoder = m_decoders[threading];
    if (!decoder)
        decoder = std::make_unique<Decoder>(m_demuxer->decoder(), m_demuxer->stream(), threading, m_complaints);
    m_decoder = decoder.get();
}

bool VideoReader::begin(const Start& start, Threading threading, const std::stop_token& stop)
{
    if (!m_demuxer)
        reopen(stop);
    m_running = false;
    if (!goTo(start.ordinal, stop))
        return false;
    decodeWith(threading);
    startFrom(start);
    return true;
}

void VideoReader::startFrom(const Start& start)
{
    m_start = start;
    m_expected = start.frame;
    m_waiting = start.atEntry;
    m_waited = 0;
    m_latestSpare = -1;
    m_complaintsAtStart = m_complaints.count();
    m_sawTrouble = false;
    m_draining = false;
    m_running = true;
}

void VideoReader::beginAfresh(const std::stop_token& stop)
{
    reopen(stop);
    decodeWith(m_threading);
    m_next = 0;
    startFrom({0, 0, false});
}

bool VideoReader::goTo(std::int64_t ordinal, const std::stop_token& stop)
{
    // A parser that starts amid a stream often takes the first picture's bytes wrongly, so what is aimed at moves back.
    static constexpr std::array<std::int64_t, 8> earlier{0, 1, 2, 4, 8, 16, 32, 64};
    for (const std::int64_t back : earlier) {
        if (back > ordinal || m_vainSeeks >= mostVainSeeks)
            break;
        if (seekNear(m_packets.marks[ordinal - back]) && m_next <= ordinal && skipTo(ordinal)) {
            m_vainSeeks = 0;
            return true;
        }
    }
    // Where seeking doesn't get, reading from the start always does.
    ++m_vainSeeks;
    reopen(stop);
    m_next = 0;
    return skipTo(ordinal);
}

bool VideoReader::seekNear(const PacketMark& mark)
{
    const auto byStamp = [&](std::int64_t stamp) {
        return stamp != AV_NOPTS_VALUE && m_demuxer->seek(stamp) >= 0 && recognise();
    };
    switch (m_demuxer->seeking()) {
    case Seeking::ByPosition:
        return (mark.position >= 0 && m_demuxer->seekToByte(mark.position) >= 0 && recognise()) || byStamp(mark.dts);
    case Seeking::ByDecoding: return byStamp(mark.dts) || byStamp(mark.pts);
    case Seeking::ByPresentation: return byStamp(mark.pts) || byStamp(mark.dts);
    }
    return false;
}

bool VideoReader::recognise()
{
    m_queue.clear();
    m_finder->restart();
    int unknown = 0;
    while (m_queue.size() < mostQueued && unknown <= mostUnknownPackets) {
        PacketPtr packet = newPacket();
        if (m_demuxer->next(*packet) < 0)
            return false;
        const PacketFinder::Answer answer = m_finder->show(markOf(*packet));
        m_queue.push_back(std::move(packet));
        if (answer == PacketFinder::Answer::Found) {
            m_next = m_finder->first();
            return true;
        }
        if (answer == PacketFinder::Answer::Unknown) {
            m_queue.clear();
            m_finder->restart();
            ++unknown;
        }
    }
    return false;
}

bool VideoReader::skipTo(std::int64_t ordinal)
{
    for (; m_next < ordinal; ++m_next)
        if (nextPacket(*m_packet) < 0)
            return false;
    return true;
}

int VideoReader::nextPacket(AVPacket& packet)
{
    if (m_queue.empty())
        return m_demuxer->next(packet);
    av_packet_unref(&packet);
    av_packet_move_ref(&packet, m_queue.front().get());
    m_queue.pop_front();
    return 0;
}

Picture VideoReader::decodeTo(std::int64_t n, const std::stop_token& stop, const FrameReader::Passing& passing)
{
    int beyond = 0;
    for (;;) {
        Picture picture;
        switch (nextPicture(picture)) {
        case Next::Picture: {
            const std::int64_t number = m_expected++;
            if (passing && number >= m_neededFrom)
                passing({number}, picture);
            if (number == n)
                return picture;
            beyond += number > n ? 1 : 0;
            if (beyond <= mostPicturesBeyond)
                break;
            m_why = "its picture doesn't come";
            m_running = false;
            return {};
        }
        case Next::MorePackets:
            if (stop.stop_requested()) // between packets, so that decoding can go on from here
                throw core::Cancelled();
            if (feed())
                break;
            [[fallthrough]];
        case Next::Wrong: m_running = false; return {};
        }
    }
}

VideoReader::Next VideoReader::nextPicture(Picture& picture)
{
    for (int errors = 0; errors < mostErrorsInARow;) {
        FramePtr frame = newFrame();
        const int rc = m_decoder->receive(*frame);
        if (rc == AVERROR(EAGAIN) && !m_draining)
            return Next::MorePackets;
        if (rc == AVERROR_EOF || rc == AVERROR(EAGAIN)) {
            m_why = "it ends before";
            return Next::Wrong;
        }
        if (rc < 0) {
            ++errors;
            continue;
        }
        const std::int64_t ordinal = ordinalOf(*frame);
        if (ordinal < 0 || ordinal >= std::ssize(m_packets.marks)
            || (m_packets.marks[ordinal].flags & AV_PKT_FLAG_DISCARD))
            continue;
        const std::optional<bool> right =
            m_footage->confirmed ? isExpected(*frame, ordinal) : isLikely(*frame, ordinal);
        if (!right)
            continue;
        if (!*right)
            return Next::Wrong;
        picture = Picture(m_decoder->kept(std::move(frame)));
        return Next::Picture;
    }
    m_why = "the decoder gives up";
    return Next::Wrong;
}

std::optional<bool> VideoReader::isExpected(const AVFrame& frame, std::int64_t ordinal)
{
    const auto& frames = m_footage->frames;
    const FrameEntry* expected = m_expected < std::ssize(frames) ? &frames[m_expected] : nullptr;
    if (expected && m_waiting && ordinal != expected->ordinal && m_waited++ < mostPicturesBeforeEntry)
        return std::nullopt;
    m_waiting = false;
    while (expected && m_expected <= m_latestSpare && ordinal != expected->ordinal)
        expected = &frames[++m_expected];
    if (!expected || expected->ordinal != ordinal) {
        m_why = "its pictures come out in another order";
        return false;
    }
    if (m_noted) {
        m_noted->emplace(m_expected, hashOf(frame));
        return true;
    }
    // What isn't needed needn't be checked: the frames after it are.
    if (m_expected >= m_neededFrom && hashOfFrame(m_expected) != hashOf(frame)) {
        m_why = "frame " + std::to_string(m_expected) + " comes out with other pixels";
        return false;
    }
    return true;
}

std::optional<bool> VideoReader::isLikely(const AVFrame& frame, std::int64_t ordinal)
{
    if (m_waiting && ordinal != m_start.ordinal) {
        if (m_waited++ < mostPicturesBeforeEntry)
            return std::nullopt;
        m_why = "the picture of a key packet doesn't come";
        return false;
    }
    if (m_waiting && !isKeyFrame(frame)) {
        m_why = "a key packet isn't one";
        return false;
    }
    m_waiting = false;
    const std::int64_t number = m_numbers[ordinal];
    if (number < 0)
        return std::nullopt; // decoding gives more than the packets told
    // Frame threads complain at any time before the picture comes: about which packet can't be told.
    const bool complained =
        m_decoder == m_decoders[Threading::LongWay].get() && m_complaints.count() != m_complaintsAtStart;
    if ((m_sawTrouble || complained) && m_start.atEntry) {
        m_why = "pictures it builds on are missing or damaged";
        return false;
    }
    m_expected = number;
    return true;
}

bool VideoReader::feed()
{
    const bool atEnd = m_next == std::ssize(m_packets.marks);
    const int rc = nextPacket(*m_packet);
    if (rc < 0) {
        if (!atEnd) {
            m_why = "reading it fails: " + reasonOf(rc);
            return false;
        }
        m_draining = true;
        m_decoder->send(nullptr, m_next);
        return true;
    }
    if (atEnd || !samePlace(m_packets.marks[m_next], markOf(*m_packet))) {
        m_why = "its packets are others";
        return false;
    }
    if (m_packet->size > 0) {
        const std::int64_t complaints = m_complaints.count(), number = m_numbers[m_next];
        const bool spare =
            number >= 0 && number < m_neededFrom && m_next != m_start.ordinal && m_decoder->canLeaveOut();
        if (spare)
            m_latestSpare = std::max(m_latestSpare, number);
        m_decoder->send(m_packet.get(), m_next,
                        spare); // a packet that can't be decoded gives no picture, as when indexed
        // Leading pictures of an open group are decoded without what they refer to, and aren't shown.
        if (!m_footage->confirmed && m_complaints.count() != complaints && m_numbers[m_next] >= m_start.frame)
            m_sawTrouble = true;
    }
    ++m_next;
    return true;
}

} // namespace media
