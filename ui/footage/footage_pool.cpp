#include "ui/footage/footage_pool.h"

#include "core/error.h"
#include "core/media/index/parts.h"
#include "ui/model/file_paths.h"

#include <QFileInfo>
#include <QStandardPaths>
#include <algorithm>

namespace ui {
namespace {

using Clock = std::chrono::steady_clock;
constexpr auto progressInterval = std::chrono::milliseconds(50);
constexpr auto patience = std::chrono::milliseconds(400); // from then on others don't wait for one that is being opened

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
    return FootagePool::tr(
               "%n frame(s) of %1, frame %2 first, (was|were) shown wrong until all of it was decoded; look "
               "at marks there again.",
               nullptr, int(frames.size()))
        .arg(name)
        .arg(frames.front().value);
}

} // namespace

FootagePool::FootagePool(QObject* parent, std::size_t cacheBytes)
    : QObject(parent), m_cacheBytes(cacheBytes),
      m_service(cacheBytes, [this](const media::FrameService::Delivery& delivery) {
          later([this, delivery] { delivered(delivery); });
      })
{
    connect(&m_passes, &PassQueue::grew, this, &FootagePool::traceGrew);
    connect(&m_passes, &PassQueue::picturesSeen, this, &FootagePool::picturesSeen);
    connect(&m_passes, &PassQueue::confirming, this, [this](const QString& path, double share) {
        if (KnownFootage* known = findOpen(path)) {
            known->confirmedShare = share;
            emit progressChanged(path);
        }
    });
    connect(&m_passes, &PassQueue::confirmed, this,
            [this](const QString& path, const auto& confirmation, const auto& pictures) {
                takeConfirmed(*m_footages.at(path), confirmation, pictures);
            });
    connect(&m_passes, &PassQueue::confirmFailed, this, [this](const QString& path, const QString& sentence) {
        KnownFootage& known = *m_footages.at(path);
        known.isDecoding = false;
        known.sentence = known.decodingFault = sentence;
        emit stateChanged(path);
    });
    m_impatience.setSingleShot(true);
    m_impatience.setInterval(patience);
    connect(&m_impatience, &QTimer::timeout, this, &FootagePool::openNext);
}

FootagePool::~FootagePool() = default;

KnownFootage* FootagePool::find(const QString& path) const
{
    const auto known = m_footages.find(path);
    return known == m_footages.end() ? nullptr : known->second.get();
}

KnownFootage* FootagePool::findOpen(const QString& path) const
{
    KnownFootage* known = find(path);
    return known && known->isOpen() ? known : nullptr;
}

void FootagePool::open(const QString& path, const FootageSource& source)
{
    std::unique_ptr<KnownFootage>& known = m_footages[path];
    if (known) {
        const bool couldNotBeOpened = known->state() == FootageState::Absent || known->state() == FootageState::Failed;
        if (couldNotBeOpened || known->source != source)
            openAnew(*known, source);
        return;
    }
    known = std::make_unique<KnownFootage>(path, source, ++m_serial);
    m_toOpen.push_back(path);
    emit stateChanged(path);
    openNext();
}

void FootagePool::openAnew(KnownFootage& known, const FootageSource& source, bool passesOverIndex)
{
    letGo(known);
    known.openAnew(source, ++m_serial);
    known.passesOverIndex = passesOverIndex;
    m_toOpen.push_back(known.path);
    tellState(known.path);
    openNext();
}

void FootagePool::setInFront(const QString& path)
{
    if (std::erase(m_toOpen, path) == 0)
        return;
    begin(*m_footages.at(path)); // whatever else is being opened
}

/// One after the other, so that they don't take each other's time; those that take long are let be.
void FootagePool::openNext()
{
    int atWork = 0;
    bool isQuick = false; // so far
    for (const auto& [path, known] : m_footages)
        if (known->isOpening) {
            ++atWork;
            isQuick = isQuick || Clock::now() - known->openingSince < patience;
        }
    if (m_toOpen.empty() || atWork >= mostAtATime)
        return;
    if (isQuick) {
        if (!m_impatience.isActive())
            m_impatience.start();
        return;
    }
    const QString path = m_toOpen.front();
    m_toOpen.pop_front();
    begin(*m_footages.at(path));
}

void FootagePool::begin(KnownFootage& known)
{
    known.isOpening = true;
    known.openingSince = Clock::now();
    known.opening =
        m_opener.add([this, path = known.path, serial = known.serial, parts = partsOf(known.path, known.source),
                      stream = known.source.stream,
                      folder = toPath(known.passesOverIndex ? QString() : m_indexFolder)](const std::stop_token& stop) {
            scan(path, serial, parts, {stream, folder}, stop);
        });
    if (!m_toOpen.empty())
        m_impatience.start();
    tellState(known.path);
}

