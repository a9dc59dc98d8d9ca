#pragma once
#include <QObject>
#include <QString>
#include "core/media/trace.h"
#include "ui/footage/background_lane.h"
#include <map>
#include <memory>
#include <tuple>

namespace ui {

/// Computes traces in the background, all regions of a capture that wait in one pass. The capture in view goes before
/// others: what is under way for another is put off, keeping what is known of it.
class TraceQueue : public QObject {
    Q_OBJECT
public:
    using TracePtr = std::shared_ptr<const media::Trace>;

    TraceQueue();

    /// What is known so far, from frame 0; never null. Starts the pass when nothing is known yet.
    TracePtr trace(const QString& path, const std::shared_ptr<const media::Footage>& footage, const media::Rect& region);
    QString fault(const QString& path, const media::Rect& region) const; ///< one sentence, empty when all is well
    void setInView(const QString& path);
    void forget(const QString& path);
    void forgetAll();

signals:
    void grew(const QString& path); ///< also when a pass ends or fails; at most some 12 times a second while it runs

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
        std::map<Key, RegionTrace> regions;
        quint64 asked = 0; ///< when a region was asked for last
    };
    struct Running {
        QString path;
        quint64 pass = 0; ///< 0: none
        std::stop_source stop{std::nostopstate};
    };

    static Key keyOf(const media::Rect& r) { return {r.x, r.y, r.width, r.height}; }
    void scheduleSoon();
    void schedule();
    void begin(const QString& path);
    void take(quint64 pass, std::int64_t first, const std::vector<media::Rect>& regions, const std::vector<media::Trace>& added);
    void end(quint64 pass, Step step, const QString& fault);

    std::map<QString, Capture> m_captures;
    QString m_inView;
    Running m_running;
    quint64 m_passes = 0, m_asked = 0;
    bool m_scheduled = false;
    BackgroundLane m_lane{10}; ///< last: its thread ends before the rest goes
};

} // namespace ui
