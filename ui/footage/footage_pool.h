#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QString>
#include <QStringList>
#include "ui/footage/pass_queue.h"
#include <deque>

namespace ui {

/// Opens footage in the background and has its pictures, traces and checksums. Footage is known by absolute path, one
/// KnownFootage each. All members are for the window's thread; nothing here blocks it. Footage is open as soon as its
/// packets are known; all of it is then decoded in the background, one capture after the other, the one in view first,
/// which ends with `confirmed`. Whether the session agrees with it isn't known here: who does makes it Viewable.
class FootagePool : public QObject {
    Q_OBJECT
public:
    /// `cacheBytes`: what decoded pictures may take.
    explicit FootagePool(QObject* parent = nullptr, std::size_t cacheBytes = std::size_t{1} << 30);
    ~FootagePool() override;

    /// Where indexes are kept, so that footage opens at once the next time; empty (the default): nowhere.
    void setIndexFolder(const QString& folder);
    static QString standardIndexFolder(); ///< in the user's cache

    /// Starts opening unless it is open or under way; what couldn't be opened, and what comes from another source, is
    /// opened anew. One after the other in the order given, but none waits long for another that takes its time.
    void open(const QString& path, const FootageSource& source = {});
    void openAnew(const QString& path, const FootageSource& source);
    /// Anew from its packets, whatever index was kept. Precondition: find(path).
    void scanAnew(const QString& path);
    void setInFront(const QString& path); ///< opened before others that wait
    bool isOpeningAny() const;            ///< some wait for their turn
    void close(const QString& path);      ///< stops whatever is under way, and forgets it
    void closeAll();

    /// Null for what isn't known; gone after close().
    KnownFootage* find(const QString& path) const;
    bool isOpen(const QString& path) const;
    QString fault(const QString& path) const; ///< KnownFootage::sentence; empty for what isn't known
    std::shared_ptr<const media::Footage> footage(const QString& path) const; ///< null unless open

    /// As decoded, from the cache; an empty picture when it isn't there yet. What is marked, kept or measured is this.
    media::Picture picture(const QString& path, timing::FrameNumber n) const;
    /// For the screen: what the cache has of it, reduced or not.
    media::CachedPicture shown(const QString& path, timing::FrameNumber n) const;
    /// How pictures far from the frame in view may be reduced.
    void setReduction(const QString& path, const media::Reduction& how);
    /// What decoded pictures may take, from now on.
    void setCacheBytes(std::size_t bytes);
    std::size_t cacheBytes() const;
    /// Asks for pictures, most wanted first; each arrives by `pictureReady`. Replaces the earlier request. The footage
    /// asked for last is the one in view: its traces go before others.
    void want(const QString& path, const std::vector<timing::FrameNumber>& frames, int direction,
              media::FrameService::Detail detail = media::FrameService::Detail::Native);

    /// Trace of a region as far as it is known (a prefix from frame 0); starts computing when it isn't.
    /// Null unless open. A snapshot: ask again after `traceGrew`.
    std::shared_ptr<const media::Trace> trace(const QString& path, const media::Rect& region);
    QString traceFault(const QString& path, const media::Rect& region) const; ///< one sentence when it ended early

    /// For passes of one's own over open footage. The handle holds until it is closed or confirmed.
    media::FrameService& service();
    media::FrameService::Handle handle(const QString& path) const;

    /// Starts the checksum in the background; arrives by `checksumReady`, or `checksumFailed` says why it can't be had.
    /// Once all of it was decoded little is left to be read. Precondition: find(path).
    void checksum(const QString& path);

signals:
    void stateChanged(const QString& path);    ///< opened, failed, confirmed, closed, or begun with
    void progressChanged(const QString& path); ///< of opening or decoding
    /// Decoding has come to the end: footage() is the confirmed one from now on, and where its frames are others than
    /// were scanned, `confirmation` says which is which. stateChanged follows.
    void confirmed(const QString& path, const media::Confirmation& confirmation);
    /// Whether its pictures repeat, as a pass that decoded all of it for another purpose found; after `confirmed`.
    void picturesSeen(const QString& path, const timing::PictureRepeats& found);
    void shownWrong(const QString& path,
                    const QString& sentence); ///< pictures of frames that had to be exchanged, or can't be relied on
    void pictureReady(const QString& path, qint64 frame);
    void pictureFailed(const QString& path, qint64 frame, const QString& sentence);
    void traceGrew(const QString& path);
    void checksumReady(const QString& path, const QString& sha256);
    void checksumFailed(const QString& path, const QString& sentence);
    void indexNotKept(const QString& sentence); ///< told once: the next file will find the same disk

private:
    KnownFootage* findOpen(const QString& path) const;
    /// To be called from workers: `call` runs on the window's thread, or never when the pool goes before.
    template <class Call> void later(Call call)
    {
        QMetaObject::invokeMethod(this, std::move(call), Qt::QueuedConnection);
    }
    /// As later(), and not when it was closed or opened anew meanwhile. Call: void(KnownFootage&).
    template <class Call> void laterFor(const QString& path, quint64 serial, Call call)
    {
        later([this, path, serial, call = std::move(call)] {
            if (KnownFootage* known = find(path); known && known->serial == serial)
                call(*known);
        });
    }
    /// By value: whoever hears it may close that footage, and its path with it.
    void tellState(QString path) { emit stateChanged(path); }
    void openAnew(KnownFootage& known, const FootageSource& source, bool passesOverIndex = false);
    void openNext();
    void begin(KnownFootage& known);
    void scan(const QString& path, quint64 serial, const std::vector<std::filesystem::path>& parts,
              const media::OpenOptions& options, const std::stop_token& stop);
    void scanned(KnownFootage& known, std::shared_ptr<const media::Footage> footage);
    void notScanned(KnownFootage& known, FootageState state, const QString& sentence);
    void takeConfirmed(KnownFootage& known, const media::Confirmation& confirmation,
                       const media::FrameService::Compared& pictures);
    void letGo(KnownFootage& known);
    void tellNotKept(const media::Footage& footage);
    void delivered(const media::FrameService::Delivery& delivery);

    static constexpr int mostAtATime = 8; ///< are opened; the others wait on slow disks
    std::size_t m_cacheBytes;
    QString m_indexFolder;
    PassQueue::Footages m_footages;
    std::deque<QString> m_toOpen; ///< wait for their turn
    media::FrameService m_service;
    PassQueue m_passes{m_service, m_footages};
    std::map<media::FrameService::Handle, QString> m_paths;
    media::FrameService::Delivery m_delivery; ///< while it is told of: the cache may have dropped it again
    QString m_inView;                         ///< asked for last
    quint64 m_serial = 0;
    bool m_toldNotKept = false;
    QTimer m_impatience;             ///< with the one that is being opened
    Worker m_opener{5, mostAtATime}; ///< a wanted frame goes first
    Worker m_hasher{15};             ///< last: their threads end before the rest goes
};

} // namespace ui
