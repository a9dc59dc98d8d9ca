#pragma once
#include <QObject>
#include <QTimer>
#include "ui/desk/desk_state.h"
#include "ui/desk/evidence_pairs.h"
#include "core/reading/hints.h"
#include "ui/desk/captures.h"
#include "ui/footage/frame_reel.h"
#include "ui/footage/frame_view.h"
#include "ui/footage/reference_trace.h"
#include "ui/footage/trace_view.h"
#include "ui/model/worker.h"

namespace ui {

/// What the screen region of the frame in view is compared with.
enum class Comparison { None, FrameBefore, Press };

/// Keeps the frame, the pairs and the traces on what is in view: asks the pool for pictures and shows them as they
/// come.
class DeskViews : public QObject {
    Q_OBJECT
public:
    struct Views {
        FrameView& frame;
        FrameReel& reel;
        EvidencePairs& pairs;
        TraceView& traces;
    };
    DeskViews(SessionModel& model, FootagePool& pool, Captures& captures, DeskState& state, Views views,
              QObject* parent = nullptr);

    /// The frame in view is on the screen: a held key takes the next step only then, so that every frame is seen.
    bool caughtUp() const { return m_shown == m_state.frame().value; }
    /// Of the capture on the desk; empty until one is shown.
    std::optional<timing::FrameNumber> shownFrame() const;
    Comparison comparison() const { return m_comparison; }
    void setComparison(Comparison with);                                     ///< from the frame in view on
    bool busy() const { return m_views.frame.isDrawingRegion(); }            ///< the frame has to stay
    std::shared_ptr<const media::Footage> footage() const { return m_open; } ///< null while there are no pictures
    void setFlipped(std::optional<timing::FrameNumber> of); ///< the frame before `of` is in view only for comparison
    /// Of the capture on the desk, as far as its traces had come when they were looked for last.
    const std::vector<reading::HintPair>& hints() const { return m_hints; }
    /// Found in whole traces: no more will come.
    bool hintsComplete() const { return m_hintsComplete; }
    /// What the footage says against the marks of the trial at hand; empty while that is worked out.
    const QStringList& footageSlips() const { return m_slips; }

signals:
    void shown();  ///< the frame in view is on the screen
    void failed(); ///< the frame in view can't be shown; why stands in its place
    void hintsChanged();
    void footageSlipsChanged();
    void problem(const QString& sentence);

private:
    void captureChanged();
    void frameChanged();
    void showPicture();
    void showMessage(const session::Capture& capture, const Captures::Status& status);
    void ask();
    void reduceFarOnes();
    bool isWanting(const media::CachedPicture& picture);
    void give(const media::CachedPicture& picture, timing::FrameNumber n);
    /// With what frame `n` is compared; without a frame, words say why it isn't.
    struct Compared {
        std::optional<timing::FrameNumber> frame;
        QString words;
    };
    Compared comparedWith(timing::FrameNumber n) const;
    std::optional<FrameView::Against> against(timing::FrameNumber n);
    void compareAnew();
    media::Picture pictureBefore(timing::FrameNumber n);
    std::optional<media::Rect> hintedPart(const media::Rect& region) const;
    void showReel();
    void fillReel();
    void framesMoved(const QString& path, const media::Confirmation& confirmation);
    void pictureReady(const QString& path, qint64 frame);
    void pictureFailed(const QString& path, qint64 frame, const QString& sentence);
    TraceView::TracePtr traceOf(session::RegionKind kind) const; ///< null where there are no pictures, or no region
    void refreshTraces();
    void refreshMarks();
    void refreshSincePress();
    void findHintsNow();
    void findSlips();
    void showSeen();
    QString path() const; ///< of the capture on the desk; empty without one

    SessionModel& m_model;
    FootagePool& m_pool;
    Captures& m_captures;
    DeskState& m_state;
    Views m_views;
    std::shared_ptr<const media::Footage> m_open; ///< what the frame view shows
    session::CaptureId m_capture;
    qint64 m_shown = -1; ///< what stands on the screen
    qint64 m_given = -1; ///< to the frame view; shown in a moment
    bool m_givenNative = false;
    Comparison m_comparison = Comparison::None;
    struct {
        qint64 frame = -1;
        media::Picture picture; ///< kept: the cache keeps those near the frame in view only
        bool isUnshowable = false;
    } m_compared;                ///< the frame that others are compared with
    qint64 m_before = 0;         ///< the frame that was in view before
    qint64 m_way = 0;            ///< frames from there to the one in view: which way the analyst goes
    QTimer m_rest;               ///< runs while the analyst travels: until then a reduced picture will do
    std::int64_t m_seenUpTo = 0; ///< while blind: traces are drawn as far as the analyst has stepped
    session::TrialId m_seenIn;
    QTimer m_hintPause; ///< traces grow many times a second
    std::vector<reading::HintPair> m_hints;
    bool m_hintsComplete = false;
    std::int64_t m_hintsUpTo = 0; ///< frames of the lamp's trace that they were found in
    bool m_finding = false, m_findAgain = false;
    QStringList m_slips;
    std::stop_source m_slipsAsked;
    ReferenceTrace m_sincePress; ///< of the trial at hand
    Worker m_worker;             ///< last: its jobs end before anything above goes
};

} // namespace ui
