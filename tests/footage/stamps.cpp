#include "tests/footage/writer.h"
#include <cmath>

namespace footage {

Stamps Stamps::even(std::vector<int> places, Ratio rate, double start)
{
    Stamps stamps;
    stamps.m_places = std::move(places);
    stamps.m_rate = rate;
    stamps.m_start = start;
    return stamps;
}

Stamps Stamps::real(std::vector<double> seconds)
{
    Stamps stamps;
    stamps.m_seconds = std::move(seconds);
    return stamps;
}

std::size_t Stamps::count() const { return m_seconds.empty() ? m_places.size() : m_seconds.size(); }

double Stamps::seconds(std::int64_t frame) const
{
    if (m_seconds.empty()) {
        const auto place = frame < 0 ? m_places.front() + frame : m_places[frame];
        return m_start + static_cast<double>(place) * static_cast<double>(m_rate.den) / static_cast<double>(m_rate.num);
    }
    if (frame >= 0)
        return m_seconds[frame];
    const double step = m_seconds.size() > 1 ? m_seconds[1] - m_seconds[0] : 1.0;
    return m_seconds[0] + static_cast<double>(frame) * step;
}

std::int64_t Stamps::ticks(std::int64_t frame, int num, int den) const
{
    return std::llround(seconds(frame) * den / num);
}

} // namespace footage
