#include "tests/bench/stepper.h"
#include "tests/bench/rows.h"

#include <algorithm>
#include <stdexcept>
#include <thread>

namespace bench {

Stepper::Stepper(const std::shared_ptr<const media::Footage>& footage, std::size_t budgetBytes)
    : m_service(budgetBytes, [this](const auto& delivery) { delivered(delivery); }), m_handle(m_service.add(footage))
{
    constexpr int shownWidth = 1280; // of the frame on the desk, in a large window
    const int side = footage->size.width / 20;
    m_service.setReduction(m_handle, {std::max(1, footage->size.width / shownWidth),
                                      {{side, side, side, side}, {8 * side, 4 * side, side, side}}});
}

void Stepper::delivered(const media::FrameService::Delivery& delivery)
{
    {
        const std::lock_guard lock(m_mutex);
        if (delivery.frame.value != m_wanted)
            return;
        m_arrived = m_wanted;
        m_fault = delivery.fault;
    }
    m_came.notify_one();
}

double Stepper::want(std::int64_t frame, int direction)
{
    {
        const std::lock_guard lock(m_mutex);
        m_wanted = frame;
        m_arrived = -1;
    }
    const Stopwatch watch;
    using Detail = media::FrameService::Detail;
    m_service.want(m_handle, {{frame}}, direction, direction == 0 ? Detail::Native : Detail::Reduced);
    std::unique_lock lock(m_mutex);
    m_came.wait(lock, [&] { return m_arrived == frame; });
    const double ms = watch.ms();
    if (!m_fault.empty())
        throw std::runtime_error(m_fault);
    return ms;
}

std::vector<double> Stepper::walk(std::int64_t from, int direction, int count, double paceMs)
{
    std::vector<double> times;
    for (int i = 0; i < count; ++i) {
        const double ms = want(from + direction * i, direction);
        times.push_back(ms);
        if (ms < paceMs)
            std::this_thread::sleep_for(std::chrono::duration<double, std::milli>(paceMs - ms));
    }
    return times;
}

} // namespace bench
