#pragma once
#include <QObject>
#include <QString>
#include "core/media/measure/trace.h"
#include "ui/model/worker.h"
#include <memory>

namespace ui {

class FootagePool;

/// What changed in one region since one frame, over the frames after it: in the background, of that stretch alone, from
/// pictures that the pool's cache holds and from those that are missing there. For the trial at hand, with a frame just
/// before its press: what has moved since then stays changed.
class ReferenceTrace : public QObject {
    Q_OBJECT
public:
    /// `pool` must outlive it.
    explicit ReferenceTrace(FootagePool& pool) : m_pool(pool) {}

    struct Wish {
        QString path;                                  ///< Ready in the pool
        std::shared_ptr<const media::Footage> footage; ///< the pool's; null: nothing is wanted
        media::Rect region;
        timing::FrameNumber reference; ///< in the footage
        timing::FrameCount count;      ///< frames from the reference on, itself included; ends with the footage
        bool operator==(const Wish&) const = default;
    };

    void want(const Wish& wish); ///< replaces what was wanted; the same again changes nothing
    const Wish& wanted() const { return m_wish; }
    /// As far as it is known, element 0 being the reference frame; never null.
    std::shared_ptr<const media::Trace> known() const { return m_known; }

signals:
    void grew();
    void failed(const QString& sentence);

private:
    FootagePool& m_pool;
    Wish m_wish;
    std::shared_ptr<const media::Trace> m_known = std::make_shared<media::Trace>();
    std::stop_source m_running{std::nostopstate};
    Worker m_worker{8}; ///< last: its thread ends before the rest goes
};

} // namespace ui
