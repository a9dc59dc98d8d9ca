#pragma once
#include <ctime>

/// Of this thread: a busy machine doesn't lengthen it.
inline double cpuMilliseconds()
{
    timespec time{};
    ::clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    return static_cast<double>(time.tv_sec) * 1e3 + static_cast<double>(time.tv_nsec) * 1e-6;
}

/// What sanitizers cost.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
inline constexpr double slowness = 20;
#else
inline constexpr double slowness = 1;
#endif
