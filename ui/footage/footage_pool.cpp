#include "ui/footage/footage_pool.h"

#include "core/error.h"
#include "core/media/index/parts.h"
#include "ui/footage/trace_queue.h"
#include "ui/model/file_paths.h"

#include <QFileInfo>
#include <QStandardPaths>
#include <algorithm>
#include <chrono>
#include <map>

namespace ui {
namespace {

using Clock = std::chrono::steady_clock;
constexpr auto progressInterval = std::chrono::milliseconds(50);

std::vector<std::filesystem::path> partsOf(const QString& path, const FootageSource& source)
{
    std::vector<std::filesystem::path> parts{toPath(path)};
    for (const QString& further : source.furtherParts)
        parts.push_back(toPath(further));
    return parts;
}

QString wrongSentence(const QString& path, const std::vector<timing::FrameNumber>& frames)
{
    const QString name = QFileInfo(path).fileName();
    return frames.size() == 1
               ? FootagePool::tr(
                     "Frame %1 of %2 was shown wrong until all of it was decoded; look at marks there again.")
                     .arg(frames.front().value)
                     .arg(name)
               : FootagePool::tr("%1 frames of %2, frame %3 first, were shown wrong until all of it was decoded; look "
                                 "at marks there again.")
                     .arg(frames.size())
                     .arg(name)
                     .arg(frames.front().value);
}

} // namespace

class FootagePool::Impl {
public:
    struct Entry {
        FootageSource source;
        quint64 serial = 0; ///< tells what comes late from an entry that is gone from what belongs to this one
        State state = State::Unknown;
        double progress = 0;
        QString fault;
        std::shared_ptr<const media::Footage> footage;
        Proof proof = Proof::None;
        double proven = 0;
        std::vector<timing::FrameNumber>
            wanted; ///< the latest request, to be made anew when frames change their numbers
        int direction = 0;
        media::FrameService::Detail detail = media::FrameService::Detail::Native;
        media::Reduction reduction;
        media::FrameService::Handle handle = 0;
        std::stop_source indexing{std::nostopstate};
        std::stop_source hashing{std::nostopstate};
        bool isHashing = false;
    };

    Impl(FootagePool& pool, std::size_t cacheBytes)
        : m_pool(pool), m_cacheBytes(cacheBytes),
          m_service(cacheBytes, [this](const media::FrameService::Delivery& delivery) {
              later([this, delivery] { delivered(delivery); });
          })
    {
        connect(&m_traces, &TraceQueue::grew, &pool, &FootagePool::traceGrew);
        connect(&m_traces, &TraceQueue::picturesSeen, &pool, &FootagePool::picturesSeen);
        connect(&m_traces, &TraceQueue::confirming, &pool, [this](const QString& path, double share) {
            m_entries[path].proven = share;
            emit m_pool.progressChanged(path);
        });
        connect(&m_traces, &TraceQueue::confirmed, &pool,
                [this](const QString& path, const auto& confirmation, const auto& pictures) {
                    confirmed(path, confirmation, pictures);
                });
        connect(&m_traces, &TraceQueue::confirmFailed, &pool, [this](const QString& path, const QString& sentence) {
            Entry& entry = m_entries[path];
            entry.proof = Proof::Failed;
            entry.fault = sentence;
            emit m_pool.stateChanged(path);
        });
    }

    const Entry* find(const QString& path) const
    {
        const auto entry = m_entries.find(path);
        return entry == m_entries.end() ? nullptr : &entry->second;
    }

    void open(const QString& path, const FootageSource& source);
    void close(const QString& path, bool tell);
    void closeAll();
    void checksum(const QString& path);
    media::KeptPicture shown(const QString& path, timing::FrameNumber n) const;
    void setReduction(const QString& path, const media::Reduction& how);
    void want(const QString& path, const std::vector<timing::FrameNumber>& frames, int direction,
              media::FrameService::Detail detail);

