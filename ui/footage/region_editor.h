#pragma once
#include "core/session/capture.h"
#include "ui/footage/picture_geometry.h"
#include <optional>

namespace ui {

/// Drawing, moving and resizing one region, by pointer and by key, without pixels or widgets. Directions are those on
/// screen; what comes out is native. The draft never leaves the picture and keeps at least `smallest` pixels a side.
class RegionEditor {
public:
    static constexpr int smallest = 2;

    /// With `existing` it is changed, unless a new one is drawn beside it.
    void begin(session::RegionKind kind, const PictureGeometry& picture, std::optional<media::Rect> existing = {});
    void end();

    bool isArmed() const { return m_armed; }
    session::RegionKind kind() const { return m_kind; }
    std::optional<media::Rect> draft() const; ///< native

    /// What a press at a point would take hold of. `reach`: how near an edge counts, in turned pixels along each axis.
    enum Edge { Left = 1, Top = 2, Right = 4, Bottom = 8 };
    struct Grip {
        int edges = 0;       ///< sum of Edge
        bool inside = false; ///< the whole region
    };
    Grip gripAt(QPointF native, QSizeF reach) const;

    void press(QPointF native, QSizeF reach);
    void dragTo(QPointF native);
    /// The gesture's end. False when it gave no region: a mere click beside the draft, which stays as it was.
    bool release();
    bool isDragging() const { return m_dragging; }

    /// By key. Without a draft the first one makes one: an eighth of the picture, around `middle` (native).
    void move(int dx, int dy, QPointF middle);
    void resize(int dx, int dy, QPointF middle); ///< the right and bottom edge on screen

private:
    bool makeDraft(QPointF middle);

    bool m_armed = false;
    session::RegionKind m_kind = session::RegionKind::Lamp;
    PictureGeometry m_picture;
    std::optional<media::Rect> m_draft;  ///< turned, as everything below
    std::optional<media::Rect> m_before; ///< draft at the press
    QPointF m_pressed;
    Grip m_grip;
    bool m_dragging = false;
};

} // namespace ui
