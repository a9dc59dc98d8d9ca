#pragma once
#include <QObject>
#include "ui/model/session_model.h"
#include <deque>
#include <functional>

namespace ui {

/// What the analyst's keys ask for, in the order of the keys. A mark needs its picture hashed and its crops written
/// before it can become an edit; keys that come meanwhile wait here, and every step sees the session as the step before
/// left it. With nothing waiting a step runs at once.
class ActionQueue : public QObject {
    Q_OBJECT
public:
    using Done = std::function<void()>;
    /// Calls `done` once, now or later, on the window's thread.
    using Step = std::function<void(Done done)>;

    explicit ActionQueue(SessionModel& model, QObject* parent = nullptr);

    void add(Step step);
    void add(std::function<void()> step); ///< done when it returns
    void then(
        std::function<void()> step); ///< from within a step: before everything that waits, once its edits are accepted
    bool idle() const { return !m_running && m_steps.empty(); }
    void clear(); ///< what waits is dropped, what runs has no effect on the queue

private:
    void next();

    SessionModel& m_model;
    std::deque<Step> m_steps;
    bool m_running = false;
    int m_generation = 0;
};

} // namespace ui
