#include "app/arguments.h"
#include "app/commands.h"
#include "core/reading/hints.h"

#include <cmath>

namespace app {
namespace {

const char* wordFor(reading::ChangeKind kind)
{
    switch (kind) {
    case reading::ChangeKind::BrightnessStep: return "brightness step";
    case reading::ChangeKind::MotionStarts: return "motion starts";
    case reading::ChangeKind::MotionStops: return "motion stops";
    case reading::ChangeKind::Appears: return "a thing appears";
    case reading::ChangeKind::Colour: return "colour";
    }
    return "";
}

double rounded(double strength) { return std::round(strength * 100) / 100; }

QJsonObject toJson(const std::vector<reading::HintPair>& hints)
{
    QJsonArray presses, responses;
    for (const reading::HintPair& pair : hints) {
        presses.append(QJsonObject{{QStringLiteral("frame"), qint64(pair.press.frame.value)},
                                   {QStringLiteral("strength"), rounded(pair.press.strength)}});
        if (!pair.response)
            continue;
        responses.append(
            QJsonObject{{QStringLiteral("press"), qint64(pair.press.frame.value)},
                        {QStringLiteral("frame"), qint64(pair.response->frame.value)},
                        {QStringLiteral("strength"), rounded(pair.response->strength)},
                        {QStringLiteral("kind"), QLatin1String(wordFor(pair.response->kind))},
                        {QStringLiteral("blocks"), toJsonArray(pair.response->blocks, [](const media::Rect& r) {
                             return QJsonArray{r.x, r.y, r.width, r.height};
                         })}});
    }
    return {{QStringLiteral("presses"), presses}, {QStringLiteral("responses"), responses}};
}

void printText(const std::vector<reading::HintPair>& hints)
{
    if (hints.empty())
        printLine(QStringLiteral("no press: the lamp's region doesn't change as a lamp does, or blinks throughout"));
    for (const reading::HintPair& pair : hints) {
        const QString press = QStringLiteral("press %1").arg(pair.press.frame.value);
        printLine(pair.response ? QStringLiteral("%1  response %2  %3, strength %4")
                                      .arg(press)
                                      .arg(pair.response->frame.value)
                                      .arg(QLatin1String(wordFor(pair.response->kind)))
                                      .arg(pair.response->strength, 0, 'f', 1)
                                : press + QStringLiteral("  no hint of a response"));
    }
}

} // namespace

int hints(const Arguments& given)
{
    const QString path = given.onlyOperand("file");
    const auto footage = media::openFootage(path.toStdString());
    const std::vector<media::Rect> regions{given.regionIn(footage->size, "lamp"),
                                           given.regionIn(footage->size, "screen")};
    const std::vector<media::Trace> traces = media::traceRegions(*footage, regions);
    const auto found =
        reading::findHints(traces[0], traces[1], regions[1],
                           given.has("goes-out") ? session::LampEvent::GoesOut : session::LampEvent::Lights);
    if (given.has("json"))
        printJson(toJson(found));
    else
        printText(found);
    return Fine;
}

} // namespace app
