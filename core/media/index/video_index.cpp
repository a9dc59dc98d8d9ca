#include "core/media/index/video_index.h"
#include "core/media/index/description.h"
#include "core/media/index/empty_edits.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/index/sequential_pass.h"
#include <algorithm>

namespace media {
namespace {

/// Decodes once with the given threads.
class Indexing {
public:
    Indexing(const std::filesystem::path& path, std::optional<int> stream, Threading threading, std::stop_token stop,
             const IndexEvents& events)
        : m_demuxer(path, stream, stop, events.draft ? events.draft->checksum.get() : nullptr),
          m_decoder(m_demuxer.decoder(), m_demuxer.stream(), threading, m_complaints),
          m_footage(std::make_shared<Footage>()), m_packets(std::make_shared<PacketTable>()), m_events(events),
          m_stopAtTrouble(threading != Threading::One)
    {
        m_footage->confirmed = true;
        m_footage->path = path;
        m_packets->file = m_demuxer.file();
        m_packets->oneThread = !m_stopAtTrouble;
    }

    /// Null when damage was met that has to be decoded with one thread.
    std::shared_ptr<const Footage> run();
    /// The same, but what was found before a stop is decoded again from frame `entry` on only. Null also when anything
    /// came out differently.
    std::shared_ptr<const Footage> goOn(std::shared_ptr<const Footage> soFar, std::int64_t entry);

private:
    struct SawTrouble {};

    bool isExpected(const FrameEntry& entry);
    void takePacket(const PacketMark& mark);
    void takePicture(FramePtr frame, std::int64_t ordinal);
    void takeTrouble(Trouble trouble);
    void describe();
    void findUnreadPackets();
    void placeComplaints();
    void nameFault(int end);

