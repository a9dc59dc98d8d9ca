#include "ui/footage/reference_trace.h"

#include "core/error.h"
#include "ui/footage/footage_pool.h"

namespace ui {

void ReferenceTrace::want(const Wish& wish)
{
    if (wish == m_wish)
        return;
    m_running.request_stop();
    m_wish = wish;
    m_known = std::make_shared<media::Trace>();
    const quint64 serial = ++m_serial;
    if (wish.footage
        && wish.footage == m_pool.footage(wish.path)) // else it is being exchanged, and will be wanted anew
        m_running = m_worker.add([this, wish, handle = m_pool.handle(wish.path), serial](const std::stop_token& stop) {
            measure(wish, handle, serial, stop);
        });
}

/// On the lane's thread.
void ReferenceTrace::measure(const Wish& wish, quint64 handle, quint64 serial, const std::stop_token& stop)
{
    constexpr std::size_t handOnEvery = 24;
    media::Trace levels;
    const auto handOn = [&] {
        QMetaObject::invokeMethod(
            this,
            [this, serial, known = std::make_shared<const media::Trace>(levels)] {
                if (serial != m_serial)
                    return;
                m_known = known;
                emit grew();
            },
            Qt::QueuedConnection);
    };
    try {
        media::RegionMeter meter({wish.region}, {.previous = false, .references = {wish.reference}, .blocks = false});
        const auto take = [&](timing::FrameNumber n, const media::Picture& picture) {
            levels.push_back(meter.measure(n, picture).front());
            if (levels.size() % handOnEvery == 0)
                handOn();
        };
        m_pool.service().pass(handle, wish.reference, wish.count, take, stop);
        handOn();
    } catch (const core::Cancelled&) {
        // Something else is wanted by now, or the footage is another.
    } catch (const std::exception& error) {
        QMetaObject::invokeMethod(
            this,
            [this, serial, sentence = QString::fromUtf8(error.what())] {
                if (serial == m_serial)
                    emit failed(sentence);
            },
            Qt::QueuedConnection);
    }
}

} // namespace ui
