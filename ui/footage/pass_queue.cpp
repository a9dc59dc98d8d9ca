#include "ui/footage/pass_queue.h"

#include "core/error.h"
#include "ui/model/file_paths.h"

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
class PassQueue::Gathering {
public:
    Gathering(PassQueue& queue, quint64 pass, std::vector<media::Rect> regions)
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
    PassQueue& m_queue;
    const quint64 m_pass;
    const std::vector<media::Rect> m_regions;
    std::vector<media::Trace> m_levels;
    std::int64_t m_first = 0; ///< frame of the first of them
    Clock::time_point m_handedOn = Clock::now();
};

PassQueue::PassQueue(const media::FrameService& service, const Footages& footages)
    : m_service(service), m_footages(footages)
{
    m_watch.setSingleShot(true);
    connect(&m_watch, &QTimer::timeout, this, &PassQueue::leaveStuck);
}

KnownFootage* PassQueue::find(const QString& path) const
{
    const auto footage = m_footages.find(path);
    return footage != m_footages.end() && footage->second->isOpen() ? footage->second.get() : nullptr;
}

void PassQueue::confirm(KnownFootage& footage, const std::filesystem::path& cacheFolder)
{
    m_cacheFolder = cacheFolder;
    footage.passes.confirming = Step::Waiting;
    footage.passes.picturesSeen = false;
    beginAnew(footage);
    scheduleSoon();
}

void PassQueue::beginAnew(KnownFootage& footage)
{
    std::vector<std::filesystem::path> files{toPath(footage.path)};
    for (const QString& further : footage.source.furtherParts)
        files.push_back(toPath(further));
    footage.passes.draft = std::make_shared<media::ConfirmationDraft>();
    footage.passes.draft->checksum = std::make_shared<media::FootageChecksum>(std::move(files));
    footage.passes.movement = std::make_shared<media::MovementMeter>();
}

PassQueue::TracePtr PassQueue::trace(KnownFootage& footage, const media::Rect& region)
{
    auto& regions = footage.passes.regions;
    const auto [place, isNew] = regions.try_emplace(keyOf(region));
    KnownFootage::RegionTrace& trace = place->second;
    if (isNew) {
        trace.region = region;
        footage.passes.asked = ++m_asked;
        for (auto old = regions.begin(); regions.size() > mostRegions && old != regions.end();) {
            const bool spare = old != place && old->second.step != Step::Running;
            old = spare ? regions.erase(old) : std::next(old);
        }
        scheduleSoon();
    }
    if (!trace.snapshot)
        trace.snapshot = std::make_shared<const media::Trace>(trace.known);
    return trace.snapshot;
}

QString PassQueue::fault(const KnownFootage& footage, const media::Rect& region)
{
    const auto trace = footage.passes.regions.find(keyOf(region));
    return trace == footage.passes.regions.end() ? QString() : trace->second.fault;
}

void PassQueue::setInView(const QString& path)
{
    if (m_inView == path)
        return;
    m_inView = path;
    scheduleSoon();
}

void PassQueue::stop(const QString& path)
{
    if (m_running.pass != 0 && m_running.path == path)
        m_running.stop.request_stop();
}

/// Regions are asked for one by one; a moment later they share a pass.
void PassQueue::scheduleSoon()
{
    if (std::exchange(m_scheduled, true))
        return;
    QMetaObject::invokeMethod(
        this, [this] { schedule(); }, Qt::QueuedConnection);
}

void PassQueue::schedule()
{
    m_scheduled = false;
    KnownFootage* inView = find(m_inView);
    const bool inViewWaits = inView && inView->passes.waits() && !inView->passes.isLast;
    if (m_running.pass != 0) {
        if (inViewWaits && m_running.path != m_inView)
            m_running.stop.request_stop(); // its end comes back here
        return;
    }
    if (inViewWaits)
        return begin(*inView);
    KnownFootage* latest = nullptr;
    for (const auto& [path, footage] : m_footages)
        if (footage->isOpen() && footage->passes.waits() && (!latest || footage->passes.goesBefore(latest->passes)))
            latest = footage.get();
    if (latest)
        begin(*latest);
}