    Complaints m_complaints;
    Demuxer m_demuxer;
    Decoder m_decoder;
    std::shared_ptr<Footage> m_footage;
    std::shared_ptr<PacketTable> m_packets;
    const IndexEvents& m_events;
    bool m_stopAtTrouble;
    std::vector<Trouble> m_troubles;
    std::shared_ptr<const Footage> m_soFar; ///< null unless going on
    std::int64_t m_entry = 0;               ///< frame of it that decoding goes on with
    bool m_waiting = false;                 ///< for that frame's picture
};

std::shared_ptr<const Footage> Indexing::run()
{
    PassEvents events;
    events.packet = [this](const PacketMark& mark) { takePacket(mark); };
    events.picture = [this](FramePtr frame, std::int64_t ordinal) { takePicture(std::move(frame), ordinal); };
    events.trouble = [this](Trouble trouble) { takeTrouble(std::move(trouble)); };
    int end = 0;
    try {
        end = decodeAll(m_demuxer, m_decoder, m_complaints, events, m_soFar ? m_soFar->frames[m_entry].ordinal : 0);
        findUnreadPackets();
        placeComplaints();
    } catch (const SawTrouble&) {
        return nullptr;
    } catch (const core::Cancelled&) {
        if (m_events.draft && m_stopAtTrouble && !(m_soFar && m_footage->frames.size() < m_soFar->frames.size())) {
            m_footage->packets = m_packets;
            m_events.draft->soFar = m_footage;
        }
        throw;
    }
    if (m_footage->frames.empty())
        throw core::Error(core::ErrorKind::Unreadable,
                          "Not one frame of " + m_demuxer.name() + " can be decoded"
                              + (m_troubles.empty() ? std::string() : " (" + m_troubles.front().detail + ")") + ".");
    // A film may begin anywhere in its stream: nothing is lost that was never to be shown.
    std::erase_if(m_troubles, [first = m_footage->frames.front().ordinal](const Trouble& trouble) {
        return trouble.harm == Harm::LostBefore && trouble.ordinal <= first;
    });
    describe();
    dropUnfoundedStamps(*m_footage, m_demuxer);
    markDamage(*m_footage, m_troubles);
    nameFault(end);
    if (m_demuxer.hasEditLists())
        doubtEmptyEdits(*m_footage,
                        emptyEditsWithin(m_footage->path, static_cast<std::uint32_t>(m_demuxer.stream().id)));
    m_footage->packets = m_packets;
    if (m_events.progress)
        m_events.progress(m_packets->file.size, m_packets->file.size);
    return m_footage;
}

std::shared_ptr<const Footage> Indexing::goOn(std::shared_ptr<const Footage> soFar, std::int64_t entry)
{
    m_soFar = std::move(soFar);
    m_entry = entry;
    m_waiting = true;
    m_footage->size = m_soFar->size;
    m_footage->pixelFormat = m_soFar->pixelFormat;
    m_footage->pixelAspect = m_soFar->pixelAspect;
    m_footage->interlaced = m_soFar->interlaced;
    m_footage->formatChanges = m_soFar->formatChanges;
    std::erase_if(m_footage->formatChanges, [&](const FormatChange& change) { return change.first.value >= entry; });
    m_footage->frames.assign(m_soFar->frames.begin(), m_soFar->frames.begin() + entry);
    return run();
}

/// Where there is something to compare with.
bool Indexing::isExpected(const FrameEntry& entry)
{
    const std::size_t n = m_footage->frames.size();
    return !m_soFar || n >= m_soFar->frames.size()
           || (m_soFar->frames[n].ordinal == entry.ordinal && m_soFar->frames[n].hash == entry.hash);
}

void Indexing::takePacket(const PacketMark& mark)
{
    const std::size_t ordinal = m_packets->marks.size();
    if (m_soFar && ordinal < m_soFar->packets->marks.size() && !(m_soFar->packets->marks[ordinal] == mark))
        throw SawTrouble(); // another file by now
    m_packets->marks.push_back(mark);
    if (m_events.progress)
        m_events.progress(m_demuxer.bytesRead(), m_packets->file.size);
}

void Indexing::takePicture(FramePtr held, std::int64_t ordinal)
{
    const AVFrame& frame = *held;
    if (m_waiting && ordinal != m_soFar->frames[m_entry].ordinal)
        return; // shown before the entry's own picture, and known
    m_waiting = false;
    noteFormat(*m_footage, frame);
    if (m_footage->frames.empty())
        m_footage->pixelAspect = ratioOf(frame.sample_aspect_ratio).value_or(m_footage->pixelAspect);
    m_footage->interlaced = m_footage->interlaced || isInterlaced(frame);

    FrameEntry entry;
    entry.ordinal = ordinal;
    entry.stamp = secondsOf(m_packets->marks[ordinal].pts, m_demuxer.stream().time_base);
    entry.cleanEntry = isKeyFrame(frame);
    entry.hash = hashOf(frame);
    if (!isExpected(entry))
        throw SawTrouble();
    m_footage->frames.push_back(entry);
    if (m_events.frame)
        m_events.frame({m_footage->frameCount().value - 1}, entry, std::move(held));
}

void Indexing::takeTrouble(Trouble trouble)
{
    if (m_stopAtTrouble)
        throw SawTrouble();
    m_troubles.push_back(std::move(trouble));
}

void Indexing::findUnreadPackets()
{
    // The demuxer skips what it can't make sense of without a word; an index that otherwise fits tells.
    const std::vector<std::int64_t> listed = m_demuxer.listedPositions();
    auto next = listed.begin();
    std::vector<Trouble> lost;
    for (std::size_t ordinal = 0; ordinal < m_packets->marks.size(); ++ordinal) {
        if (m_packets->marks[ordinal].size == 0)
            continue;
        const auto found = std::find(next, listed.end(), m_packets->marks[ordinal].position);
        if (found == listed.end())
            return; // the index is another's
        if (found != next)
            lost.push_back(
                {static_cast<std::int64_t>(ordinal), Harm::LostBefore, "packets that the index lists can't be read"});
        next = found + 1;
    }
    if (next != listed.end())
        lost.push_back({std::ssize(m_packets->marks), Harm::LostBefore, "packets that the index lists can't be read"});
    for (Trouble& trouble : lost)
        takeTrouble(std::move(trouble));
}

void Indexing::describe()
{
    media::describe(*m_footage, m_demuxer);
    if (m_demuxer.isBareStream()) // only what the coded stream itself says counts
        m_footage->averageRate = ratioOf(m_decoder.context().framerate);
}

void Indexing::placeComplaints()
{
    // What the demuxer complained about lies between the packets before and after that position.
    std::vector<std::int64_t> furthest; // of each packet and those before it, as there may be many of both
    for (const PacketMark& mark : m_packets->marks)
        furthest.push_back(furthest.empty() ? mark.position : std::max(furthest.back(), mark.position));
    for (const std::int64_t position : m_demuxer.complaints().positions()) {
        const auto after = std::lower_bound(furthest.begin(), furthest.end(), position);
        takeTrouble({after - furthest.begin(), Harm::LostBefore, m_demuxer.complaints().latest()});
    }
}

void Indexing::nameFault(int end)
{
    if (end == AVERROR_EOF && m_troubles.empty())
        return;
    const std::string detail = end != AVERROR_EOF ? reasonOf(end) : m_troubles.front().detail;
    const std::string count = std::to_string(m_footage->frames.size()) + " frames can be had";
    const std::int64_t first = m_footage->frames.front().ordinal;
    const bool onlyBeforeFirst = std::all_of(m_troubles.begin(), m_troubles.end(),
                                             [&](const Trouble& trouble) { return trouble.ordinal < first; });
    if (end == AVERROR_EOF && onlyBeforeFirst && m_footage->doubts.empty())
        m_footage->fault = m_demuxer.name()
                           + " begins amid pictures that build on earlier ones; frame 0 is the first that can be "
                             "decoded, "
                           + std::to_string(first) + " packets before it can't (" + detail + ").";
    else if (onlyAtTheEnd(m_troubles, std::ssize(m_packets->marks)))
        m_footage->fault = m_demuxer.name() + " breaks off: " + count
                           + (m_footage->doubts.empty() ? "" : ", the last in doubt") + " (" + detail + ").";
    else
        m_footage->fault = m_demuxer.name() + " is damaged: " + count
                           + (m_footage->doubts.empty() ? ", others may be missing" : ", some of them in doubt") + " ("
                           + detail + ").";
}

/// The clean entry point to go on from; empty when it is too early in the film.
std::optional<std::int64_t> entryToGoOnFrom(const ConfirmationDraft& draft)
{
    constexpr std::int64_t compared = 8; // frames that were decoded before and have to come out the same
    if (!draft.soFar)
        return std::nullopt;
    const std::int64_t last = std::min(std::ssize(draft.soFar->frames) - compared, draft.had.value);
    for (std::int64_t n = last; n > 0; --n)
        if (draft.soFar->frames[n].cleanEntry)
            return n;
    return std::nullopt;
}

} // namespace

std::shared_ptr<const Footage> indexVideo(const std::filesystem::path& path, std::optional<int> stream,
                                          std::stop_token stop, const IndexEvents& events)
{
    if (events.draft)
        if (const auto entry = entryToGoOnFrom(*events.draft)) {
            const auto soFar = events.draft->soFar;
            if (auto footage = Indexing(path, stream, Threading::Throughput, stop, events).goOn(soFar, *entry))
                return footage;
            events.draft->soFar.reset();
        }
    if (auto footage = Indexing(path, stream, Threading::Throughput, stop, events).run())
        return footage;
    // What a decoder makes of damage depends on its threads; with one it is the same every time.
    return Indexing(path, stream, Threading::One, stop, events).run();
}

} // namespace media
