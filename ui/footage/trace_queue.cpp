#include "ui/footage/trace_queue.h"

#include "core/error.h"

#include <algorithm>
#include <chrono>

namespace ui {
namespace {

constexpr std::size_t mostRegions = 16; // kept of a capture; regions that were moved leave traces behind

using Clock = std::chrono::steady_clock;
constexpr auto handOnInterval = std::chrono::milliseconds(80);

} // namespace

/// Levels that came in since the last hand-over. The window gets them in bites: an event for every frame would flood
/// it.
class TraceQueue::Gathering {
public:
    Gathering(TraceQueue& queue, quint64 pass, std::vector<media::Rect> regions)
        : m_queue(queue), m_pass(pass), m_regions(std::move(regions)), m_levels(m_regions.size())
    {}

    void add(std::int64_t first, const std::vector<media::Trace>& added)
    {
        if (first != m_first + std::int64_t(m_levels.front().size())) { // decoding began anew
            handOn();
            m_first = first;
        }
        for (std::size_t i = 0; i < m_levels.size(); ++i)
            m_levels[i].insert(m_levels[i].end(), added[i].begin(), added[i].end());
        if (Clock::now() - m_handedOn >= handOnInterval)
            handOn();
    }

    void handOn()
    {
        const std::int64_t next = m_first + std::int64_t(m_levels.front().size());
        m_queue.later([&queue = m_queue, pass = m_pass, first = m_first, regions = m_regions,
                       added = std::move(m_levels)] { queue.take(pass, first, regions, added); });
        m_levels.assign(m_regions.size(), {});
        m_first = next;
        m_handedOn = Clock::now();
    }

private:
    TraceQueue& m_queue;
    const quint64 m_pass;
    const std::vector<media::Rect> m_regions;
    std::vector<media::Trace> m_levels;
    std::int64_t m_first = 0; ///< frame of the first of them
    Clock::time_point m_handedOn = Clock::now();
};

TraceQueue::TraceQueue(const media::FrameService& service) : m_service(service) {}

bool TraceQueue::Capture::waits() const
{
    return confirming == Step::Waiting || std::any_of(regions.begin(), regions.end(), [](const auto& entry) {
               return entry.second.step == Step::Waiting;
           });
}

void TraceQueue::confirm(const QString& path, std::shared_ptr<const media::Footage> scanned,
                         media::FrameService::Handle handle, const std::filesystem::path& cacheFolder)
{
    Capture& capture = m_captures[path];
    capture.footage = std::move(scanned);
    capture.handle = handle;
    capture.cacheFolder = cacheFolder;
    capture.confirming = Step::Waiting;
    capture.draft = std::make_shared<media::ConfirmationDraft>();
    capture.movement = std::make_shared<media::MovementMeter>();
    capture.picturesSeen = false;
    scheduleSoon();
}

TraceQueue::TracePtr TraceQueue::trace(const QString& path, const std::shared_ptr<const media::Footage>& footage,
                                       const media::Rect& region)
{
    Capture& capture = m_captures[path];
    capture.footage = footage;
    const auto [place, isNew] = capture.regions.try_emplace(keyOf(region));
    RegionTrace& trace = place->second;
    if (isNew) {
        trace.region = region;
        capture.asked = ++m_asked;
        for (auto old = capture.regions.begin();
             capture.regions.size() > mostRegions && old != capture.regions.end();) {
            const bool spare = old != place && old->second.step != Step::Running;
            old = spare ? capture.regions.erase(old) : std::next(old);
        }
        scheduleSoon();
    }
    if (!trace.snapshot)
        trace.snapshot = std::make_shared<const media::Trace>(trace.known);
    return trace.snapshot;
}

QString TraceQueue::fault(const QString& path, const media::Rect& region) const
{
    const auto capture = m_captures.find(path);
    if (capture == m_captures.end())
        return {};
    const auto trace = capture->second.regions.find(keyOf(region));
    return trace == capture->second.regions.end() ? QString() : trace->second.fault;
}

void TraceQueue::setInView(const QString& path)
{
    if (m_inView == path)
        return;
    m_inView = path;
    scheduleSoon();
}

void TraceQueue::forget(const QString& path)
{
    m_captures.erase(path);
    if (m_running.pass != 0 && m_running.path == path)
        m_running.stop.request_stop();
}

void TraceQueue::forgetAll()
{
    m_captures.clear();
    m_running.stop.request_stop();
}

/// Regions are asked for one by one; a moment later they share a pass.
void TraceQueue::scheduleSoon()
{
    if (std::exchange(m_scheduled, true))
        return;
    QMetaObject::invokeMethod(
        this, [this] { schedule(); }, Qt::QueuedConnection);
}

void TraceQueue::schedule()
{
    m_scheduled = false;
    const auto inView = m_captures.find(m_inView);
    const bool inViewWaits = inView != m_captures.end() && inView->second.waits();
    if (m_running.pass != 0) {
        if (inViewWaits && m_running.path != m_inView)
            m_running.stop.request_stop(); // its end comes back here
        return;
    }
    if (inViewWaits)
        return begin(m_inView);
    auto latest = m_captures.end();
    for (auto capture = m_captures.begin(); capture != m_captures.end(); ++capture)
        if (capture->second.waits() && (latest == m_captures.end() || capture->second.asked > latest->second.asked))
            latest = capture;
    if (latest != m_captures.end())
        begin(latest->first);
}

void TraceQueue::begin(const QString& path)
{
    Capture& capture = m_captures[path];
    std::vector<media::Rect> regions;
    for (auto& [key, trace] : capture.regions)
        if (trace.step == Step::Waiting) {
            trace.step = Step::Running;
            regions.push_back(trace.region);
        }
    m_running.path = path;
    m_running.pass = ++m_passes;
    if (capture.confirming == Step::Waiting) {
        capture.confirming = Step::Running;
        beginConfirming(path, std::move(regions));
    } else {
        beginTracing(path, std::move(regions));
    }
}

void TraceQueue::beginConfirming(const QString& path, std::vector<media::Rect> regions)
{
    const Capture& capture = m_captures[path];
    // What is known of every region needn't be measured again; a new one needs the film from its beginning.
    std::int64_t had = capture.footage->frameCount().value;
    for (const media::Rect& region : regions)
        had = std::min(had, std::ssize(capture.regions.at(keyOf(region)).known) - 1);
    capture.draft->had = {std::max<std::int64_t>(0, had)};
    m_running.stop = m_lane.add([this, path, pass = m_running.pass, regions = std::move(regions),
                                 footage = capture.footage, handle = capture.handle, folder = capture.cacheFolder,
                                 draft = capture.draft, movement = capture.movement](const std::stop_token& stop) {
        media::RegionMeter meter(regions);
        Gathering gathering(*this, pass, regions);
        std::int64_t last = -1; // frame that came by
        Clock::time_point told{};
        const auto progress = [&](std::int64_t done, std::int64_t total, timing::FrameCount) {
            if (total <= 0 || Clock::now() - told < handOnInterval)
                return;
            told = Clock::now();
            later([this, path, pass, share = std::clamp(double(done) / double(total), 0.0, 1.0)] {
                if (pass == m_running.pass)
                    emit confirming(path, share);
            });
        };
        const auto each = [&](timing::FrameNumber n, const media::Picture& picture) {
            m_service.letWantedGoFirst(stop);
            movement->add(n, picture);
            if (regions.empty())
                return;
            const bool goesOn = std::exchange(last, n.value) < 0
                                && n.value > 0; // known already, with its change since the frame before
            std::vector<media::Trace> added;
            for (const media::RegionLevels& levels : meter.measure(n, picture))
                added.push_back({levels});
            if (!goesOn)
                gathering.add(n.value, added);
        };
        try {
            const media::Confirmation confirmation =
                media::confirmFootage(footage, stop, progress, each, folder, draft.get());
            const media::FrameService::Compared pictures = m_service.compare(handle, confirmation, stop);
            if (!regions.empty())
                gathering.handOn();
            const timing::PictureRepeats repeats = timing::findRepeats(movement->take(*confirmation.footage));
            later([this, pass, confirmation, pictures, repeats] {
                endConfirming(pass, confirmation, pictures);
                tellPictures(pass, repeats);
                end(pass, Step::Done, {});
            });
        } catch (const core::Cancelled&) {
            later([this, pass] { end(pass, Step::Waiting, {}); });
        } catch (const std::exception& error) {
            later([this, pass, sentence = QString::fromUtf8(error.what())] { end(pass, Step::Failed, sentence); });
        }
    });
}

void TraceQueue::beginTracing(const QString& path, std::vector<media::Rect> regions)
{
    const Capture& capture = m_captures[path];
    m_running.stop = m_lane.add([this, pass = m_running.pass, regions = std::move(regions), footage = capture.footage,
                                 look = !capture.picturesSeen](const std::stop_token& stop) {
        Gathering gathering(*this, pass, regions);
        media::MovementMeter movement;
        try {
            media::traceRegions(
                *footage, regions, stop, [&](std::int64_t, std::int64_t) { m_service.letWantedGoFirst(stop); },
                [&](timing::FrameNumber first, const std::vector<media::Trace>& added) {
                    gathering.add(first.value, added);
                },
                {}, look ? &movement : nullptr);
            gathering.handOn();
            if (look)
                later(
                    [this, pass, found = timing::findRepeats(movement.take(*footage))] { tellPictures(pass, found); });
            later([this, pass] { end(pass, Step::Done, {}); });
        } catch (const core::Cancelled&) {
            later([this, pass] { end(pass, Step::Waiting, {}); });
        } catch (const std::exception& error) {
            later([this, pass, sentence = QString::fromUtf8(error.what())] { end(pass, Step::Failed, sentence); });
        }
    });
}

void TraceQueue::take(quint64 pass, std::int64_t first, const std::vector<media::Rect>& regions,
                      const std::vector<media::Trace>& added)
{
    const auto capture = m_captures.find(m_running.path);
    if (pass != m_running.pass || m_running.stop.stop_requested() || capture == m_captures.end())
        return;
    for (std::size_t i = 0; i < regions.size(); ++i) {
        const auto place = capture->second.regions.find(keyOf(regions[i]));
        if (place == capture->second.regions.end())
            continue;
        // A pass that was put off, or that met damage, begins again at frame 0; what is known further on stays till
        // then.
        media::Trace& known = place->second.known;
        for (std::size_t k = 0; k < added[i].size(); ++k) {
            const std::size_t n = std::size_t(first) + k;
            if (n < known.size())
                known[n] = added[i][k];
            else if (n == known.size())
                known.push_back(added[i][k]);
        }
        place->second.snapshot.reset();
    }
    emit grew(m_running.path);
}

void TraceQueue::endConfirming(quint64 pass, const media::Confirmation& confirmation,
                               const media::FrameService::Compared& pictures)
{
    const bool counts = pass == m_running.pass && !m_running.stop.stop_requested();
    const QString path = m_running.path;
    const auto capture = m_captures.find(path);
    if (counts && capture != m_captures.end()) {
        capture->second.footage = confirmation.footage;
        for (auto& [key, trace] : capture->second.regions) {
            trace.known.resize(
                std::min(trace.known.size(), confirmation.footage->frames.size())); // damage may leave fewer
            trace.snapshot.reset();
        }
        emit confirmed(path, confirmation, pictures);
    }
}

void TraceQueue::tellPictures(quint64 pass, const timing::PictureRepeats& found)
{
    const auto capture = m_captures.find(m_running.path);
    if (pass != m_running.pass || m_running.stop.stop_requested() || capture == m_captures.end())
        return;
    capture->second.movement.reset();
    capture->second.picturesSeen = true;
    emit picturesSeen(m_running.path, found);
}

void TraceQueue::end(quint64 pass, Step step, const QString& fault)
{
    if (pass != m_running.pass)
        return;
    const Running ended = std::exchange(m_running, {});
    if (ended.stop.stop_requested())
        step = Step::Waiting; // it may have come to its end before it noticed, but take() no longer listened
    const auto capture = m_captures.find(ended.path);
    const bool confirmFailing =
        capture != m_captures.end() && capture->second.confirming == Step::Running && step == Step::Failed;
    if (capture != m_captures.end()) {
        if (capture->second.confirming == Step::Running)
            capture->second.confirming = step == Step::Done ? std::nullopt : std::optional(step);
        for (auto& [key, trace] : capture->second.regions)
            if (trace.step == Step::Running) {
                const bool isShort = step == Step::Done && trace.known.size() < capture->second.footage->frames.size();
                trace.step = isShort ? Step::Waiting : step; // parts that were confirmed before didn't pass
                trace.fault = fault;
            }
    }
    scheduleSoon();
    if (capture != m_captures.end() && step != Step::Waiting)
        emit grew(ended.path);
    if (confirmFailing)
        emit confirmFailed(ended.path, fault);
}

} // namespace ui
