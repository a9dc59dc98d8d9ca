#pragma once
#include "core/reading/screen_series.h"
#include <optional>

namespace reading {

/// What moves on the screen until the press: from each few frames to the next it gets further, where flicker and a
/// codec come back. Its stop is told by its last refresh where single refreshes show, else by how the way that it gets
/// on runs out, to a few frames.
class ScreenMover {
public:
    /// `quiet`: stretches up to presses, ascending, not empty.
    ScreenMover(const Series& luma, const std::vector<Frames>& quiet, std::int64_t end);
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
    Most mostOf(const std::vector<float>& squares) const;
    Most most(std::int64_t t) const;
    float step(std::int64_t t, std::size_t i) const { return (m_luma.at(t)[i] - m_luma.at(t - 1)[i]) / m_noise[i]; }
    static constexpr std::int64_t few = 10; ///< frames that what moves goes some way in
    std::vector<float> difference(std::int64_t t) const;
    void learn(const std::vector<Frames>& quiet);
    Most drift(std::int64_t t) const;
    struct Beat {
        std::vector<std::int64_t> starts; ///< frames
        double refresh = 0;               ///< frames
        std::int64_t pause = 0;           ///< frames without a start that say it rests
    };
    static std::optional<Beat> beatOf(const std::vector<Most>& all, const Frames& past, float limit);
    void follow(const Frames& past, std::int64_t end, float moves);
    std::optional<Stop> lastRefresh(const Frames& past, std::int64_t end, float still) const;
    std::optional<Stop> runsOut(const Frames& past, std::int64_t end, float usual) const;

    const Series& m_luma;
    std::vector<float> m_noise;      ///< of each place, from frame to frame
    std::vector<float> m_driftNoise; ///< the same, of the difference between a few frames and the few before
    std::vector<std::vector<bool>> m_places;
    std::optional<Stop> m_stop;
};

} // namespace reading
