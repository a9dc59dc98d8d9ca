#pragma once
#include "core/media/index/footage.h"
#include "core/timing/picture_changes.h"
#include <array>

namespace media {

/// Measures how each picture that passes by differs from the one before, cell by cell of a grid over the whole picture,
/// in native luma samples. Of high pictures every few rows are enough. Keeps the samples of three pictures, no picture
/// itself.
class MovementMeter {
public:
    /// Frames come in ascending order; where one is left out or frames begin anew, what came by since counts, and the
    /// later values hold.
    void add(timing::FrameNumber n, const Picture& picture);

    /// One a frame of `footage`, which is confirmed. Not known of frames that didn't pass, are in doubt or follow such
    /// a one. They are handed over: a long film's take some 100 MB.
    std::vector<timing::FrameChange> take(const Footage& footage);

private:
    struct Samples {
        int columns = 0, rows = 0, step = 1;
        std::string format;
        std::vector<std::uint16_t> luma; ///< of every `step`-th row
    };
    bool alike(const Samples& a, const Samples& b) const;

    std::vector<timing::FrameChange> m_changes;
    std::array<Samples, 3> m_last; ///< this picture, the one before, the one before that
    int m_known = 0;               ///< of them, that follow each other
    std::int64_t m_next = -1;
};

} // namespace media