    FootagePool& m_pool;
    std::size_t m_cacheBytes;
    QString m_indexFolder;
    std::map<QString, Entry> m_entries;
    media::FrameService m_service;
    TraceQueue m_traces{m_service};

private:
    /// To be called from workers: `call` runs on the window's thread, or never when the pool goes before.
    template <class Call> void later(Call call)
    {
        QMetaObject::invokeMethod(&m_pool, std::move(call), Qt::QueuedConnection);
    }
    /// As later(), and not when the entry was closed or opened anew meanwhile. Call: void(Entry&).
    template <class Call> void laterFor(const QString& path, quint64 serial, Call call)
    {
        later([this, path, serial, call = std::move(call)] {
            const auto entry = m_entries.find(path);
            if (entry != m_entries.end() && entry->second.serial == serial)
                call(entry->second);
        });
    }

    void index(const QString& path, quint64 serial, const std::vector<std::filesystem::path>& parts,
               const media::OpenOptions& options, const std::stop_token& stop);
    void ready(const QString& path, Entry& entry, std::shared_ptr<const media::Footage> footage);
    void confirmed(const QString& path, const media::Confirmation& confirmation,
                   const media::FrameService::Compared& pictures);
    void tellNotKept(const media::Footage& footage);
    void delivered(const media::FrameService::Delivery& delivery);