/// On a thread of the opener's.
void FootagePool::scan(const QString& path, quint64 serial, const std::vector<std::filesystem::path>& parts,
                       const media::OpenOptions& options, const std::stop_token& stop)
{
    if (stop.stop_requested())
        return;
    Clock::time_point told{};
    const media::Progress progress = [&](std::int64_t done, std::int64_t total) {
        if (total <= 0 || Clock::now() - told < progressInterval)
            return;
        told = Clock::now();
        const double share = std::clamp(double(done) / double(total), 0.0, 1.0);
        laterFor(path, serial, [this, path, share](KnownFootage& known) {
            known.progress = share;
            emit progressChanged(path);
        });
    };
    const auto failed = [&](FootageState state, const char* what) {
        laterFor(path, serial, [this, state, sentence = QString::fromUtf8(what)](KnownFootage& known) {
            notScanned(known, state, sentence);
        });
    };
    try {
        auto footage = media::scanParts(parts, stop, progress, options);
        laterFor(path, serial, [this, footage = std::move(footage)](KnownFootage& known) { scanned(known, footage); });
    } catch (const core::Cancelled&) {
        // Whoever stopped it has let it go already.
    } catch (const core::Error& error) {
        failed(error.kind() == core::ErrorKind::NotFound ? FootageState::Absent : FootageState::Failed, error.what());
    } catch (const std::exception& error) {
        failed(FootageState::Failed, error.what());
    }
}

void FootagePool::scanned(KnownFootage& known, std::shared_ptr<const media::Footage> footage)
{
    known.isOpening = false;
    known.progress = 1;
    known.become(FootageState::Scanned, QString::fromStdString(footage->fault.value_or(std::string())));
    known.handle = m_service.add(footage);
    known.footage = footage;
    known.isDecoding = !footage->confirmed;
    m_paths[known.handle] = known.path;
    if (known.isDecoding)
        m_passes.confirm(known, toPath(m_indexFolder));
    openNext();
    tellState(known.path);
    tellNotKept(*footage);
}

void FootagePool::notScanned(KnownFootage& known, FootageState state, const QString& sentence)
{
    known.isOpening = false;
    known.become(state, sentence);
    openNext();
    tellState(known.path);
}

void FootagePool::takeConfirmed(KnownFootage& known, const media::Confirmation& confirmation,
                                const media::FrameService::Compared& pictures)
{
    const QString path = known.path;
    m_paths.erase(known.handle);
    known.footage = confirmation.footage;
    known.handle = m_service.replace(known.handle, known.footage, pictures);
    m_paths[known.handle] = path;
    known.isDecoding = false;
    known.confirmedShare = 1;
    known.sentence = QString::fromStdString(known.footage->fault.value_or(std::string()));
    std::vector<timing::FrameNumber> wanted;
    for (const timing::FrameNumber n : known.wanted.frames)
        if (const auto now = confirmation.now(n))
            wanted.push_back(*now);
    known.wanted.frames = wanted;
    if (path == m_inView) // its requests went with the scanned footage
        m_service.want(known.handle, std::move(wanted), known.wanted.direction, known.wanted.detail);
    emit confirmed(path, confirmation);
    emit stateChanged(path);
    if (!pictures.wrong.empty())
        emit shownWrong(path, wrongSentence(path, pictures.wrong));
    tellNotKept(*confirmation.footage);
}

void FootagePool::tellNotKept(const media::Footage& footage)
{
    if (footage.cacheFault && !std::exchange(m_toldNotKept, true))
        emit indexNotKept(QString::fromStdString(*footage.cacheFault));
}

/// Ends whatever is under way for it.
void FootagePool::letGo(KnownFootage& known)
{
    std::erase(m_toOpen, known.path);
    known.opening.request_stop();
    known.hashing.request_stop();
    m_passes.stop(known.path);
    if (known.isOpen()) {
        m_service.remove(known.handle);
        m_paths.erase(known.handle);
    }
}

void FootagePool::close(const QString& path)
{
    KnownFootage* known = find(path);
    if (!known)
        return;
    letGo(*known);
    m_footages.erase(path);
    openNext();
    emit stateChanged(path);
}

