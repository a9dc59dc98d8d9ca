#pragma once
#include <QObject>
#include <QString>
#include <QTimer>
#include "core/timing/picture_repeats.h"
#include "ui/footage/known_footage.h"
#include "ui/model/worker.h"
#include <atomic>

namespace ui {

/// Passes over whole captures in the background, one after the other: what was scanned is confirmed, and regions are
/// traced, all that wait in one pass, the confirming one too. The capture in view goes before others: what is under way
/// for another is put off, keeping its traces as far as they are known. While a wanted frame is being decoded, passes
/// rest. One that comes to no frame any more, on a disk that doesn't answer, makes room for others and is begun again
/// after them.
class PassQueue : public QObject {
    Q_OBJECT
public:
    using TracePtr = std::shared_ptr<const media::Trace>;

    using Footages = std::map<QString, std::unique_ptr<KnownFootage>>; ///< by path
    /// Works on those that are open; both outlive this.
    PassQueue(const media::FrameService& service, const Footages& footages);

    /// What is known so far, from frame 0; never null. Starts the pass when nothing is known yet.
    TracePtr trace(KnownFootage& footage, const media::Rect& region);
    static QString fault(const KnownFootage& footage, const media::Rect& region); ///< one sentence; empty: all is well
    /// Decodes scanned footage to its end, and lets its checksum have the bytes.
    void confirm(KnownFootage& footage, const std::filesystem::path& cacheFolder);
    void setInView(const QString& path);
    void stop(const QString& path); ///< before it is closed

signals:
    void grew(const QString& path); ///< also when a pass ends or fails; at most some 12 times a second while it runs
    void confirming(const QString& path, double share); ///< 0..1
    void confirmed(const QString& path, const media::Confirmation& confirmation,
                   const media::FrameService::Compared& pictures);
    void confirmFailed(const QString& path, const QString& sentence);
    void picturesSeen(const QString& path,
                      const timing::PictureRepeats& found); ///< once a pass has come to its end, after `confirmed`

private:
    using Step = KnownFootage::Step;
    class Gathering;
    struct Pulse {
        std::atomic<bool> gaveFrame = true; ///< since it was looked at last
        std::atomic<bool> rests = false;    ///< lets wanted frames go first
    };
    struct Running {
        QString path;
        quint64 serial = 0; ///< of its footage
        quint64 pass = 0;   ///< 0: none
        std::shared_ptr<Pulse> pulse;
        std::stop_source stop{std::nostopstate};
    };

    static KnownFootage::RegionKey keyOf(const media::Rect& r) { return {r.x, r.y, r.width, r.height}; }
    void scheduleSoon();
    void schedule();
    void rest(Pulse& pulse, const std::stop_token& stop) const;
    void leaveStuck();
    static void beginAnew(KnownFootage& footage); ///< what its confirming pass gathers
    KnownFootage* find(const QString& path) const;
    void begin(KnownFootage& footage);
    void beginConfirming(const KnownFootage& footage, std::vector<media::Rect> regions);
    void beginTracing(const KnownFootage& footage, std::vector<media::Rect> regions);
    using Ending = std::function<void()>;
    void run(std::function<Ending(const std::stop_token&)> work);
    /// From a pass' thread: `call` runs on this object's.
    template <class Call> void later(Call call)
    {
        QMetaObject::invokeMethod(this, std::move(call), Qt::QueuedConnection);
    }
    void take(quint64 pass, std::int64_t first, const std::vector<media::Rect>& regions,
              const std::vector<media::Trace>& added);
    void endConfirming(quint64 pass, const media::Confirmation& confirmation,
                       const media::FrameService::Compared& pictures);
    void tellPictures(quint64 pass, const timing::PictureRepeats& found);
    void end(quint64 pass, Step step, const QString& fault);

    const media::FrameService& m_service;
    const Footages& m_footages;
    std::filesystem::path m_cacheFolder;
    QString m_inView;
    Running m_running;
    quint64 m_passes = 0, m_asked = 0;
    bool m_scheduled = false;
    QTimer m_watch;     ///< while a pass is under way
    Worker m_worker{5}; ///< last: its thread ends before the rest goes
};

} // namespace ui