void PassQueue::rest(Pulse& pulse, const std::stop_token& stop) const
{
    pulse.gaveFrame = pulse.rests = true;
    m_service.letWantedGoFirst(stop);
    pulse.rests = false;
}

/// Its thread goes on waiting for the disk, with nothing of the footage's own.
void PassQueue::leaveStuck()
{
    if (m_running.pass == 0)
        return;
    KnownFootage* stuck = find(m_running.path);
    if (stuck && stuck->serial != m_running.serial)
        stuck = nullptr; // closed, or opened anew
    const bool isAlive = m_running.pulse->gaveFrame.exchange(false) || m_running.pulse->rests;
    const bool othersWait = std::ranges::any_of(m_footages, [&](const auto& entry) {
        return entry.second.get() != stuck && entry.second->isOpen() && entry.second->passes.waits();
    });
    if (isAlive || !othersWait)
        return m_watch.start();
    m_running.stop.request_stop();
    if (stuck) {
        if (stuck->passes.confirming)
            beginAnew(*stuck);
        stuck->passes.isLast = true;
        stuck->passes.patience *= 2; // two slow ones don't take turns for ever
    }
    end(m_running.pass, Step::Waiting, {});
}

void PassQueue::begin(KnownFootage& footage)
{
    std::vector<media::Rect> regions;
    for (auto& [key, trace] : footage.passes.regions)
        if (trace.step == Step::Waiting) {
            trace.step = Step::Running;
            regions.push_back(trace.region);
        }
    m_running.path = footage.path;
    m_running.serial = footage.serial;
    m_running.pass = ++m_passes;
    m_running.pulse = std::make_shared<Pulse>();
    m_watch.start(footage.passes.patience);
    footage.passes.isLast = false;
    if (footage.passes.confirming == Step::Waiting) {
        footage.passes.confirming = Step::Running;
        beginConfirming(footage, std::move(regions));
    } else {
        beginTracing(footage, std::move(regions));
    }
}

void PassQueue::beginConfirming(const KnownFootage& known, std::vector<media::Rect> regions)
{
    const KnownFootage::Passes& passes = known.passes;
    // What is known of every region needn't be measured again; a new one needs the film from its beginning.
    std::int64_t had = known.footage->frameCount().value;
    for (const media::Rect& region : regions)
        had = std::min(had, std::ssize(passes.regions.at(keyOf(region)).known) - 1);
    passes.draft->had = {std::max<std::int64_t>(0, had)};
    run([this, path = known.path, pass = m_running.pass, regions = std::move(regions), footage = known.footage,
         handle = known.handle, folder = m_cacheFolder, draft = passes.draft, movement = passes.movement,
         pulse = m_running.pulse](const std::stop_token& stop) {
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
            rest(*pulse, stop);
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
        const media::Confirmation confirmation =
            media::confirmFootage(footage, stop, progress, each, folder, draft.get());
        const media::FrameService::Compared pictures = m_service.compare(handle, confirmation, stop);
        if (!regions.empty())
            gathering.handOn();
        const timing::PictureRepeats repeats = timing::findRepeats(movement->take(*confirmation.footage));
        return [this, pass, confirmation, pictures, repeats] {
            endConfirming(pass, confirmation, pictures);
            tellPictures(pass, repeats);
        };
    });
}

