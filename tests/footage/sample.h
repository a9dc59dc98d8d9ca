#pragma once
// Footage of the demo: how long a pedal takes to move a panel on the screen, over four links and two displays.
#include "tests/footage/footage.h"
#include <string>
#include <vector>

namespace footage {

inline constexpr const char* mirroredConfiguration = "Direct, 144 Hz"; ///< its films show the small screen too
inline constexpr int sheetSeed = 2978; ///< of the run sheet that the sample was filmed by

struct SampleCapture {
    std::string file;          ///< "run01.mp4"
    std::string configuration; ///< "Wireless bridge, 144 Hz"; empty for the reference clip
    int block = 0;             ///< of the run sheet, which interleaves: one run of every configuration in each; from 1
    std::string cameraMode;    ///< "960" or "480": captures of one mode share a clock
    double lampFrequency = 0;  ///< reference clip: flashes a second of its lamp, else 0
    Spec spec;
};

/// In the order in which they were filmed. Runs hold four presses, one to spare; a few are odd (double press, early
/// change, no reaction, lost frames). What moves a whole block moves all configurations alike. The last two were filmed
/// in a mode whose tag is 1.3 % off its true rate.
std::vector<SampleCapture> sampleCaptures();

/// Films all of them into `folder`.
void makeSample(const std::filesystem::path& folder);

/// What is in them, as JSON: per capture file, configuration, block, camera mode, true rate, regions, presses.
std::string sampleTruth();

} // namespace footage
