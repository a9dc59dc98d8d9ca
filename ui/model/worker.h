#pragma once
#include <QCoreApplication>
#include <QMetaObject>
#include <QObject>
#include <QString>
#include <QThreadPool>
#include "core/error.h"
#include <functional>
#include <stop_token>
#include <utility>

namespace ui {

/// Runs jobs off the window's thread, one after the other; results arrive as queued calls on the thread that owns it.
/// Going away stops the jobs and waits for them, so whatever a callback refers to outlives it when it is declared
/// before the worker.
class Worker {
public:
    Worker() { m_pool.setMaxThreadCount(1); }
    ~Worker() { stop(); }
    Worker(const Worker&) = delete;
    Worker& operator=(const Worker&) = delete;

    /// `job` takes a std::stop_token and may throw; its result goes to `done`, a sentence to `failed`.
    /// A stopped job calls neither.
    template <class Job, class Done> void run(Job job, Done done, std::function<void(const QString&)> failed)
    {
        m_pool.start([this, job = std::move(job), done = std::move(done), failed = std::move(failed),
                      token = m_stop.get_token()]() mutable {
            if (token.stop_requested())
                return;
            try {
                auto result = job(token);
                deliver(token, [done, result = std::move(result)]() mutable { done(std::move(result)); });
            } catch (const core::Cancelled&) {
            } catch (const std::exception& error) {
                deliver(token, [failed, sentence = QString::fromUtf8(error.what())] { failed(sentence); });
            }
        });
    }

    /// Nothing begun so far delivers any more. Waits for the job that is running.
    void stop()
    {
        m_stop.request_stop();
        m_pool.clear();
        m_pool.waitForDone();
        m_stop = std::stop_source();
    }

private:
    template <class Call> void deliver(std::stop_token token, Call call)
    {
        QMetaObject::invokeMethod(
            &m_context,
            [token, call = std::move(call)]() mutable {
                if (!token.stop_requested())
                    call();
            },
            Qt::QueuedConnection);
    }

    QObject m_context; ///< queued calls to it vanish with it
    std::stop_source m_stop;
    QThreadPool m_pool;
};

} // namespace ui
