#include "ui/footage/reference_trace.h"

#include "core/error.h"
#include "core/media/frame_reader.h"

#include <algorithm>

namespace ui {

void ReferenceTrace::want(const Wish& wish)
{
    if (wish == m_wish)
        return;
    m_running.request_stop();
    m_wish = wish;
    m_known = std::make_shared<media::Trace>();
    const quint64 serial = ++m_serial;
    if (wish.footage)
        m_running = m_lane.add([this, wish, serial](const std::stop_token& stop) { measure(wish, serial, stop); });
}

/// On the lane's thread.
void ReferenceTrace::measure(const Wish& wish, quint64 serial, const std::stop_token& stop)
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
        media::FrameReader reader(wish.footage);
        media::RegionMeter meter({wish.region}, {.previous = false, .references = {wish.reference}});
        const std::int64_t end = std::min(wish.reference.value + wish.count.value, wish.footage->frameCount().value);
        for (timing::FrameNumber n = wish.reference; n.value < end; ++n.value) {
            levels.push_back(meter.measure(n, reader.read(n, stop)).front());
            if (levels.size() % handOnEvery == 0)
                handOn();
        }
        handOn();
    } catch (const core::Cancelled&) {
        // Something else is wanted by now.
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
