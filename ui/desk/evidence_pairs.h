#pragma once
#include <QWidget>
#include "ui/desk/desk_state.h"
#include "ui/desk/captures.h"
#include "ui/footage/pair_view.h"
#include "ui/model/worker.h"
#include <map>
#include <set>

namespace ui {

class Panel;

/// Lamp and screen, before and at: of the marks where they are set, else of the frame in view. Where the footage is
/// gone the crops kept with the marks stand in.
class EvidencePairs : public QWidget {
    Q_OBJECT
public:
    EvidencePairs(SessionModel& model, FootagePool& pool, Captures& captures, DeskState& state,
                  QWidget* parent = nullptr);

    void refresh();
    void setBrightness(double gain, double gamma); ///< the frame's
    /// The pair is flipped: it stays that of `frame` while the frame before is in view. Empty: not flipped.
    void setFlipped(std::optional<timing::FrameNumber> frame);
    void setUnshowable(const QString& path, timing::FrameNumber n); ///< its picture won't come
    /// Frames whose pictures the pairs show, beyond the one in view and the one before it.
    std::vector<timing::FrameNumber> frames() const;
    /// What of a picture they show, native.
    std::vector<media::Rect> shownRects() const;

private:
    struct Side {
        session::RegionKind kind;
        Panel* panel;
        PairView* view;
    };
    void refreshSide(const Side& side);
    PairView::Half half(timing::FrameNumber n, const QString& caption, const std::string& crop);
    QImage stored(const std::string& sha256); ///< null until it is read
    timing::FrameNumber inView() const;

    SessionModel& m_model;
    FootagePool& m_pool;
    Captures& m_captures;
    DeskState& m_state;
    Side m_lamp, m_screen;
    std::optional<timing::FrameNumber> m_flipped;
    std::set<std::pair<QString, timing::FrameNumber>> m_unshowable;
    std::map<std::string, QImage> m_crops; ///< read or being read (null image)
    Worker m_worker;
};

} // namespace ui