    std::map<media::FrameService::Handle, QString> m_paths;
    media::FrameService::Delivery m_delivery; ///< while it is told of: the cache may have dropped it again
    QString m_inView;                         ///< asked for last
    quint64 m_serial = 0;
    bool m_toldNotKept = false;
    BackgroundLane m_openLane{5};  // a wanted frame goes first
    BackgroundLane m_hashLane{15}; // last: their threads end before the rest goes
};

void FootagePool::Impl::open(const QString& path, const FootageSource& source)
{
    if (const Entry* known = find(path); known && known->source != source)
        close(path, false);
    Entry& entry = m_entries[path];
    if (entry.state != State::Unknown && entry.state != State::Failed)
        return;
    entry.source = source;
    if (entry.serial == 0)
        entry.serial = ++m_serial;
    entry.state = State::Waiting;
    entry.progress = 0;
    entry.fault.clear();
    entry.indexing = m_openLane.add(
        [this, path, serial = entry.serial, source, folder = toPath(m_indexFolder)](const std::stop_token& stop) {
            index(path, serial, partsOf(path, source), {source.stream, folder}, stop);
        });
    emit m_pool.stateChanged(path);
}

/// On the opening lane's thread.
void FootagePool::Impl::index(const QString& path, quint64 serial, const std::vector<std::filesystem::path>& parts,
                              const media::OpenOptions& options, const std::stop_token& stop)
{
    if (stop.stop_requested())
        return;
    laterFor(path, serial, [this, path](Entry& entry) {
        entry.state = State::Indexing;
        emit m_pool.stateChanged(path);
    });
    Clock::time_point told{};
    const media::Progress progress = [&](std::int64_t done, std::int64_t total) {
        if (total <= 0 || Clock::now() - told < progressInterval)
            return;
        told = Clock::now();
        const double share = std::clamp(double(done) / double(total), 0.0, 1.0);
        laterFor(path, serial, [this, path, share](Entry& entry) {
            entry.progress = share;
            emit m_pool.progressChanged(path);
        });
    };
    try {
        auto footage = media::scanParts(parts, stop, progress, options);
        laterFor(path, serial,
                 [this, path, footage = std::move(footage)](Entry& entry) { ready(path, entry, footage); });
    } catch (const core::Cancelled&) {
        // Whoever stopped it has changed the state already.
    } catch (const std::exception& error) {
        laterFor(path, serial, [this, path, sentence = QString::fromUtf8(error.what())](Entry& entry) {
            entry.state = State::Failed;
            entry.fault = sentence;
            emit m_pool.stateChanged(path);
        });
    }
}

void FootagePool::Impl::ready(const QString& path, Entry& entry, std::shared_ptr<const media::Footage> footage)
{
    entry.state = State::Ready;
    entry.progress = 1;
    entry.fault = QString::fromStdString(footage->fault.value_or(std::string()));
    entry.handle = m_service.add(footage);
    entry.footage = std::move(footage);
    entry.proof = entry.footage->confirmed ? Proof::Done : Proof::UnderWay;
    entry.proven = 0;
    m_paths[entry.handle] = path;
    if (entry.proof == Proof::UnderWay)
        m_traces.confirm(path, entry.footage, entry.handle, toPath(m_indexFolder));
    const std::shared_ptr<const media::Footage> opened = entry.footage;
    emit m_pool.stateChanged(path);
    tellNotKept(*opened);
}

void FootagePool::Impl::confirmed(const QString& path, const media::Confirmation& confirmation,
                                  const media::FrameService::Compared& pictures)
{
    Entry& entry = m_entries[path];
    m_paths.erase(entry.handle);
    entry.footage = confirmation.footage;
    entry.handle = m_service.replace(entry.handle, entry.footage, pictures);
    m_paths[entry.handle] = path;
    entry.proof = Proof::Done;
    entry.fault = QString::fromStdString(entry.footage->fault.value_or(std::string()));
    std::vector<timing::FrameNumber> wanted;
    for (const timing::FrameNumber n : entry.wanted)
        if (const auto now = confirmation.now(n))
            wanted.push_back(*now);
    entry.wanted = wanted;
    if (path == m_inView) // its requests went with the scanned footage
        m_service.want(entry.handle, std::move(wanted), entry.direction, entry.detail);
    emit m_pool.confirmed(path, confirmation);
    emit m_pool.stateChanged(path);
    if (!pictures.wrong.empty())
        emit m_pool.shownWrong(path, wrongSentence(path, pictures.wrong));
    tellNotKept(*confirmation.footage);
}

void FootagePool::Impl::tellNotKept(const media::Footage& footage)
{
    if (footage.cacheFault && !std::exchange(m_toldNotKept, true))
        emit m_pool.indexNotKept(QString::fromStdString(*footage.cacheFault));
}

void FootagePool::Impl::close(const QString& path, bool tell)
{
    const auto place = m_entries.find(path);
    if (place == m_entries.end())
        return;
    Entry& entry = place->second;
    entry.indexing.request_stop();
    entry.hashing.request_stop();
    m_traces.forget(path);
    if (entry.state == State::Ready) {
        m_service.remove(entry.handle);
        m_paths.erase(entry.handle);
    }
    m_entries.erase(place);
    if (tell)
        emit m_pool.stateChanged(path);
}

void FootagePool::Impl::closeAll()
{
    while (!m_entries.empty()) {
        const QString path = m_entries.begin()->first;
        close(path, true);
    }
}

void FootagePool::Impl::checksum(const QString& path)
{
    Entry& entry = m_entries[path];
    if (entry.serial == 0)
        entry.serial = ++m_serial;
    if (std::exchange(entry.isHashing, true))
        return;
    entry.hashing =
        m_hashLane.add([this, path, serial = entry.serial, source = entry.source](const std::stop_token& stop) {
            try {
                const std::string sha256 = media::partsSha256(partsOf(path, source), stop);
                laterFor(path, serial, [this, path, sha256](Entry& hashed) {
                    hashed.isHashing = false;
                    emit m_pool.checksumReady(path, QString::fromStdString(sha256));
                });
            } catch (const core::Cancelled&) {
                // Its entry is gone.
            } catch (const std::exception& error) {
                laterFor(path, serial, [this, path, sentence = QString::fromUtf8(error.what())](Entry& hashed) {
                    hashed.isHashing = false;
                    emit m_pool.checksumFailed(path, sentence);
                });
            }
        });
}

media::KeptPicture FootagePool::Impl::shown(const QString& path, timing::FrameNumber n) const
{
    const Entry* entry = find(path);
    if (!entry || entry->state != State::Ready || n.value < 0 || n.value >= entry->footage->frameCount().value)
        return {};
    if (m_delivery.picture && m_delivery.handle == entry->handle && m_delivery.frame == n)
        return m_delivery.picture;
    return m_service.cached(entry->handle, n);
}

void FootagePool::Impl::setReduction(const QString& path, const media::Reduction& how)
{
    const auto place = m_entries.find(path);
    if (place == m_entries.end() || place->second.state != State::Ready || place->second.reduction == how)
        return;
    place->second.reduction = how;
    m_service.setReduction(place->second.handle, how);
}

void FootagePool::Impl::delivered(const media::FrameService::Delivery& delivery)
{
    const auto place = m_paths.find(delivery.handle);
    if (place == m_paths.end())
        return; // closed while this was on its way
    const QString path = place->second;
    if (!delivery.doubt.empty()) {
        emit m_pool.shownWrong(path, QString::fromStdString(delivery.doubt));
        return;
    }
    if (!delivery.picture) {
        emit m_pool.pictureFailed(path, delivery.frame.value, QString::fromStdString(delivery.fault));
        return;
    }
    m_delivery = delivery;
    emit m_pool.pictureReady(path, delivery.frame.value);
    m_delivery = {};
}

FootagePool::FootagePool(QObject* parent, std::size_t cacheBytes)
    : QObject(parent), m_impl(std::make_unique<Impl>(*this, cacheBytes))
{}

FootagePool::~FootagePool() = default;

void FootagePool::setIndexFolder(const QString& folder) { m_impl->m_indexFolder = folder; }

QString FootagePool::standardIndexFolder()
{
    return QStandardPaths::writableLocation(QStandardPaths::CacheLocation) + QStringLiteral("/indexes");
}

void FootagePool::open(const QString& path, const FootageSource& source) { m_impl->open(path, source); }

void FootagePool::cancel(const QString& path)
{
    const State now = state(path);
    if (now == State::Waiting || now == State::Indexing)
        m_impl->close(path, true);
}

void FootagePool::close(const QString& path) { m_impl->close(path, true); }

void FootagePool::closeAll() { m_impl->closeAll(); }

FootagePool::State FootagePool::state(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return entry ? entry->state : State::Unknown;
}

double FootagePool::progress(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return entry ? entry->progress : 0;
}

QString FootagePool::fault(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return entry ? entry->fault : QString();
}

FootagePool::Proof FootagePool::proof(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return entry ? entry->proof : Proof::None;
}

double FootagePool::proven(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return !entry || entry->proof == Proof::None ? 0 : entry->proof == Proof::Done ? 1 : entry->proven;
}

std::shared_ptr<const media::Footage> FootagePool::footage(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return entry ? entry->footage : nullptr;
}

media::Picture FootagePool::picture(const QString& path, timing::FrameNumber n) const
{
    return m_impl->shown(path, n).native();
}

media::KeptPicture FootagePool::shown(const QString& path, timing::FrameNumber n) const
{
    return m_impl->shown(path, n);
}

void FootagePool::setReduction(const QString& path, const media::Reduction& how) { m_impl->setReduction(path, how); }

media::FrameService& FootagePool::service() { return m_impl->m_service; }

media::FrameService::Handle FootagePool::handle(const QString& path) const
{
    const auto* entry = m_impl->find(path);
    return entry ? entry->handle : 0;
}

void FootagePool::setCacheBytes(std::size_t bytes)
{
    m_impl->m_cacheBytes = bytes;
    m_impl->m_service.setBudget(bytes);
}

std::size_t FootagePool::cacheBytes() const { return m_impl->m_cacheBytes; }

void FootagePool::want(const QString& path, const std::vector<timing::FrameNumber>& frames, int direction,
                       media::FrameService::Detail detail)
{
    m_impl->want(path, frames, direction, detail);
}

void FootagePool::Impl::want(const QString& path, const std::vector<timing::FrameNumber>& frames, int direction,
                             media::FrameService::Detail detail)
{
    const auto place = m_entries.find(path);
    if (place == m_entries.end() || place->second.state != State::Ready)
        return;
    Entry& entry = place->second;
    std::vector<timing::FrameNumber> inside;
    for (const timing::FrameNumber n : frames)
        if (n.value >= 0 && n.value < entry.footage->frameCount().value)
            inside.push_back(n);
    m_inView = path;
    m_traces.setInView(path);
    entry.wanted = inside;
    entry.direction = direction;
    entry.detail = detail;
    m_service.want(entry.handle, std::move(inside), direction, detail);
}

std::shared_ptr<const media::Trace> FootagePool::trace(const QString& path, const media::Rect& region)
{
    const auto* entry = m_impl->find(path);
    if (!entry || entry->state != State::Ready)
        return nullptr;
    return m_impl->m_traces.trace(path, entry->footage, region);
}

QString FootagePool::traceFault(const QString& path, const media::Rect& region) const
{
    return m_impl->m_traces.fault(path, region);
}

void FootagePool::checksum(const QString& path) { m_impl->checksum(path); }

} // namespace ui
