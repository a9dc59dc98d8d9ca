#pragma once
#include "core/reading/screen_series.h"
#include <optional>

namespace reading {

/// What moves on the screen as regularly as the display refreshes.
class ScreenMover {
public:
    ScreenMover(const Series& luma, const Frames& quiet, std::int64_t end);
    /// Where it has been by each frame of the series, and a little around it.
    const std::vector<std::vector<bool>>& places() const { return m_places; }
    struct Stop {
        std::int64_t frame; ///< in which it would have moved on
        double strength;
        std::size_t place; ///< the first of two by two that moved last
    };
    std::optional<Stop> stop() const { return m_stop; }

private:
    struct Most {
        float value = 0;
        std::size_t place = 0;
    };
    Most most(std::int64_t t) const;
    float step(std::int64_t t, std::size_t i) const { return (m_luma.at(t)[i] - m_luma.at(t - 1)[i]) / m_noise[i]; }
    void follow(std::int64_t from, std::int64_t press, std::int64_t end);

    const Series& m_luma;
    std::vector<float> m_noise; ///< of each place from frame to frame
    std::vector<std::vector<bool>> m_places;
    std::optional<Stop> m_stop;
};

} // namespace reading
