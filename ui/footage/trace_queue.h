#pragma once
#include <QObject>
#include <QString>
#include "core/media/cache/frame_service.h"
#include "core/media/measure/trace.h"
#include "core/timing/picture_repeats.h"
#include "ui/footage/background_lane.h"
#include <map>
#include <memory>
#include <tuple>

namespace ui {

/// Passes over whole captures in the background, one after the other: what was scanned is confirmed, and regions are
/// traced, all that wait in one pass, the confirming one too. The capture in view goes before others: what is under way
/// for another is put off, keeping its traces as far as they are known. While a wanted frame is being decoded, passes
/// rest.
class TraceQueue : public QObject {
    Q_OBJECT
public:
    using TracePtr = std::shared_ptr<const media::Trace>;

    explicit TraceQueue(const media::FrameService& service);

    /// What is known so far, from frame 0; never null. Starts the pass when nothing is known yet.
    TracePtr trace(const QString& path, const std::shared_ptr<const media::Footage>& footage,
                   const media::Rect& region);
    QString fault(const QString& path, const media::Rect& region) const; ///< one sentence, empty when all is well
    /// Decodes scanned footage to its end. `handle`: whose cached pictures are compared with what that finds.
    void confirm(const QString& path, std::shared_ptr<const media::Footage> scanned, media::FrameService::Handle handle,
                 const std::filesystem::path& cacheFolder);
    void setInView(const QString& path);
    void forget(const QString& path);
    void forgetAll();

signals:
    void grew(const QString& path); ///< also when a pass ends or fails; at most some 12 times a second while it runs
    void confirming(const QString& path, double share); ///< 0..1
    void confirmed(const QString& path, const media::Confirmation& confirmation,
                   const media::FrameService::Compared& pictures);
    void confirmFailed(const QString& path, const QString& sentence);
    void picturesSeen(const QString& path,
                      const timing::PictureRepeats& found); ///< once a pass has come to its end, after `confirmed`

private:
    using Key = std::tuple<int, int, int, int>; ///< of a rectangle
    enum class Step { Waiting, Running, Done, Failed };
    struct RegionTrace {
        media::Rect region;
        media::Trace known;
        TracePtr snapshot; ///< copy of `known` that was handed out last
        Step step = Step::Waiting;
        QString fault;
    };
    struct Capture {
        std::shared_ptr<const media::Footage> footage;
        media::FrameService::Handle handle = 0;
        std::filesystem::path cacheFolder;
        std::optional<Step> confirming; ///< empty: nothing to confirm
        std::shared_ptr<media::ConfirmationDraft>
            draft; ///< of a confirming pass that was put off; its own while it runs
        std::shared_ptr<media::MovementMeter>
            movement;              ///< of the confirming pass: in all of the picture; its own while it runs
        bool picturesSeen = false; ///< and told of
        std::map<Key, RegionTrace> regions;
        quint64 asked = 0; ///< when a region was asked for last

        bool waits() const;
    };
    class Gathering;
    struct Running {
        QString path;
        quint64 pass = 0; ///< 0: none
        std::stop_source stop{std::nostopstate};
    };

    static Key keyOf(const media::Rect& r) { return {r.x, r.y, r.width, r.height}; }
    void scheduleSoon();
    void schedule();
    void begin(const QString& path);
    void beginConfirming(const QString& path, std::vector<media::Rect> regions);
    void beginTracing(const QString& path, std::vector<media::Rect> regions);
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
    std::map<QString, Capture> m_captures;
    QString m_inView;
    Running m_running;
    quint64 m_passes = 0, m_asked = 0;
    bool m_scheduled = false;
    BackgroundLane m_lane{5}; ///< last: its thread ends before the rest goes
};

} // namespace ui
