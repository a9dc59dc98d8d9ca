#include "core/session/configuration.h"

#include <QtGlobal>

namespace session {

std::span<const TextField> configurationFields()
{
    static constexpr TextField fields[] = {
        {"device", QT_TRANSLATE_NOOP("Checklist", "Device"), QT_TRANSLATE_NOOP("Checklist", "Device")},
        {"firmware", QT_TRANSLATE_NOOP("Checklist", "Firmware"), QT_TRANSLATE_NOOP("Checklist", "Device")},
        {"link", QT_TRANSLATE_NOOP("Checklist", "Link"), QT_TRANSLATE_NOOP("Checklist", "Device")},
        {"adapter", QT_TRANSLATE_NOOP("Checklist", "Adapter"), QT_TRANSLATE_NOOP("Checklist", "Device")},
        {"pollRate", QT_TRANSLATE_NOOP("Checklist", "Poll rate"), QT_TRANSLATE_NOOP("Checklist", "Device")},
        {"power", QT_TRANSLATE_NOOP("Checklist", "Battery or cable"), QT_TRANSLATE_NOOP("Checklist", "Device")},
        {"host", QT_TRANSLATE_NOOP("Checklist", "Host"), QT_TRANSLATE_NOOP("Checklist", "Host")},
        {"operatingSystem", QT_TRANSLATE_NOOP("Checklist", "Operating system"), QT_TRANSLATE_NOOP("Checklist", "Host")},
        {"driver", QT_TRANSLATE_NOOP("Checklist", "Driver"), QT_TRANSLATE_NOOP("Checklist", "Host")},
        {"gameVersion", QT_TRANSLATE_NOOP("Checklist", "Game version"), QT_TRANSLATE_NOOP("Checklist", "Game")},
        {"scene", QT_TRANSLATE_NOOP("Checklist", "Scene"), QT_TRANSLATE_NOOP("Checklist", "Game")},
        {"action", QT_TRANSLATE_NOOP("Checklist", "Action"), QT_TRANSLATE_NOOP("Checklist", "Game")},
        {"resolution", QT_TRANSLATE_NOOP("Checklist", "Resolution"), QT_TRANSLATE_NOOP("Checklist", "Rendering")},
        {"frameCap", QT_TRANSLATE_NOOP("Checklist", "Frame cap"), QT_TRANSLATE_NOOP("Checklist", "Rendering")},
        {"queue", QT_TRANSLATE_NOOP("Checklist", "Render queue"), QT_TRANSLATE_NOOP("Checklist", "Rendering")},
        {"sync", QT_TRANSLATE_NOOP("Checklist", "Sync"), QT_TRANSLATE_NOOP("Checklist", "Rendering")},
        {"vrrRange", QT_TRANSLATE_NOOP("Checklist", "VRR range"), QT_TRANSLATE_NOOP("Checklist", "Rendering")},
        {"display", QT_TRANSLATE_NOOP("Checklist", "Display"), QT_TRANSLATE_NOOP("Checklist", "Display")},
        {"displayMode", QT_TRANSLATE_NOOP("Checklist", "Display mode"), QT_TRANSLATE_NOOP("Checklist", "Display")},
        {"brightness", QT_TRANSLATE_NOOP("Checklist", "Brightness"), QT_TRANSLATE_NOOP("Checklist", "Display")},
        {"strobe", QT_TRANSLATE_NOOP("Checklist", "Strobe"), QT_TRANSLATE_NOOP("Checklist", "Display")},
        {"overdrive", QT_TRANSLATE_NOOP("Checklist", "Overdrive"), QT_TRANSLATE_NOOP("Checklist", "Display")},
        {"regionHeight", QT_TRANSLATE_NOOP("Checklist", "Height of the region on the display"),
         QT_TRANSLATE_NOOP("Checklist", "Display")},
    };
    return fields;
}

std::span<const TextField> rigFields()
{
    static constexpr TextField fields[] = {
        {"lampWiring", QT_TRANSLATE_NOOP("Checklist", "Lamp wiring"), QT_TRANSLATE_NOOP("Checklist", "Lamp")},
        {"lampColour", QT_TRANSLATE_NOOP("Checklist", "Lamp colour"), QT_TRANSLATE_NOOP("Checklist", "Lamp")},
        {"resistor", QT_TRANSLATE_NOOP("Checklist", "Resistor"), QT_TRANSLATE_NOOP("Checklist", "Lamp")},
        {"supply", QT_TRANSLATE_NOOP("Checklist", "Supply"), QT_TRANSLATE_NOOP("Checklist", "Lamp")},
        {"pressMethod", QT_TRANSLATE_NOOP("Checklist", "Press method"), QT_TRANSLATE_NOOP("Checklist", "Press")},
        {"light", QT_TRANSLATE_NOOP("Checklist", "Light"), QT_TRANSLATE_NOOP("Checklist", "Surroundings")},
    };
    return fields;
}

std::span<const TextField> cameraFields()
{
    static constexpr TextField fields[] = {
        {"model", QT_TRANSLATE_NOOP("Checklist", "Model"), QT_TRANSLATE_NOOP("Checklist", "Camera")},
        {"firmware", QT_TRANSLATE_NOOP("Checklist", "Firmware"), QT_TRANSLATE_NOOP("Checklist", "Camera")},
        {"mode", QT_TRANSLATE_NOOP("Checklist", "Mode"), QT_TRANSLATE_NOOP("Checklist", "Camera")},
        {"exposure", QT_TRANSLATE_NOOP("Checklist", "Exposure"), QT_TRANSLATE_NOOP("Checklist", "Settings")},
        {"iso", QT_TRANSLATE_NOOP("Checklist", "ISO"), QT_TRANSLATE_NOOP("Checklist", "Settings")},
        {"locks", QT_TRANSLATE_NOOP("Checklist", "Exposure, focus and white balance locks"),
         QT_TRANSLATE_NOOP("Checklist", "Settings")},
        {"orientation", QT_TRANSLATE_NOOP("Checklist", "Orientation"), QT_TRANSLATE_NOOP("Checklist", "Sensor")},
        {"readout", QT_TRANSLATE_NOOP("Checklist", "Readout"), QT_TRANSLATE_NOOP("Checklist", "Sensor")},
        {"warmUp", QT_TRANSLATE_NOOP("Checklist", "Warm-up"), QT_TRANSLATE_NOOP("Checklist", "Sensor")},
    };
    return fields;
}

} // namespace session
