#pragma once
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <stop_token>
#include <thread>

namespace ui {

/// One thread that does jobs in the order they were given. The destructor stops the running job, drops the others and
/// joins.
class BackgroundLane {
public:
    /// `niceness`: 0 as urgent as the window, 19 only when nothing else wants the processor. Threads that a job
    /// starts (decoders do) inherit it.
    explicit BackgroundLane(int niceness);
    ~BackgroundLane();
    BackgroundLane(const BackgroundLane&) = delete;
    BackgroundLane& operator=(const BackgroundLane&) = delete;

    /// A job must not throw. Stopping the returned source stops it; one that still waited runs with a stopped token, so
    /// that every job gets to tell its end.
    using Job = std::function<void(std::stop_token)>;
    std::stop_source add(Job job);

private:
    void work(const std::stop_token& lane);

    struct Waiting {
        Job job;
        std::stop_source stop;
    };
    std::mutex m_mutex;
    std::condition_variable_any m_arrived;
    std::deque<Waiting> m_waiting;
    std::stop_source m_running; ///< of the job at work
    int m_niceness;
    std::jthread m_thread; ///< last: starts when everything else is there
};

} // namespace ui
