#pragma once
#include "core/reading/screen_series.h"
#include <optional>
#include <utility>

namespace reading {

constexpr std::int64_t stretch = 6; ///< frames that are compared with those before

/// What was usual in the stretches in which nothing was to react, in pieces.
struct UsualPast {
    struct Piece {
        std::int64_t start;
        std::size_t stretch; ///< which of the quiet ones it is in
    };
    std::int64_t rest = 0;   ///< frames before that a stretch is compared with
    std::int64_t length = 0; ///< of a piece, frames
    std::vector<Piece> pieces;

    explicit UsualPast(const std::vector<Frames>& quiet);

    /// The most that two pieces of one quiet stretch reach that can't show the same change. What came once and stayed
    /// - the last reaction's end - isn't usual. `without`: a piece that is left out; may be none.
    float usual(const std::vector<float>& values, std::size_t without) const;
};

/// Compares each stretch of a few frames with the frames before it, place by place.
class ChangeTest {
public:
    /// `alone`: of the series' frames, those stored by themselves. `held`: places that don't count, by frame; may be
    /// empty.
    ChangeTest(const Series& series, const std::vector<bool>& alone, const std::vector<Frames>& quiet,
               const std::vector<std::vector<bool>>& held = {});

    struct Found {
        std::int64_t onset = 0, alarm = 0;
        double strength = 1;
        double levels = 0;                                 ///< of 255, that the middle one of `places` changed by
        double shares = 0;                                 ///< of all places, hanging together or not
        std::vector<std::pair<std::size_t, float>> places; ///< that changed, and their z
    };
    std::optional<Found> find(std::int64_t end);
    /// The most that R comes to, over k, where the stretch from `t` on is compared with the frames before it.
    double strengthAt(std::int64_t t) const;

private:
    using Rows = std::vector<float>;
    void learn();
    Rows noiseFrom(const std::vector<Rows>& levels, std::size_t without) const;
    bool storedAlone(std::int64_t t) const { return m_alone[std::size_t(t - m_series.first)]; }
    double sum(std::size_t place, std::int64_t from, std::int64_t to) const;
    void step(std::int64_t t, std::int64_t since, Rows& out) const;
    void aroundEach(const Rows& step, Rows& out) const;
    bool touch(const Found& a, const Found& b) const;
    std::optional<Found> onsetAt(std::int64_t alarmed, Frames late, std::size_t place, std::int64_t since) const;
    std::vector<std::pair<std::size_t, float>> changedWith(std::size_t place, const Rows& z) const;

    const Series& m_series;
    const std::vector<bool>& m_alone;
    const std::vector<std::vector<bool>>& m_held;
    std::vector<double> m_sums; ///< of each place, up to each frame
    UsualPast m_past;
    std::int64_t m_press, m_restFrom = 0;
    Rows m_noise;
    Rows m_k; ///< of each place
};

} // namespace reading
