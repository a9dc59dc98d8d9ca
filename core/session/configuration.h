#pragma once
#include "core/session/ids.h"
#include <map>
#include <optional>
#include <span>
#include <string>

namespace session {

/// A field of the checklist that the analyst fills in as text.
struct TextField {
    const char* key;   ///< in the file, lowerCamel
    const char* label; ///< on screen
    const char* group; ///< heading it stands under on screen
};

/// Checklist of a configuration: device, firmware, link, adapter, poll rate, power, host, operating system, driver,
/// game version, scene, action, resolution, frame cap, queue, sync, VRR range, display, display mode, brightness,
/// strobe, overdrive, region height.
std::span<const TextField> configurationFields();
/// Checklist of what stays the same: lamp wiring, colour, resistor, supply; press method; light.
std::span<const TextField> rigFields();
/// Checklist of a camera mode: model, firmware, mode, exposure, ISO, locks, orientation, readout, warm-up.
std::span<const TextField> cameraFields();

using Texts = std::map<std::string, std::string>; ///< checklist key to text; keys without text are absent

/// One hardware set-up under test.
struct Configuration {
    ConfigurationId id;
    int position = 0;                       ///< order on screen, digit keys and chart
    std::string name;                       ///< not empty
    std::string group;                      ///< heading in the chart ("144 Hz display"); may be empty
    Texts texts;                            ///< configurationFields()
    std::optional<double> refreshHz;        ///< measured display refresh, > 0
    std::optional<double> gameFrameRate;    ///< game frames a second, > 0
    std::optional<double> reactionHeight{}; ///< of the reaction in the display's picture, from 0 (top) to 1 (bottom)
    bool operator==(const Configuration&) const = default;
};

/// Trials taken without touching the set-up; the unit that repeats.
struct Run {
    RunId id;
    std::string name; ///< not empty
    std::string note;
    bool operator==(const Run&) const = default;
};

} // namespace session
