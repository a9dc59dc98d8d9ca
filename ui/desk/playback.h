#pragma once
#include <QElapsedTimer>
#include <QObject>
#include <QTimer>
#include "ui/desk/desk_views.h"
#include <deque>

namespace ui {

/// How a playback rate is shown: pictures come at most 30 a second, so above that only every so-manieth frame is.
struct Pace {
    int stride = 1;      ///< frames from one picture to the next, >= 1
    double interval = 0; ///< seconds from one picture to the next
};
Pace paceOf(double rate); ///< frames a second, > 0

/// Moves the frame in view by itself: played forward or backward at a chosen rate, or while a key is held. A picture
/// that isn't there yet is waited for, so up to 30 frames a second every frame is shown; faster playback keeps to its
/// rate by passing over frames, and says so. Ends at the last frame, at a frame that can't be shown, when the frame in
/// view is moved by anything else, and when a region is being drawn.
class Playback : public QObject {
    Q_OBJECT
public:
    Playback(SessionModel& model, DeskState& state, DeskViews& views, QObject* parent = nullptr);

    void play(int direction); ///< +1, -1; stops when it plays that way already
    void travel(
        int direction); ///< a key is held, and repeats: 30 a second until it hasn't for a moment, or endTravel()
    void endTravel();
    void stop(); ///< the frame in view is the one whose picture is
    void slower() { stepRate(-1); }
    void faster() { stepRate(+1); }

    bool isPlaying() const { return m_direction != 0; }
    /// Frames a second that can be chosen for the capture on the desk; the last one is real time where its clock is
    /// settled.
    QVector<double> rates() const;
    double rate() const;
    QString sentence() const; ///< "Plays forward, 30 frames a second"; empty while nothing is played

signals:
    void sentenceChanged();
    void cue(const QString& sentence);

private:
    void begin(int direction, bool travels);
    void stepRate(int steps);
    void restartClock();
    void tick();
    void moved();
    void halt();
    timing::FrameNumber next(double now);
    std::optional<timing::FrameNumber> entryTowards(double due) const;
    std::optional<double> realTime() const;
    void measure(double now);
    void end(const QString& why);

    struct Seen {
        double at; ///< seconds
        qint64 frame;
    };

    SessionModel& m_model;
    DeskState& m_state;
    DeskViews& m_views;
    int m_direction = 0;    ///< 0: stands
    bool m_travels = false; ///< as long as a key is held
    double m_wanted =
        5; ///< rate asked for; a capture may not go as high. At first one that can't flash 3 times a second
    QTimer m_timer, m_held;
    QElapsedTimer m_clock;
    qint64 m_from = 0;       ///< frame at the clock's start
    double m_due = 0;        ///< of the next picture, seconds
    bool m_moves = false;    ///< the frame is being moved from here
    std::deque<Seen> m_seen; ///< pictures of the last moment
    double m_reached = 0;    ///< frames a second, measured; 0: not yet
    double m_everyMeasured = 1;
    double m_jumpedAt = -1; ///< when frames beyond the stride were last passed over, seconds; < 0: never
    double m_saidAt = 0;
};

} // namespace ui
