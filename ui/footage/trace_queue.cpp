#include "ui/footage/trace_queue.h"

#include "core/error.h"

#include <chrono>

namespace ui {
namespace {

constexpr std::size_t mostRegions = 16; // kept of a capture; regions that were moved leave traces behind

using Clock = std::chrono::steady_clock;
constexpr auto handOnInterval = std::chrono::milliseconds(80);

} // namespace

TraceQueue::TraceQueue() = default;

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
        for (auto old = capture.regions.begin(); capture.regions.size() > mostRegions && old != capture.regions.end();) {
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
    QMetaObject::invokeMethod(this, [this] { schedule(); }, Qt::QueuedConnection);
}

void TraceQueue::schedule()
{
    m_scheduled = false;
    const auto waits = [](const Capture& capture) {
        for (const auto& [key, trace] : capture.regions)
            if (trace.step == Step::Waiting)
                return true;
        return false;
    };
    const auto inView = m_captures.find(m_inView);
    const bool inViewWaits = inView != m_captures.end() && waits(inView->second);
    if (m_running.pass != 0) {
        if (inViewWaits && m_running.path != m_inView)
            m_running.stop.request_stop(); // its end comes back here
        return;
    }
    if (inViewWaits)
        return begin(m_inView);
    auto latest = m_captures.end();
    for (auto capture = m_captures.begin(); capture != m_captures.end(); ++capture)
        if (waits(capture->second) && (latest == m_captures.end() || capture->second.asked > latest->second.asked))
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
    const quint64 pass = ++m_passes;
    m_running.path = path;
    m_running.pass = pass;
    m_running.stop = m_lane.add([this, pass, regions, footage = capture.footage](const std::stop_token& stop) {
        // What came in since the last hand-over. The window gets it in bites: an event for every 48 frames would flood it.
        std::vector<media::Trace> gathered(regions.size());
        std::int64_t first = 0;
        Clock::time_point handedOn = Clock::now();
        const auto handOn = [&] {
            const std::int64_t next = first + std::int64_t(gathered.front().size());
            QMetaObject::invokeMethod(
                this, [this, pass, first, regions, added = std::move(gathered)] { take(pass, first, regions, added); },
                Qt::QueuedConnection);
            gathered.assign(regions.size(), {});
            first = next;
            handedOn = Clock::now();
        };
        const auto finish = [&](Step step, const QString& fault) {
            QMetaObject::invokeMethod(this, [this, pass, step, fault] { end(pass, step, fault); }, Qt::QueuedConnection);
        };
        try {
            media::traceRegions(*footage, regions, stop, {}, [&](timing::FrameNumber, const std::vector<media::Trace>& added) {
                for (std::size_t i = 0; i < regions.size(); ++i)
                    gathered[i].insert(gathered[i].end(), added[i].begin(), added[i].end());
                if (Clock::now() - handedOn >= handOnInterval)
                    handOn();
            });
            handOn();
            finish(Step::Done, {});
        } catch (const core::Cancelled&) {
            finish(Step::Waiting, {});
        } catch (const std::exception& error) {
            finish(Step::Failed, QString::fromUtf8(error.what()));
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
        RegionTrace& trace = place->second;
        // A pass that was put off begins again at frame 0; what is known already stays.
        const std::int64_t fresh = std::int64_t(trace.known.size()) - first;
        if (fresh >= 0 && fresh < std::int64_t(added[i].size())) {
            trace.known.insert(trace.known.end(), added[i].begin() + fresh, added[i].end());
            trace.snapshot.reset();
        }
    }
    emit grew(m_running.path);
}

void TraceQueue::end(quint64 pass, Step step, const QString& fault)
{
    if (pass != m_running.pass)
        return;
    const Running ended = std::exchange(m_running, {});
    if (ended.stop.stop_requested())
        step = Step::Waiting; // it may have come to its end before it noticed, but take() no longer listened
    const auto capture = m_captures.find(ended.path);
    if (capture != m_captures.end()) {
        for (auto& [key, trace] : capture->second.regions)
            if (trace.step == Step::Running) {
                trace.step = step;
                trace.fault = fault;
            }
    }
    scheduleSoon();
    if (capture != m_captures.end() && step != Step::Waiting)
        emit grew(ended.path);
}

} // namespace ui
