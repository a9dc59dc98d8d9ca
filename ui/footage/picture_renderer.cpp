#include "ui/footage/picture_renderer.h"

#include "ui/footage/picture_geometry.h"

#include <QPainter>
#include <algorithm>
#include <cmath>

namespace ui {
namespace {

/// 32 bits a pixel: what painting wants, so that no paint event converts.
QImage toImage(const media::RgbImage& rgb)
{
    return QImage(rgb.pixels.data(), rgb.width, rgb.height, 3 * rgb.width, QImage::Format_RGB888)
        .convertToFormat(QImage::Format_RGB32);
}

media::Rect overlap(const media::Rect& a, const media::Rect& b)
{
    const int left = std::max(a.x, b.x), top = std::max(a.y, b.y);
    return {left, top, std::max(0, std::min(a.x + a.width, b.x + b.width) - left),
            std::max(0, std::min(a.y + a.height, b.y + b.height) - top)};
}

} // namespace

RenderResult PictureRenderer::render(const RenderRequest& request)
{
    RenderResult result;
    result.view = request.view;
    result.frame = request.frame;
    result.tag = request.tag;
    result.own = request.own;
    try {
        result.image = toImage(request.picture.render(request.view));
        if (request.measured)
            result.levels = request.picture.measure(*request.measured);
        if (request.change)
            drawChange(request, result);
    } catch (const std::exception& error) {
        result.fault = QString::fromUtf8(error.what());
    }
    return result;
}

/// As fine as the screen shows it: far from it most of a large region's work would be for nothing.
void PictureRenderer::drawChange(const RenderRequest& request, RenderResult& result)
{
    const media::View& view = request.view;
    const media::Rect part = overlap(view.source, request.change->region);
    const double scaleX = double(view.target.width) / view.source.width;
    const double scaleY = double(view.target.height) / view.source.height;
    if (part.width == 0 || part.height == 0)
        return;
    const int factor = std::clamp(int(std::floor(1 / std::max(scaleX, scaleY) + 1e-6)), 1, 8);
    result.change = m_changes.measure(request.change->before, request.picture.native(), request.change->region,
                                      {part, factor, request.change->gain});
    if (!result.change)
        return;
    const auto place = [](int at, double scale) { return int(std::lround(at * scale)); };
    const int left = place(part.x - view.source.x, scaleX), top = place(part.y - view.source.y, scaleY);
    const int right = std::max(left + 1, place(part.x + part.width - view.source.x, scaleX));
    const int bottom = std::max(top + 1, place(part.y + part.height - view.source.y, scaleY));
    const media::Rect shown{left, top, right - left, bottom - top};
    const media::Rect turned = PictureGeometry(view.target, view.rotation, 1).toTurned(shown);
    QPainter(&result.image)
        .drawImage(
            turned.x, turned.y,
            toImage(media::fitted(result.change->image, {shown.width, shown.height}, view.rotation, view.smooth)));
    result.change->image = {};
}

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
