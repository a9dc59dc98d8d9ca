#pragma once
#include "core/media/picture/picture.h"
#include "core/timing/units.h"
#include <memory>

namespace media {

struct Component;

/// A region of one picture as means over blocks, read where the region's content has gone with the camera's shake: the
/// same block shows the same part of the scene in every frame. Row by row, in 64ths of a level of 255, black at 0.
/// Blocks of the last column and row take what is left over: thin ones would show noise and the edge of the screen.
struct StillBlocks {
    int side = 8; ///< of a block, in pixels of the picture
    int columns = 0, rows = 0;
    std::vector<std::int16_t> luma; ///< columns x rows; of RGB: green
    int colourColumns = 0, colourRows = 0;
    /// Blocks of twice the side, first one component and then the other (Cb and Cr; of RGB red and blue); empty without
    /// colours.
    std::vector<std::int16_t> colour;
    double dx = 0, dy = 0;     ///< pixels that the scene has moved by since the first picture; right and down
    double light = 1;          ///< of the surroundings, against the first picture
    bool movementKnown = true; ///< false: too little stands still around the regions, and dx, dy and light are guesses

    bool alone = false; ///< stored by itself, without what codecs take over from other pictures: details may jump

    static constexpr double unit = 1.0 / 64;
    bool alike(const StillBlocks& other) const;
};

/// Takes blocks of regions from pictures that pass by, with the camera's shake taken out to a few hundredths of a
/// pixel. The shake is what the surroundings of all regions do: a Gauss-Newton fit of shift and light to the places
/// with the steepest edges, with Tukey's weights, so that a hand that passes doesn't count. It is our own: a library
/// for it would do no more than these few lines. Keeps a reduced picture, no picture itself.
class StillMeter {
public:
    /// `far`: pictures don't follow each other closely, and the scene may have moved by some hundredth of the width.
    explicit StillMeter(std::vector<Rect> regions, bool far = false);

    /// One a region; null where its picture can't be measured. Frames come in ascending order; where one is left out or
    /// frames begin anew, movement counts from there. A copy goes on from the same pictures.
    std::vector<std::shared_ptr<const StillBlocks>> measure(timing::FrameNumber n, const Picture& picture);

private:
    /// Luma, reduced by a whole factor and smoothed by [1 2 1] either way, so that edges move in it as in a continuous
    /// picture. Keeps its memory from one picture to the next.
    struct Reduced {
        int factor = 0, width = 0, height = 0;
        std::vector<float> luma;
        std::vector<std::uint32_t> sums;
        std::vector<std::uint16_t> row;
        std::vector<float> plain, across; ///< a row; three rows

        void take(const Component& luma);
        float at(int x, int y) const
        {
            return luma[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)];
        }
        float at(double x, double y) const;
    };
    /// A place whose edges show movement.
    struct EdgePlace {
        int x = 0, y = 0;
        float level = 0, slopeX = 0, slopeY = 0;
        double steepness() const { return double(slopeX) * slopeX + double(slopeY) * slopeY; }
    };
    struct Movement {
        double dx = 0, dy = 0; ///< reduced pixels since the reference
        double light = 1;
    };

    void follow(const Component& luma);
    void takeReference();
    std::vector<EdgePlace> edges(bool withRegions) const;
    Movement search() const;
    std::optional<Movement> fit(Movement guess);

    std::vector<Rect> m_regions;
    double m_reach; ///< reduced pixels
    std::int64_t m_next = -1;
    Size m_size;
    bool m_known = true;
    bool m_begun = false;
    Reduced m_picture; ///< the last one
    std::vector<EdgePlace> m_places;
    std::vector<float> m_residuals, m_sorted;
    Movement m_reference, m_now; ///< of the reference since the first picture; since the reference
};

} // namespace media
