#pragma once
#include "tests/footage/spec.h"
#include "tests/footage/truth.h"
#include <filesystem>

namespace footage {

enum class ReactionKind { None, MotionStarts, MotionStops, Appears, Step, Colour };
enum class IdleKind { Still, Bob, Sky, Blink }; ///< what moves on the screen all the time
enum class LampKind {
    Switched, ///< dark, then lit
    Dims,     ///< never dark: to a quarter
    Pulsed,   ///< lit by pulse width: 700 pulses a second, 40 % of each
    Held,     ///< stays lit until shortly before the next press
    AutoFire, ///< while pressed it goes on and off 15 times a second
    Blinking  ///< throughout, at a frequency of its own, half of the time: a reference; no presses
};

constexpr int reactionFilmVersion = 1; ///< grows where films of equal specs come out otherwise

/// A hand-held camera before a screen with a figure in a landscape, a lamp beside it. Levels are of 255.
struct ReactionSpec {
    std::uint64_t seed = 1;
    ReactionKind kind = ReactionKind::MotionStarts;
    IdleKind idle = IdleKind::Still;
    LampKind lamp = LampKind::Switched;
    int width = 480, height = 270;
    double captureRate = 240, refreshRate = 60;
    int presses = 3;
    double start = 0.45;         ///< seconds to the first press, or a tenth more
    double pressGap = 0.75;      ///< seconds, about
    double speed = 5;            ///< pixels a refresh, of a figure that walks
    double contrast = 20;        ///< levels of a step, or of what appears
    double shake = 0;            ///< standard deviation either way, pixels
    double ripple = 0;           ///< share, at 100 Hz
    bool rippleOnScreen = false; ///< the screen is lit by the room, too
    double flicker = 0;          ///< share by which the screen's light goes up and down, twice a refresh
    double drift = 0;            ///< share a second by which the exposure grows
    double noise = 3;            ///< standard deviation, levels
    double exposure = 0.9;       ///< of a capture interval
    double quality = 23;         ///< crf
    int fine = 3;                ///< samples a pixel, either way, that the scene is drawn by: edges then lie anywhere
};

/// Where the camera points, in pixels, and how much light there is, as a factor, in the middle of an exposure.
struct CameraState {
    double x = 0, y = 0, light = 1;
};

struct ReactionTruth {
    struct Press {
        int first = 0;               ///< frame in which the lamp is lit for at least 1 % of what it will be
        int plain = 0;               ///< ... for 10 %: an onset anywhere from `first` to here is right
        std::optional<int> response; ///< first frame that shows a tenth of what the first refresh changes
    };
    Rect lamp, screen;
    int frames = 0;
    std::vector<Press> presses;
    std::vector<CameraState> camera; ///< one a frame
};

/// Films it in H.264. Throws std::runtime_error.
ReactionTruth filmReactions(const ReactionSpec& spec, const std::filesystem::path& out);
/// What filmReactions() would return.
ReactionTruth foreseeReactions(const ReactionSpec& spec);

} // namespace footage
