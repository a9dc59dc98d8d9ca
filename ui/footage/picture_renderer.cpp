#include "ui/footage/picture_renderer.h"

namespace ui {
namespace {

/// 32 bits a pixel: what painting wants, so that no paint event converts.
QImage toImage(const media::RgbImage& rgb)
{
    return QImage(rgb.pixels.data(), rgb.width, rgb.height, 3 * rgb.width, QImage::Format_RGB888)
        .convertToFormat(QImage::Format_RGB32);
}

RenderResult render(const RenderRequest& request)
{
    RenderResult result;
    result.view = request.view;
    result.frame = request.frame;
    result.tag = request.tag;
    try {
        result.image = toImage(request.picture.render(request.view));
        if (request.measured)
            result.levels = request.picture.measure(*request.measured);
    } catch (const std::exception& error) {
        result.fault = QString::fromUtf8(error.what());
    }
    return result;
}

} // namespace

void PictureRenderer::request(int slot, RenderRequest request)
{
    {
        const std::lock_guard lock(m_mutex);
        const bool waits = m_pending.contains(slot);
        m_pending[slot] = std::move(request);
        if (waits)
            return; // a job for the slot is on its way and takes this instead
    }
    m_worker.add([this](const std::stop_token&) { renderNext(); });
}

void PictureRenderer::drop(int slot)
{
    const std::lock_guard lock(m_mutex);
    m_pending.erase(slot);
}

void PictureRenderer::renderNext()
{
    std::unique_lock lock(m_mutex);
    if (m_pending.empty())
        return; // dropped meanwhile
    const auto next = m_pending.extract(m_pending.begin());
    lock.unlock();
    QMetaObject::invokeMethod(
        this, [this, slot = next.key(), result = render(next.mapped())] { m_done(slot, result); },
        Qt::QueuedConnection);
}

} // namespace ui
