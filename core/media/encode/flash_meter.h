#pragma once
#include "core/media/encode/movie_writer.h"
#include <deque>
#include <vector>

namespace media {

/// The second in which a movie flashes most.
struct Flashing {
    int general = 0, red = 0; ///< opposing changes in that second, one after the other: two are a flash
    std::int64_t first = 0;   ///< picture with which the second of the worse kind begins
    bool tooMuch() const;     ///< more than three flashes of a kind in a second: the seventh change
};

/// Looks for flashes that can bring on seizures, as WCAG 2.2 defines them (success criterion 2.3.1, "general flash and
/// red flash thresholds"): opposing changes of relative luminance by 0.1 or more whose darker state is below 0.8, or of
/// saturated red, (R - G - B) * 320 by more than 20 with R / (R + G + B) of 0.8 or more at one end. They count where
/// they fill a quarter of a part of the picture a third as wide and high as it, which is what 10 degrees of the field
/// of view are on a screen as WCAG has it. Stricter than that definition in one thing: flashes needn't be at the same
/// moment to be added up, the same second is enough. The picture is taken to fill the screen.
class FlashMeter {
public:
    FlashMeter(Size picture, double picturesPerSecond); ///< rate > 0, size at least 48 x 27
    void add(const MoviePicture& picture);
    const Flashing& worst() const { return m_worst; }

private:
    /// Turning points of one quantity of one cell.
    struct Swing {
        double low = 0, high = 0;
        bool redLow = false, redHigh = false;
        int direction = 0; ///< of the last change that counted
        std::deque<std::int64_t> changes;
    };
    using Swings = std::vector<Swing>;
    bool follow(Swing& swing, double value, double least, bool ofRed, bool red);
    void count(const Swings& swings, int& worst);

    Size m_size;
    double m_rate;
    std::int64_t m_picture = 0;
    Swings m_general, m_red;
    std::vector<double> m_sums; ///< red, green, blue of each cell
    Flashing m_worst;
};

} // namespace media
