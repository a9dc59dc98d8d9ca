#pragma once
#include <QPixmap>
#include <QWidget>
#include "core/media/measure/trace.h"
#include "core/session/capture.h"
#include "ui/footage/stairs.h"
#include "ui/look/shapes.h"
#include <memory>
#include <optional>

namespace ui {

/// Lamp: press, screen: response; hollow where nothing is marked.
Shape markShape(session::RegionKind kind, bool marked);

/// A frame that counts in the trial at hand.
struct TraceMark {
    session::RegionKind kind = session::RegionKind::Lamp; ///< lamp: press, screen: response
    qint64 frame = 0;
    bool marked = true; ///< false: a hint, drawn hollow and dashed
    QString words;      ///< what stands beside it; empty: "press 9412", or "press" while reading blind
};

/// A trial's place in the whole capture.
struct TraceTrial {
    QString number;
    qint64 frame = 0; ///< of its press
    bool atHand = false;
};

/// Brightness of the lamp and the screen region for every frame as stairs, and under each as bars how much it changed
/// since the frame before: a frame is a column, nothing is interpolated. Above, the whole capture; below, the frames
/// around the one in view on one shared axis.
class TraceView : public QWidget {
    Q_OBJECT
public:
    using TracePtr = std::shared_ptr<const media::Trace>;

    explicit TraceView(QWidget* parent = nullptr);

    void setFrameCount(qint64 frames); ///< another capture: forgets traces, marks and trials; 0: none
    /// A prefix each; null where there is no region. May grow from call to call.
    void setTraces(TracePtr lamp, TracePtr screen);
    /// Levels of the screen region from frame `reference` on, compared with it: a line over the bars. Null: none.
    void setSinceReference(const TracePtr& levels, qint64 reference);
    void setFault(const QString& sentence); ///< why a trace ended early
    void setFrame(qint64 frame);            ///< in view
    void setMarks(const QVector<TraceMark>& marks);
    void setTrials(const QVector<TraceTrial>& trials);
    void setDistanceShown(bool shown); ///< frames from press to response; not unless asked for
    /// Blind reading: no frame numbers, no trials, traces only up to this frame. Empty: everything.
    void setBlind(std::optional<qint64> seenUpTo);

    qint64 firstShown() const { return m_from; }
    qint64 framesShown() const { return m_span; }
    QSize sizeHint() const override { return {700, 220}; }
    QSize minimumSizeHint() const override { return {320, 150}; }

public slots:
    void showMore(); ///< frames around the one in view
    void showFewer();

signals:
    void frameChosen(qint64 frame); ///< by click or drag

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void wheelEvent(QWheelEvent*) override;
    void changeEvent(QEvent*) override;

private:
    struct Lane {
        TracePtr trace;
        double low = 0, high = 255; ///< what the height of the stairs stands for
        LevelScale change;          ///< of the bars, its rows left open
    };
    enum class Drag { None, Overview, Plot };

    static constexpr int axisHeight = 26;
    QRect overview() const;
    QRect plot(session::RegionKind) const;
    QRect plots() const;                      ///< both and what lies between
    static int barsHeight(const QRect& plot); ///< at its bottom; 0: too low for them
    int marksRow() const;
    double column() const; ///< width of a frame
    double xOf(double frame) const;
    qint64 known(const Lane&) const;
    qint64 frameAt(Drag where, double x) const;
    void keepInView(qint64 before);
    void changeSpan(int steps, double about);
    void setLane(Lane& lane, TracePtr trace);

    void paintOverview(QPainter&);
    void paintLane(QPainter&, session::RegionKind) const;
    void paintSinceReference(QPainter&) const;
    void paintLegend(QPainter&, session::RegionKind) const;
    void paintMarks(QPainter&) const;
    void paintDistance(QPainter&, const QVector<QRect>& words) const;
    void paintAxis(QPainter&) const;
    void paintCursor(QPainter&) const;
    QRect cursorNumber() const; ///< room of the frame in view's number on the axis

    qint64 m_frames = 0, m_frame = 0;
    qint64 m_from = 0, m_span = 72;
    Lane m_lamp, m_screen;
    media::Trace m_sinceReference; ///< `mean` is the change
    qint64 m_reference = 0;
    QString m_fault;
    QVector<TraceMark> m_marks;
    QVector<TraceTrial> m_trials;
    std::optional<qint64> m_seenUpTo;
    bool m_distanceShown = false;
    Drag m_drag = Drag::None;
    int m_wheel = 0;
    int m_labelsWide, m_labelsNarrow; ///< px, as the words of the language take
    QPixmap m_overview;               ///< the stairs of the whole capture, painted once; null: to be painted
};

} // namespace ui
