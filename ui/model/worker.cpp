#include "ui/model/worker.h"

#include <algorithm>
#ifdef __linux__
#include <sys/resource.h>
#endif

namespace ui {
namespace {

void lowerOwnPriority([[maybe_unused]] int niceness)
{
#ifdef __linux__
    // On Linux this is the calling thread's alone. Being refused only means to run at the usual priority.
    if (niceness > 0)
        setpriority(PRIO_PROCESS, 0, niceness);
#endif
}

} // namespace

Worker::~Worker()
{
    const std::lock_guard lock(m_mutex);
    m_waiting.clear();
    for (std::stop_source& given : m_atWork)
        given.request_stop();
    for (std::jthread& thread : m_threads)
        thread.request_stop();
}

std::stop_source Worker::add(Job job)
{
    std::stop_source stop;
    {
        const std::lock_guard lock(m_mutex);
        m_waiting.push_back({std::move(job), stop});
        if (std::ssize(m_atWork) + std::ssize(m_waiting) > std::ssize(m_threads)
            && std::ssize(m_threads) < m_mostThreads + stopped())
            m_threads.emplace_back([this](const std::stop_token& end) { work(end); });
    }
    m_changed.notify_all();
    return stop;
}

void Worker::stop()
{
    ++m_generation;
    const std::lock_guard lock(m_mutex);
    m_waiting.clear();
    for (std::stop_source& given : m_atWork)
        given.request_stop();
}

std::ptrdiff_t Worker::stopped() const { return std::ranges::count_if(m_atWork, &std::stop_source::stop_requested); }

void Worker::work(const std::stop_token& end)
{
    lowerOwnPriority(m_niceness);
    std::unique_lock lock(m_mutex);
    const auto isNext = [this] { return !m_waiting.empty() && std::ssize(m_atWork) - stopped() < m_mostThreads; };
    while (m_changed.wait(lock, end, isNext)) {
        const Given next = std::move(m_waiting.front());
        m_waiting.pop_front();
        const auto own = m_atWork.insert(m_atWork.end(), next.stop);
        lock.unlock();
        next.job(next.stop.get_token());
        lock.lock();
        m_atWork.erase(own);
        m_changed.notify_all();
    }
}

} // namespace ui
