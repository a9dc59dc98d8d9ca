#pragma once
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace footage {

struct Ratio {
    std::int64_t num = 0, den = 1;
    double value() const { return static_cast<double>(num) / static_cast<double>(den); }
};

enum class SceneKind {
    Bench,       ///< desk with lamp, pedal and monitor; presses and reactions
    Pattern,     ///< moving shades in which every frame differs nearly everywhere; no presses
    PulsedLight, ///< a plain surface under a light that is switched on and off evenly; no presses
    Sway         ///< a patterned surface before a camera that sways, or on a screen that fills the picture; no presses
};
enum class OddityKind { NoReaction, DoublePress, EarlyChange };
struct Oddity {
    int press = 0; ///< from 0
    OddityKind kind = OddityKind::NoReaction;
};

/// Contact closure to light, in seconds unless said. Each wait is drawn or falls out of the grids.
struct DelaySpec {
    double device = 0.004;        ///< mean of device and link
    double deviceSpread = 0.0005; ///< standard deviation of the same; the sum is never below 0
    double pollInterval = 0.001;  ///< the host asks the device this often; 0: at once
    double tickRate = 144;        ///< game ticks a second; the next tick takes the input
    int queueFrames = 1;          ///< refresh intervals between tick and scan-out beyond the next one
    double refreshRate = 144;
    double displayProcessing = 0.002;
};

/// What happens in front of the camera. Times in seconds.
struct SceneSpec {
    SceneKind kind = SceneKind::Bench;
    DelaySpec delay;
    std::vector<double> pressTimes; ///< after capture start, ascending; empty: `presses` drawn from the seed
    int presses = 4;
    double firstPress = 0.10;
    double pressGapMin = 0.35, pressGapMax = 0.50; ///< from press to press
    double lampHold = 0.10;                        ///< the button stays down
    double reactionHold = 0.10;                    ///< the panel stays bright, then returns to rest
    double lampRise = 50e-6, lampFall = 100e-6;    ///< time constants
    double pixelRise = 0.0012, pixelFall = 0.0015; ///< time constants
    double lampBrightness = 1.0;                   ///< 0..1
    double panelRest = 0.015, panelBright = 0.70;  ///< linear light, 0..1
    double pulseRate = 1000;                       ///< pulsed light: pulses a second
    double pulseShare = 0.5;                       ///< of a pulse that the light is on
    double roadSpeed = 1.0; ///< dash lengths a second on the drawn road; 0: nothing moves but lamp and panel
    double handSpeed = 0;   ///< bench: picture widths a second that a hand passes to and fro; 0: no hand
    double swaySpeed = 0.5; ///< sway: picture widths a second
    double swayRefresh = 0; ///< sway: above 0 the surface is shown by a screen that refreshes so many times a second
    double swayScan = 0;    ///< sway: share of a refresh that the screen's scan-out takes, 0..1
    double swayShare = 1;   ///< sway: of width and height, in the middle, that it takes; around it nothing moves
    double lightDrift = 0;  ///< the room grows brighter by this share a second
    double ripple = 0, rippleRate = 100; ///< share by which its light goes up and down, Hz
    bool rippleSquare = false;           ///< on and off instead of a sine
    std::vector<Oddity> oddities;
    double mirrorLag =
        0; ///< bench: above 0 a small screen beside the monitor shows the panel too, so many seconds later
    double visibleShare = 0.10; ///< of a region's full change in the noise-free picture: what counts as visible
};

struct CameraSpec {
    int width = 640, height = 360;
    int frames = 480;          ///< capture intervals filmed, missing ones included; < 65536 with a barcode
    Ratio nominalRate{960, 1}; ///< what the camera says
    double ppm = 0;            ///< true capture rate = nominal * (1 + ppm / 1e6)
    std::vector<std::pair<int, Ratio>>
        speeds; ///< from the step to this capture index on another nominal rate; ascending, none above nominalRate
    double timeJitter = 0;       ///< standard deviation of the true capture instants
    double exposure = 0.8;       ///< share of a capture interval, in (0, 1]
    double noise = 1.5;          ///< standard deviation in 8-bit codes
    double lineTime = 0;         ///< seconds from row to row; 0: all rows at once
    bool readFromBottom = false; ///< the last row is exposed first
    std::vector<int> missing;    ///< capture indices that were lost; ascending
    std::vector<int> repeated;   ///< capture indices stored as the picture before; ascending
    std::vector<int>
        blended; ///< capture indices stored as the mean of the pictures before and after; ascending, no two in a row
};

enum class StampKind {
    Even,    ///< k / playbackRate: slowed footage, or a constant rate
    RealTime ///< the capture instants themselves
};
enum class Matrix { Bt601, Bt709 };

/// How the pictures are stored.
struct StorageSpec {
    std::string container;         ///< libav muxer name; empty: by the file's extension
    std::string codec = "libx264"; ///< libav encoder name
    std::string pixelFormat = "yuv420p";
    double quality = 20; ///< crf of x264 and x265, qscale of mjpeg; others ignore it
    std::string preset = "veryfast";
    int gop = 250;
    int bFrames = 3;
    bool bPyramid = true, openGop = false;
    std::string codecParams; ///< appended to x264-params or x265-params
    std::vector<std::pair<std::string, std::string>> codecOptions, muxerOptions;
    int threads = 1; ///< more is quicker; bytes then depend on it
    Ratio playbackRate{30, 1};
    StampKind stamps = StampKind::Even;
    std::vector<std::pair<int, Ratio>>
        speeds; ///< even stamps only: from the step to this presented frame on another playback rate; ascending
    double stampJitter = 0;     ///< standard deviation, seconds; stamps stay ascending
    bool stampsShowGaps = true; ///< even stamps leave room for missing frames
    double start = 0;           ///< stamp of the first presented frame, seconds
    Ratio timeBase{0, 1};       ///< 0: 1/90000; containers with a time base of their own ignore it
    int hiddenFrames = 0;       ///< leading frames hidden by an edit list (mov family)
    bool audioFirst = false;    ///< a tone as stream 0, video is stream 1
    int rotation = 0;           ///< clockwise degrees to turn for display: 0, 90, 180, 270 (mov family)
    Ratio pixelAspect{1, 1};
    bool fullRange = false; ///< of YUV formats; grey and RGB are always full
    Matrix matrix = Matrix::Bt709;
    bool barcode = true;                                   ///< the capture index along the bottom edge, see barcode.h
    std::vector<std::pair<std::string, std::string>> tags; ///< container metadata
};

struct Spec {
    std::uint64_t seed = 1;
    SceneSpec scene;
    CameraSpec camera;
    StorageSpec storage;
};

} // namespace footage
