#include "ui/footage/background_lane.h"

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

BackgroundLane::BackgroundLane(int niceness)
    : m_running(std::nostopstate), m_niceness(niceness), m_thread([this](const std::stop_token& stop) { work(stop); })
{}

BackgroundLane::~BackgroundLane()
{
    const std::lock_guard lock(m_mutex);
    m_waiting.clear();
    m_running.request_stop();
    m_thread.request_stop();
}

std::stop_source BackgroundLane::add(Job job)
{
    std::stop_source stop;
    {
        const std::lock_guard lock(m_mutex);
        m_waiting.push_back({std::move(job), stop});
    }
    m_arrived.notify_one();
    return stop;
}

void BackgroundLane::work(const std::stop_token& lane)
{
    lowerOwnPriority(m_niceness);
    while (true) {
        std::unique_lock lock(m_mutex);
        if (!m_arrived.wait(lock, lane, [this] { return !m_waiting.empty(); }))
            return;
        Waiting next = std::move(m_waiting.front());
        m_waiting.pop_front();
        m_running = next.stop;
        lock.unlock();
        next.job(next.stop.get_token());
    }
}

} // namespace ui
