#pragma once
#include <QMetaObject>
#include <QObject>
#include <QString>
#include "core/error.h"
#include <condition_variable>
#include <deque>
#include <functional>
#include <list>
#include <mutex>
#include <stop_token>
#include <thread>
#include <utility>
#include <vector>

namespace ui {

/// Does jobs off the window's thread, in the order they were given; results arrive as queued calls on the thread that
/// made it. Going away stops the jobs at work, drops the others and waits, so whatever a job or a callback refers to
/// outlives it when it is declared before the worker. Its threads start with the first jobs. A job that was stopped
/// holds up none: it may wait for a disk that doesn't answer.
class Worker {
public:
    /// `niceness`: 0 as urgent as the window, 19 only when nothing else wants the processor; threads that a job starts
    /// (decoders do) inherit it. `threads`: jobs at a time; with several, one that waits for a slow disk leaves the
    /// others going.
    explicit Worker(int niceness = 0, int threads = 1) : m_niceness(niceness), m_mostThreads(threads) {}
    ~Worker();
    Worker(const Worker&) = delete;
    Worker& operator=(const Worker&) = delete;

    /// A job that tells its end itself. It must not throw. Stopping the returned source stops it; one that still waited
    /// runs with a stopped token.
    using Job = std::function<void(std::stop_token)>;
    std::stop_source add(Job job);

    /// `job` takes a std::stop_token and may throw; its result goes to `done`, a sentence to `failed`.
    /// A stopped job calls neither.
    template <class Work, class Done>
    std::stop_source run(Work work, Done done, std::function<void(const QString&)> failed)
    {
        return add([this, generation = m_generation, work = std::move(work), done = std::move(done),
                    failed = std::move(failed)](const std::stop_token& stop) mutable {
            if (stop.stop_requested())
                return;
            try {
                auto result = work(stop);
                deliver(stop, generation, [done, result = std::move(result)]() mutable { done(std::move(result)); });
            } catch (const core::Cancelled&) {
            } catch (const std::exception& error) {
                deliver(stop, generation, [failed, sentence = QString::fromUtf8(error.what())] { failed(sentence); });
            }
        });
    }

    /// Nothing given so far delivers any more: what is at work is stopped but not waited for, what waited is dropped.
    void stop();

private:
    struct Given {
        Job job;
        std::stop_source stop;
    };

    template <class Call> void deliver(const std::stop_token& stop, int generation, Call call)
    {
        QMetaObject::invokeMethod(
            &m_context,
            [this, stop, generation, call = std::move(call)]() mutable {
                if (!stop.stop_requested() && generation == m_generation)
                    call();
            },
            Qt::QueuedConnection);
    }
    std::ptrdiff_t stopped() const; ///< of those at work
    void work(const std::stop_token& end);

    const int m_niceness, m_mostThreads;
    QObject m_context; ///< queued calls to it vanish with it
    std::mutex m_mutex;
    std::condition_variable_any m_changed; ///< a job was given, or has ended
    std::deque<Given> m_waiting;
    std::list<std::stop_source> m_atWork;
    int m_generation = 0;                ///< counts stop(); for the thread that owns this
    std::vector<std::jthread> m_threads; ///< last: they end before the rest goes
};

} // namespace ui