void PassQueue::beginTracing(const KnownFootage& known, std::vector<media::Rect> regions)
{
    run([this, pass = m_running.pass, regions = std::move(regions), footage = known.footage,
         look = !known.passes.picturesSeen, pulse = m_running.pulse](const std::stop_token& stop) {
        Gathering gathering(*this, pass, regions);
        media::MovementMeter movement;
        media::traceRegions(
            *footage, regions, stop, [&](std::int64_t, std::int64_t) { rest(*pulse, stop); },
            [&](timing::FrameNumber first, const std::vector<media::Trace>& added) {
                gathering.add(first.value, added);
            },
            {}, look ? &movement : nullptr);
        gathering.handOn();
        if (!look)
            return Ending();
        return Ending(
            [this, pass, found = timing::findRepeats(movement.take(*footage))] { tellPictures(pass, found); });
    });
}

/// The pass that is under way. `work` may throw; what it returns is done here before the pass ends.
void PassQueue::run(std::function<Ending(const std::stop_token&)> work)
{
    m_running.stop = m_worker.add([this, pass = m_running.pass, work = std::move(work)](const std::stop_token& stop) {
        Step step = Step::Done;
        QString fault;
        Ending ending;
        try {
            ending = work(stop);
        } catch (const core::Cancelled&) {
            step = Step::Waiting;
        } catch (const std::exception& error) {
            step = Step::Failed;
            fault = QString::fromUtf8(error.what());
        }
        later([this, pass, step, fault, ending = std::move(ending)] {
            if (ending)
                ending();
            end(pass, step, fault);
        });
    });
}

void PassQueue::take(quint64 pass, std::int64_t first, const std::vector<media::Rect>& regions,
                     const std::vector<media::Trace>& added)
{
    KnownFootage* footage = find(m_running.path);
    if (pass != m_running.pass || m_running.stop.stop_requested() || !footage)
        return;
    for (std::size_t i = 0; i < regions.size(); ++i) {
        const auto place = footage->passes.regions.find(keyOf(regions[i]));
        if (place == footage->passes.regions.end())
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

void PassQueue::endConfirming(quint64 pass, const media::Confirmation& confirmation,
                              const media::FrameService::Compared& pictures)
{
    KnownFootage* footage = find(m_running.path);
    if (pass != m_running.pass || m_running.stop.stop_requested() || !footage)
        return;
    for (auto& [key, trace] : footage->passes.regions) {
        trace.known.resize(std::min(trace.known.size(), confirmation.footage->frames.size())); // damage may leave fewer
        trace.snapshot.reset();
    }
    emit confirmed(footage->path, confirmation, pictures);
}

void PassQueue::tellPictures(quint64 pass, const timing::PictureRepeats& found)
{
    KnownFootage* footage = find(m_running.path);
    if (pass != m_running.pass || m_running.stop.stop_requested() || !footage)
        return;
    footage->passes.movement.reset();
    footage->passes.picturesSeen = true;
    emit picturesSeen(m_running.path, found);
}

void PassQueue::end(quint64 pass, Step step, const QString& fault)
{
    if (pass != m_running.pass)
        return;
    const Running ended = std::exchange(m_running, {});
    if (ended.stop.stop_requested())
        step = Step::Waiting; // it may have come to its end before it noticed, but take() no longer listened
    KnownFootage* footage = ended.serial == 0 ? nullptr : find(ended.path);
    if (footage && footage->serial != ended.serial)
        footage = nullptr; // opened anew meanwhile
    const bool confirmFailing = footage && footage->passes.confirming == Step::Running && step == Step::Failed;
    if (footage) {
        KnownFootage::Passes& passes = footage->passes;
        if (passes.confirming == Step::Running)
            passes.confirming = step == Step::Done ? std::nullopt : std::optional(step);
        for (auto& [key, trace] : passes.regions)
            if (trace.step == Step::Running) {
                const bool isShort = step == Step::Done && trace.known.size() < footage->footage->frames.size();
                trace.step = isShort ? Step::Waiting : step; // parts that were confirmed before didn't pass
                trace.fault = fault;
            }
    }
    scheduleSoon();
    if (footage && step != Step::Waiting)
        emit grew(ended.path);
    if (confirmFailing)
        emit confirmFailed(ended.path, fault);
}

} // namespace ui
