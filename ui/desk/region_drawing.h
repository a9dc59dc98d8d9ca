#pragma once
#include <QObject>
#include "core/media/picture/picture.h"
#include "ui/desk/desk_state.h"
#include "ui/footage/frame_view.h"

namespace ui {

/// Drawing lamp and screen region in the frame, and carrying them to captures that have none.
class RegionDrawing : public QObject {
    Q_OBJECT
public:
    RegionDrawing(SessionModel& model, DeskState& state, FrameView& view, QObject* parent = nullptr);

    void draw(session::RegionKind kind);        ///< the one in use is drawn anew, or the first one
    void drawAnother(session::RegionKind kind); ///< one more of its kind
    void remove(session::RegionKind kind);      ///< the one in use
    void showRegions();

signals:
    void cue(const QString& sentence);

private:
    void drawn(session::RegionKind kind, const media::Rect& rect);

    SessionModel& m_model;
    DeskState& m_state;
    FrameView& m_view;
    session::RegionId m_replaced; ///< 0: a new one
};

/// One edit: the region in its capture, and where it is the first of its kind there, the same in every capture of the
/// same picture size that has none. Region number 0 is a new one. Throws core::Error (Refused).
session::Edit drawRegion(const session::Document& document, session::CaptureId capture, session::Region region);

} // namespace ui
