#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QString>
#include <QStringList>
#include "core/media/cache/frame_service.h"
#include "core/media/measure/trace.h"
#include "core/timing/picture_repeats.h"
#include <memory>
#include <optional>

namespace ui {

/// What belongs to a piece of footage beside its path.
struct FootageSource {
    QStringList furtherParts;  ///< absolute paths of the files that go on the recording, in order
    std::optional<int> stream; ///< which of its moving pictures; empty: the one it opens with
    bool operator==(const FootageSource&) const = default;
};

/// Everything the window knows of footage: opening in the background, pictures, traces, checksums. Captures are known
/// by absolute path. All members are for the UI thread; nothing here blocks it. Footage is Ready as soon as its packets
/// are known, with `footage()->confirmed` false until all of it has been decoded: that goes on in the background, one
/// capture after the other, the one in view first, and ends with `confirmed`.
class FootagePool : public QObject {
    Q_OBJECT
public:
    enum class State { Unknown, Waiting, Indexing, Ready, Failed };
    enum class Proof { None, UnderWay, Done, Failed }; ///< of the frames of Ready footage; None: not Ready

    /// `cacheBytes`: what decoded pictures may take.
    explicit FootagePool(QObject* parent = nullptr, std::size_t cacheBytes = std::size_t{1} << 30);
    ~FootagePool() override;

    /// Where indexes are kept, so that footage opens at once the next time; empty (the default): nowhere.
    void setIndexFolder(const QString& folder);
    static QString standardIndexFolder(); ///< in the user's cache

    /// Starts opening unless it is open or under way; from another source it is opened anew. Several go one after the
    /// other.
    void open(const QString& path, const FootageSource& source = {});
    void cancel(const QString& path); ///< stops opening; state becomes Unknown
    void close(const QString& path);  ///< forgets it
    void closeAll();

    State state(const QString& path) const;
    double progress(const QString& path) const; ///< 0..1 while opening
    QString fault(
        const QString& path) const; ///< one sentence when Failed, when the proof failed, or about damaged footage
    Proof proof(const QString& path) const;
    double proven(const QString& path) const; ///< 0..1, the share decoded while the proof is under way
    std::shared_ptr<const media::Footage> footage(const QString& path) const; ///< null unless Ready

    /// As decoded, from the cache; an empty picture when it isn't there yet. What is marked, kept or measured is this.
    media::Picture picture(const QString& path, timing::FrameNumber n) const;
    /// For the screen: what the cache has of it, reduced or not.
    media::KeptPicture shown(const QString& path, timing::FrameNumber n) const;
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
    /// Null unless Ready. A snapshot: ask again after `traceGrew`.
    std::shared_ptr<const media::Trace> trace(const QString& path, const media::Rect& region);
    QString traceFault(const QString& path, const media::Rect& region) const; ///< one sentence when it ended early

    /// For passes of one's own over Ready footage. The handle holds until it is closed or confirmed.
    media::FrameService& service();
    media::FrameService::Handle handle(const QString& path) const;

    /// Starts the checksum in the background; arrives by `checksumReady`, or `checksumFailed` says why it can't be had.
    void checksum(const QString& path);

signals:
    void stateChanged(const QString& path);
    void progressChanged(const QString& path); ///< of opening or of the proof
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
    class Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace ui
