#include "ui/footage/reference_trace.h"

#include "ui/footage/footage_pool.h"

namespace ui {

void ReferenceTrace::want(const Wish& wish)
{
    if (wish == m_wish)
        return;
    m_running.request_stop();
    m_wish = wish;
    m_known = std::make_shared<media::Trace>();
    if (!wish.footage || wish.footage != m_pool.footage(wish.path))
        return; // it is being exchanged, and will be wanted anew
    const auto take = [this](const media::Trace& levels) {
        m_known = std::make_shared<const media::Trace>(levels);
        emit grew();
    };
    m_running = m_worker.run(
        [this, wish, handle = m_pool.handle(wish.path), take](const std::stop_token& stop) {
            constexpr std::size_t handOnEvery = 24;
            media::Trace levels;
            media::RegionMeter meter({wish.region},
                                     {.previous = false, .references = {wish.reference}, .blocks = false});
            const auto add = [&](timing::FrameNumber n, const media::Picture& picture) {
                levels.push_back(meter.measure(n, picture).front());
                if (levels.size() % handOnEvery == 0)
                    QMetaObject::invokeMethod(
                        this,
                        [levels, take, stop] {
                            if (!stop.stop_requested()) // else something else is wanted by now
                                take(levels);
                        },
                        Qt::QueuedConnection);
            };
            m_pool.service().pass(handle, wish.reference, wish.count, add, stop);
            return levels;
        },
        take, [this](const QString& sentence) { emit failed(sentence); });
}

} // namespace ui
