#include "core/media/measure/trace.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/refusal.h"
#include "core/media/index/sequential_pass.h"

namespace media {
namespace {

/// Collects levels frame by frame and hands on what is new every now and then.
class TraceBuilder {
public:
    TraceBuilder(const std::vector<Rect>& regions, const Comparison& comparison, const PartialTrace& partial,
                 MovementMeter* movement)
        : m_meter(regions, comparison), m_movement(movement), m_partial(partial), m_traces(regions.size())
    {}

    void add(const Picture& picture)
    {
        constexpr std::int64_t handOnEvery = 48;
        const std::vector<RegionLevels> levels = m_meter.measure({m_count}, picture);
        if (m_movement)
            m_movement->add({m_count}, picture);
        for (std::size_t i = 0; i < levels.size(); ++i)
            m_traces[i].push_back(levels[i]);
        if (++m_count - m_handedOn == handOnEvery)
            handOn();
    }

    std::int64_t count() const { return m_count; }

    std::vector<Trace> finish()
    {
        handOn();
        return std::move(m_traces);
    }

private:
    void handOn()
    {
        if (m_partial && m_count > m_handedOn) {
            std::vector<Trace> added;
            for (const Trace& trace : m_traces)
                added.emplace_back(trace.begin() + m_handedOn, trace.end());
            m_partial({m_handedOn}, added);
        }
        m_handedOn = m_count;
    }

    RegionMeter m_meter;
    MovementMeter* m_movement; ///< may be null
    const PartialTrace& m_partial;
    std::vector<Trace> m_traces;
    std::int64_t m_count = 0;
    std::int64_t m_handedOn = 0;
};

void traceVideo(const Footage& footage, TraceBuilder& builder, const std::stop_token& stop, const Progress& progress)
{
    const PacketTable& packets = *footage.packets;
    Complaints complaints;
    Demuxer demuxer(footage.path, footage.streamIndex, stop);
    if (demuxer.file().size != packets.file.size)
        throw changedSinceOpened(footage.path);
    Decoder decoder(demuxer.decoder(), demuxer.stream(), packets.oneThread ? Threading::One : Threading::Throughput,
                    complaints);
    std::size_t packet = 0;
    const std::int64_t first = builder.count();
    PassEvents events;
    events.packet = [&](const PacketMark& mark) {
        if (packet >= packets.marks.size() || mark != packets.marks[packet])
            throw changedSinceOpened(footage.path);
        ++packet;
        if (progress)
            progress(demuxer.bytesRead(), demuxer.file().size);
    };
    events.picture = [&](FramePtr frame, std::int64_t ordinal) {
        const std::size_t n = static_cast<std::size_t>(builder.count() - first);
        if (n >= footage.frames.size() || footage.frames[n].ordinal != ordinal)
            throw changedSinceOpened(footage.path);
        builder.add(Picture(std::move(frame)));
    };
    events.trouble = [](const Trouble&) {}; // known since the footage was opened
    decodeAll(demuxer, decoder, complaints, events);
}

void traceFolder(const Footage& footage, TraceBuilder& builder, const std::stop_token& stop, const Progress& progress)
{
    FrameReader reader(std::make_shared<const Footage>(footage), stop);
    for (std::int64_t n = 0; n < footage.frameCount().value; ++n) {
        builder.add(reader.read({n}, stop));
        if (progress)
            progress(n + 1, footage.frameCount().value);
    }
}

void traceParts(const Footage& footage, TraceBuilder& builder, const std::stop_token& stop, const Progress& progress)
{
    std::int64_t total = 0, before = 0;
    for (const FootagePart& part : footage.parts)
        total += part.footage->packets->file.size;
    for (const FootagePart& part : footage.parts) {
        if (builder.count() != part.first.value)
            throw changedSinceOpened(footage.path);
        traceVideo(*part.footage, builder, stop, [&](std::int64_t done, std::int64_t) {
            if (progress)
                progress(before + done, total);
        });
        before += part.footage->packets->file.size;
    }
}

} // namespace

std::vector<Trace> traceRegions(const Footage& footage, const std::vector<Rect>& regions, std::stop_token stop,
                                const Progress& progress, const PartialTrace& partial, const Comparison& comparison,
                                MovementMeter* movement)
{
    TraceBuilder builder(regions, comparison, partial, movement);
    if (!footage.parts.empty())
        traceParts(footage, builder, stop, progress);
    else if (footage.pictureFolder)
        traceFolder(footage, builder, stop, progress);
    else
        traceVideo(footage, builder, stop, progress);
    if (builder.count() != footage.frameCount().value)
        throw changedSinceOpened(footage.path);
    return builder.finish();
}

} // namespace media
