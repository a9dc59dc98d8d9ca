#include "ui/footage/region_editor.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

/// Rectangle between two points in any order, on whole pixels, inside the picture.
media::Rect between(QPointF a, QPointF b, media::Size picture)
{
    const auto along = [](double p, double q, int length) {
        const int low = std::clamp(int(std::floor(std::min(p, q))), 0, length - RegionEditor::smallest);
        const int high = std::clamp(int(std::ceil(std::max(p, q))), low + RegionEditor::smallest, length);
        return std::pair(low, high - low);
    };
    const auto [x, width] = along(a.x(), b.x(), picture.width);
    const auto [y, height] = along(a.y(), b.y(), picture.height);
    return {x, y, width, height};
}

media::Rect movedBy(const media::Rect& r, int dx, int dy, media::Size picture)
{
    return {std::clamp(r.x + dx, 0, picture.width - r.width), std::clamp(r.y + dy, 0, picture.height - r.height),
            r.width, r.height};
}

} // namespace

void RegionEditor::begin(session::RegionKind kind, const PictureGeometry& picture, std::optional<media::Rect> existing)
{
    const media::Size size = picture.turnedSize();
    m_armed = size.width >= smallest && size.height >= smallest;
    m_kind = kind;
    m_picture = picture;
    m_draft.reset();
    if (existing) {
        const media::Rect r = picture.toTurned(*existing);
        m_draft = between(QPointF(r.x, r.y), QPointF(r.x + r.width, r.y + r.height), size);
    }
    m_dragging = false;
}

void RegionEditor::end()
{
    m_armed = false;
    m_dragging = false;
    m_draft.reset();
}

std::optional<media::Rect> RegionEditor::draft() const
{
    return m_draft ? std::optional(m_picture.fromTurned(*m_draft)) : std::nullopt;
}

RegionEditor::Grip RegionEditor::gripAt(QPointF native, QSizeF reach) const
{
    if (!m_draft)
        return {};
    const QPointF p = m_picture.toTurned(native);
    const media::Rect& r = *m_draft;
    const double right = r.x + r.width, bottom = r.y + r.height;
    const bool nearX = p.x() >= r.x - reach.width() && p.x() <= right + reach.width();
    const bool nearY = p.y() >= r.y - reach.height() && p.y() <= bottom + reach.height();
    if (!nearX || !nearY)
        return {};
    Grip grip;
    // The nearer edge wins where a small region has both within reach.
    if (std::min(std::abs(p.x() - r.x), std::abs(p.x() - right)) <= reach.width())
        grip.edges |= std::abs(p.x() - r.x) < std::abs(p.x() - right) ? Left : Right;
    if (std::min(std::abs(p.y() - r.y), std::abs(p.y() - bottom)) <= reach.height())
        grip.edges |= std::abs(p.y() - r.y) < std::abs(p.y() - bottom) ? Top : Bottom;
    grip.inside = grip.edges == 0;
    return grip;
}

void RegionEditor::press(QPointF native, QSizeF reach)
{
    m_grip = gripAt(native, reach);
    m_before = m_draft;
    m_pressed = m_picture.toTurned(native);
    m_dragging = true;
}

void RegionEditor::dragTo(QPointF native)
{
    if (!m_dragging)
        return;
    const QPointF p = m_picture.toTurned(native);
    const media::Size picture = m_picture.turnedSize();
    if (m_grip.edges == 0 && !m_grip.inside) {
        m_draft = between(m_pressed, p, picture);
        return;
    }
    const int dx = int(std::lround(p.x() - m_pressed.x())), dy = int(std::lround(p.y() - m_pressed.y()));
    if (m_grip.inside) {
        m_draft = movedBy(*m_before, dx, dy, picture);
        return;
    }
    QPointF low(m_before->x, m_before->y), high(m_before->x + m_before->width, m_before->y + m_before->height);
    if (m_grip.edges & Left)
        low.rx() += dx;
    if (m_grip.edges & Right)
        high.rx() += dx;
    if (m_grip.edges & Top)
        low.ry() += dy;
    if (m_grip.edges & Bottom)
        high.ry() += dy;
    m_draft = between(low, high, picture);
}

bool RegionEditor::release()
{
    if (!std::exchange(m_dragging, false))
        return false;
    const bool fresh = m_grip.edges == 0 && !m_grip.inside;
    if (fresh && m_draft != m_before && m_draft && (m_draft->width <= smallest || m_draft->height <= smallest))
        m_draft = m_before; // a click whose hand shook
    return m_draft.has_value() && m_draft != m_before;
}

bool RegionEditor::makeDraft(QPointF middle)
{
    if (m_draft)
        return false;
    const media::Size size = m_picture.turnedSize();
    const QPointF p = m_picture.toTurned(middle);
    const QPointF half(std::max(smallest, size.width / 8) / 2.0, std::max(smallest, size.height / 8) / 2.0);
    m_draft = between(p - half, p + half, size);
    return true;
}

void RegionEditor::move(int dx, int dy, QPointF middle)
{
    if (!makeDraft(middle))
        m_draft = movedBy(*m_draft, dx, dy, m_picture.turnedSize());
}

void RegionEditor::resize(int dx, int dy, QPointF middle)
{
    if (makeDraft(middle))
        return;
    const media::Size size = m_picture.turnedSize();
    m_draft->width = std::clamp(m_draft->width + dx, smallest, size.width - m_draft->x);
    m_draft->height = std::clamp(m_draft->height + dy, smallest, size.height - m_draft->y);
}

} // namespace ui
