#include "core/session/configuration.h"

namespace session {

std::span<const TextField> configurationFields()
{
    static constexpr TextField fields[] = {
        {"device", "Device", "Device"},
        {"firmware", "Firmware", "Device"},
        {"link", "Link", "Device"},
        {"adapter", "Adapter", "Device"},
        {"pollRate", "Poll rate", "Device"},
        {"power", "Battery or cable", "Device"},
        {"host", "Host", "Host"},
        {"operatingSystem", "Operating system", "Host"},
        {"driver", "Driver", "Host"},
        {"gameVersion", "Game version", "Game"},
        {"scene", "Scene", "Game"},
        {"action", "Action", "Game"},
        {"resolution", "Resolution", "Rendering"},
        {"frameCap", "Frame cap", "Rendering"},
        {"queue", "Render queue", "Rendering"},
        {"sync", "Sync", "Rendering"},
        {"vrrRange", "VRR range", "Rendering"},
        {"display", "Display", "Display"},
        {"displayMode", "Display mode", "Display"},
        {"brightness", "Brightness", "Display"},
        {"strobe", "Strobe", "Display"},
        {"overdrive", "Overdrive", "Display"},
        {"regionHeight", "Height of the region on the display", "Display"},
    };
    return fields;
}

std::span<const TextField> rigFields()
{
    static constexpr TextField fields[] = {
        {"lampWiring", "Lamp wiring", "Lamp"},    {"lampColour", "Lamp colour", "Lamp"},
        {"resistor", "Resistor", "Lamp"},         {"supply", "Supply", "Lamp"},
        {"pressMethod", "Press method", "Press"}, {"light", "Light", "Surroundings"},
    };
    return fields;
}

std::span<const TextField> cameraFields()
{
    static constexpr TextField fields[] = {
        {"model", "Model", "Camera"},
        {"firmware", "Firmware", "Camera"},
        {"mode", "Mode", "Camera"},
        {"exposure", "Exposure", "Settings"},
        {"iso", "ISO", "Settings"},
        {"locks", "Exposure, focus and white balance locks", "Settings"},
        {"orientation", "Orientation", "Sensor"},
        {"readout", "Readout", "Sensor"},
        {"warmUp", "Warm-up", "Sensor"},
    };
    return fields;
}

} // namespace session
