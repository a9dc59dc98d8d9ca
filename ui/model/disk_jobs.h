#pragma once
#include <QString>
#include "ui/model/mailbox.h"
#include <chrono>
#include <condition_variable>
#include <exception>
#include <thread>

namespace ui {

/// Jobs that wait for a disk which may never answer, as one on a network that is gone: each on a thread of its own, so
/// that none holds up another, and none is waited for. A Worker is for everything that comes to an end.
class DiskJobs {
public:
    DiskJobs() = default;
    ~DiskJobs() { m_mailbox.close(); } ///< jobs under way are left to themselves and deliver nothing
    DiskJobs(const DiskJobs&) = delete;
    DiskJobs& operator=(const DiskJobs&) = delete;

    /// `job` may throw; its result goes to `done`, a sentence to `failed`, both on the thread that owns this. It must
    /// own whatever it uses. A result that nobody takes any more is destroyed on the job's thread.
    template <class Job, class Done> void run(Job job, Done done, std::function<void(const QString&)> failed)
    {
        const auto counts = {m_own, ofProgram()};
        for (const auto& count : counts)
            count->add(1);
        std::thread([own = m_own, mailbox = m_mailbox, job = std::move(job), done = std::move(done),
                     failed = std::move(failed)]() mutable {
            try {
                auto result = std::make_shared<decltype(job())>(job());
                mailbox.post(
                    [done = std::move(done), result = std::move(result)]() mutable { done(std::move(*result)); });
            } catch (const std::exception& error) {
                mailbox.post([failed, sentence = QString::fromUtf8(error.what())] { failed(sentence); });
            }
            own->add(-1);
            ofProgram()->add(-1);
        }).detach();
    }

    /// Until every job has come to its end; false when one hasn't after that time. Nothing is delivered meanwhile.
    bool wait(std::chrono::milliseconds atMost) const { return m_own->wait(atMost); }
    /// A job of the program hasn't come to its end; it may use whatever the program consists of.
    static bool anyRunning() { return !ofProgram()->wait(std::chrono::milliseconds(0)); }

private:
    class Count {
    public:
        void add(int jobs)
        {
            const std::lock_guard lock(m_mutex);
            m_count += jobs;
            m_changed.notify_all();
        }
        bool wait(std::chrono::milliseconds atMost)
        {
            std::unique_lock lock(m_mutex);
            return m_changed.wait_for(lock, atMost, [this] { return m_count == 0; });
        }

    private:
        std::mutex m_mutex;
        std::condition_variable m_changed;
        int m_count = 0;
    };
    static std::shared_ptr<Count> ofProgram()
    {
        static auto* count = new std::shared_ptr<Count>(std::make_shared<Count>()); // outlives jobs that don't end
        return *count;
    }

    std::shared_ptr<Count> m_own = std::make_shared<Count>();
    Mailbox m_mailbox;
};

} // namespace ui
