#pragma once
#include <QObject>
#include "ui/desk/action_queue.h"
#include "ui/desk/desk_state.h"
#include "core/reading/make_mark.h"
#include "ui/desk/captures.h"
#include "ui/model/worker.h"
#include <optional>

namespace ui {

/// What the keys of the desk do: going about in the footage, marking, accepting, doubting, rejecting, tagging.
/// Everything happens in the order of the keys, and a mark belongs to the frame that was in view when its key was
/// pressed.
class ReadingSteps : public QObject {
    Q_OBJECT
public:
    ReadingSteps(SessionModel& model, FootagePool& pool, Captures& captures, DeskState& state,
                 QObject* parent = nullptr);

    void step(timing::FrameCount distance);
    void goToFrame(timing::FrameNumber n);
    void flipPair();    ///< the frame before, and back
    void flipToPress(); ///< the last frame before the press of the trial at hand, and back
    void previousTrial();
    void nextTrial();
    void beginBlind();                   ///< or goes on with it: the first trial that waits
    void goToTrial(session::TrialId id); ///< makes it the current one and shows its press
    void goToCapture(session::CaptureId id);
    void leaveTrial(); ///< the next press mark begins a trial

    void mark(session::MarkKind kind);
    void clearLastMark();
    void noReaction(); ///< on and off
    void doubt();      ///< on and off
    void accept();     ///< and go on to the next trial that isn't read
    void reject(session::RejectReason reason, const QString& note);
    void keep(); ///< takes a reject back
    void readAgain();
    void countAnotherReading(); ///< of several the next complete one, after the last the first
    void removeTrial();         ///< or the reading of it that has been begun anew and isn't finished
    void tag(
        int position); ///< configuration by its place, from 0: of the trial, or of the capture where none is current
    void tagWith(session::ConfigurationId id); ///< the same by number; 0 is none
    void setNote(session::TrialId id, const QString& note);

    void undo(); ///< the latest change, once every key before has had its effect
    void redo();
    void saveAs(const QString&
                    path); ///< once no mark is on its way: its crops go to the folder of the session they were begun in

    /// Frames of presses that the traces suggest in the capture on the desk, ascending: all, and those that no trial
    /// has; `complete`: no more will come. Whoever accepts a trial that begins at one goes on to the next.
    void setHinted(const QVector<qint64>& presses, const QVector<qint64>& unread, bool complete);
    void setView(const QString& view) { m_view = view; } ///< how the footage is looked at: "zoom 4, gain 2.0"
    bool quiet() const { return m_queue.idle(); }        ///< every key so far has had its effect
    bool mayHaveTrial() const; ///< there is a current trial, or a key under way may yet make one

signals:
    void acting(); ///< the analyst does something; comes before it is done
    void problem(const QString& sentence);
    void cue(const QString& sentence); ///< what to do instead; passes by itself
    void regionWanted(session::RegionKind kind);
    void readerWanted();                                 ///< a packet has no reader's name yet
    void lastRead();                                     ///< the last trial of the blind reading
    void framesPassed();                                 ///< the analyst went somewhere
    void flipped(std::optional<timing::FrameNumber> of); ///< the frame before `of` is in view only for comparison

private:
    void moving(std::function<void()> step); ///< to another trial or place: waits for every key before it
    void going(std::function<void()> step);  ///< at once, unless something that moves is still to come
    void changing(std::function<void()> step);
    bool change(const SessionModel::MakeEdit& make); ///< an edit; while blind its name tells nothing
    void showTrial(const session::Trial& trial);
    void changingTrial(const QString& without, std::function<void(const session::Trial&)> step);
    void goOnOnceIn(session::TrialId from);
    void goOn(session::TrialId from);
    bool goOnToHint(session::TrialId from, const session::Trial* next);
    void goToPress(qint64 frame);
    void besides(int direction);
    void flip(std::optional<timing::FrameNumber> to);
    void endFlip();
    void tagNow(session::ConfigurationId id);
    std::optional<reading::MarkRequest> request(); ///< empty when the frame in view can't be marked; says why
    void putMade(session::MarkKind kind, session::CaptureId capture, const reading::MarkRequest& request,
                 const reading::MadeMark& made, const std::string& view);
    void put(session::MarkKind kind, session::CaptureId capture, const reading::MarkRequest& request,
             const session::Mark& mark, const std::string& view);
    const session::Trial* currentOr(const QString& sentence);
    /// Reading that takes marks: the one begun last and not accepted, else the counting one (0).
    session::ReadingId target(const session::Trial& trial) const;
    const session::Reading* inHand(const session::Trial& trial) const; ///< that reading; null when there is none
    bool hiddenWhileBlind();                                           ///< says so, too
    std::size_t blindPlace() const; ///< index of the trial at hand among those to read blind, else of none

    SessionModel& m_model;
    FootagePool& m_pool;
    Captures& m_captures;
    DeskState& m_state;
    ActionQueue m_queue;
    int m_movesToCome = 0;
    QString m_view;
    struct Flip {
        timing::FrameNumber from, to;
    };
    std::optional<Flip> m_flip;
    QVector<qint64> m_hinted, m_unread;
    bool m_hintsComplete = false; ///< no more presses will be proposed
    /// The next press to read isn't known yet: it is gone to once it is.
    struct Awaited {
        session::CaptureId capture; ///< on the desk; 0: nothing is awaited
        session::TrialId from;      ///< the trial that was read last in it; 0: none
        qint64 after = -1;          ///< its press
    };
    Awaited m_awaited;
    Worker m_worker; ///< last: its jobs end before anything above goes
};

} // namespace ui
