#pragma once
#include "tests/footage/spec.h"
#include <optional>
#include <string>
#include <vector>

namespace footage {

struct Rect {
    int x = 0, y = 0, width = 0, height = 0;
};

/// One presented frame; its number is its place in Truth::frames.
struct TrueFrame {
    int captureIndex = 0; ///< place on the camera's grid; what the barcode shows is `pictureIndex`
    int pictureIndex = 0; ///< captureIndex, or an earlier one where the camera repeated its picture
    double time = 0;      ///< seconds after capture start at which its first-read row begins to collect light
    double stamp = 0;     ///< seconds in the container
};

/// Frames lost right before presented frame `before`.
struct TrueGap {
    int before = 0;
    int count = 0;
};

struct TruePress {
    double press = 0;                   ///< contact closure, seconds after capture start
    std::optional<double> reaction;     ///< scan-out reaches the top of the panel; empty: no reaction
    std::optional<double> delay;        ///< reaction - press; empty without one, negative for an early change
    std::optional<double> visibleDelay; ///< between the instants at which lamp and panel light pass the visible share
    std::optional<int> lampFrame;       ///< first presented frame in which the lit lamp is visible
    std::optional<int> reactionFrame;   ///< first presented frame in which the reaction is visible
    std::optional<int> mirrorFrame;     ///< the same on the small screen; empty without one
    std::optional<OddityKind> oddity;
    std::optional<int> secondLampFrame; ///< double press: where the lamp lights again
};

struct Truth {
    std::string path;
    int width = 0, height = 0; ///< stored, unturned
    double captureRate = 0;    ///< true frames a second
    double lineTime = 0;
    std::vector<TrueFrame> frames;
    std::vector<TruePress> presses;
    std::vector<TrueGap> missing;
    std::vector<int> repeats;  ///< presented frame numbers that repeat their predecessor
    Rect lamp, screen, mirror; ///< stored picture coordinates; empty in the pattern scene, or without a small screen
};

/// With frames: also one line a frame (index, picture, time, stamp).
std::string toJson(const Truth&, bool withFrames = true);

} // namespace footage