void FootagePool::checksum(const QString& path)
{
    KnownFootage& known = *find(path);
    if (std::exchange(known.isHashing, true))
        return;
    // Until the confirming pass has come to its end it is its own.
    const bool hasPassed = known.isConfirmed() && known.passes.draft;
    const auto checksum = hasPassed ? known.passes.draft->checksum
                                    : std::make_shared<media::FootageChecksum>(partsOf(path, known.source));
    // Letting the footage go stops this, and then neither is called.
    known.hashing =
        m_hasher.run([checksum](const std::stop_token& stop) { return QString::fromStdString(checksum->finish(stop)); },
                     [this, path](const QString& sha256) {
                         find(path)->isHashing = false;
                         emit checksumReady(path, sha256);
                     },
                     [this, path](const QString& sentence) {
                         find(path)->isHashing = false;
                         emit checksumFailed(path, sentence);
                     });
}

media::CachedPicture FootagePool::shown(const QString& path, timing::FrameNumber n) const
{
    const KnownFootage* known = findOpen(path);
    if (!known || n.value < 0 || n.value >= known->footage->frameCount().value)
        return {};
    if (m_delivery.picture && m_delivery.handle == known->handle && m_delivery.frame == n)
        return m_delivery.picture;
    return m_service.cached(known->handle, n);
}

void FootagePool::delivered(const media::FrameService::Delivery& delivery)
{
    const auto place = m_paths.find(delivery.handle);
    if (place == m_paths.end())
        return; // closed while this was on its way
    const QString path = place->second;
    if (!delivery.doubt.empty()) {
        emit shownWrong(path, QString::fromStdString(delivery.doubt));
        return;
    }
    if (!delivery.picture) {
        emit pictureFailed(path, delivery.frame.value, QString::fromStdString(delivery.fault));
        return;
    }
    m_delivery = delivery;
    emit pictureReady(path, delivery.frame.value);
    m_delivery = {};
}

void FootagePool::setIndexFolder(const QString& folder) { m_indexFolder = folder; }

QString FootagePool::standardIndexFolder()
{
    return QStandardPaths::writableLocation(QStandardPaths::CacheLocation) + QStringLiteral("/indexes");
}

void FootagePool::openAnew(const QString& path, const FootageSource& source)
{
    if (KnownFootage* known = find(path))
        openAnew(*known, source);
    else
        open(path, source);
}

void FootagePool::scanAnew(const QString& path)
{
    KnownFootage& known = *find(path);
    openAnew(known, FootageSource(known.source), true);
}

bool FootagePool::isOpeningAny() const { return !m_toOpen.empty(); }

void FootagePool::closeAll()
{
    while (!m_footages.empty())
        close(QString(m_footages.begin()->first));
}

bool FootagePool::isOpen(const QString& path) const { return findOpen(path); }

QString FootagePool::fault(const QString& path) const
{
    const KnownFootage* known = find(path);
    return known ? known->sentence : QString();
}

std::shared_ptr<const media::Footage> FootagePool::footage(const QString& path) const
{
    const KnownFootage* known = find(path);
    return known ? known->footage : nullptr;
}

media::Picture FootagePool::picture(const QString& path, timing::FrameNumber n) const
{
    return shown(path, n).native();
}

void FootagePool::setReduction(const QString& path, const media::Reduction& how)
{
    KnownFootage* known = findOpen(path);
    if (!known || known->reduction == how)
        return;
    known->reduction = how;
    m_service.setReduction(known->handle, how);
}

media::FrameService& FootagePool::service() { return m_service; }

media::FrameService::Handle FootagePool::handle(const QString& path) const
{
    const KnownFootage* known = find(path);
    return known ? known->handle : 0;
}

void FootagePool::setCacheBytes(std::size_t bytes)
{
    m_cacheBytes = bytes;
    m_service.setBudget(bytes);
}

std::size_t FootagePool::cacheBytes() const { return m_cacheBytes; }

void FootagePool::want(const QString& path, const std::vector<timing::FrameNumber>& frames, int direction,
                       media::FrameService::Detail detail)
{
    KnownFootage* known = findOpen(path);
    if (!known)
        return;
    std::vector<timing::FrameNumber> inside;
    for (const timing::FrameNumber n : frames)
        if (n.value >= 0 && n.value < known->footage->frameCount().value)
            inside.push_back(n);
    m_inView = path;
    m_passes.setInView(path);
    known->wanted = {inside, direction, detail};
    m_service.want(known->handle, std::move(inside), direction, detail);
}

std::shared_ptr<const media::Trace> FootagePool::trace(const QString& path, const media::Rect& region)
{
    KnownFootage* known = findOpen(path);
    return known ? m_passes.trace(*known, region) : nullptr;
}

QString FootagePool::traceFault(const QString& path, const media::Rect& region) const
{
    const KnownFootage* known = find(path);
    return known ? PassQueue::fault(*known, region) : QString();
}

} // namespace ui
