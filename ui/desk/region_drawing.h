#pragma once
#include <QObject>
#include "core/reading/lamp_search.h"
#include "core/reading/region_edits.h"
#include "ui/desk/desk_state.h"
#include "ui/footage/footage_pool.h"
#include "ui/footage/frame_view.h"
#include "ui/model/worker.h"

namespace ui {

/// Drawing lamp and screen region in the frame, finding the lamp, and carrying regions to other captures.
class RegionDrawing : public QObject {
    Q_OBJECT
public:
    RegionDrawing(SessionModel& model, FootagePool& pool, DeskState& state, FrameView& view, QObject* parent = nullptr);

    void draw(session::RegionKind kind);        ///< the one in use is drawn anew, or the first one
    void drawAnother(session::RegionKind kind); ///< one more of its kind
    void remove(session::RegionKind kind);      ///< the one in use
    void rename(session::RegionKind kind);      ///< the one in use
    /// Looks for the lamp from the frame in view on and shows the region there, to be kept or not.
    void findLamp();
    /// Those of the capture on the desk. What came of it, in words; empty where why not was said already.
    QString copy(reading::CopyTo to, const std::set<session::CaptureId>& chosen = {});
    void showRegions();

signals:
    void cue(const QString& sentence);

private:
    bool mayChange();
    void lampFound(const std::optional<reading::FoundLamp>& lamp, session::CaptureId in, timing::FrameNumber from);
    void drawn(session::RegionKind kind, const media::Rect& rect);

    SessionModel& m_model;
    FootagePool& m_pool;
    DeskState& m_state;
    FrameView& m_view;
    session::RegionId m_replaced; ///< 0: a new one
    std::stop_source m_search{std::nostopstate};
    Worker m_worker; ///< last: its jobs end before anything above goes
};

} // namespace ui
