#pragma once
#include "core/media/cache/frame_service.h"
#include <condition_variable>
#include <mutex>

namespace bench {

/// Asks for frames as the desk does and measures how long each takes to come. While it walks a reduced picture will do,
/// as on the desk; a jump wants the native one.
class Stepper {
public:
    Stepper(const std::shared_ptr<const media::Footage>& footage, std::size_t budgetBytes);

    /// Ms until the frame is there. Throws std::runtime_error when it can't be had.
    double want(std::int64_t frame, int direction);
    /// `count` steps from `from` in `direction`, each as soon as the one before has come, but not before `paceMs` after
    /// it was asked for. One time a step.
    std::vector<double> walk(std::int64_t from, int direction, int count, double paceMs);
    std::size_t cachedBytes() const { return m_service.cachedBytes(); }

private:
    void delivered(const media::FrameService::Delivery& delivery);
    std::mutex m_mutex;
    std::condition_variable m_came;
    std::int64_t m_wanted = -1, m_arrived = -1;
    std::string m_fault;
    media::FrameService m_service; ///< last: it delivers until it is gone
    media::FrameService::Handle m_handle;
};

} // namespace bench
