#include "core/analysis/corrections.h"

#include <charconv>
#include <cmath>
#include <string_view>

namespace analysis {
namespace {

double middleRow(const session::Region& region) { return region.y + region.height / 2.0; }

timing::ReadoutOrder orderOf(session::ReadoutDirection direction)
{
    switch (direction) {
    case session::ReadoutDirection::FirstRowFirst: return timing::ReadoutOrder::FirstRowFirst;
    case session::ReadoutDirection::LastRowFirst: return timing::ReadoutOrder::LastRowFirst;
    case session::ReadoutDirection::Unknown: break;
    }
    return timing::ReadoutOrder::Unknown;
}

} // namespace

double typedUncertainty(double value)
{
    char text[400];
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed).ptr;
    const std::string_view digits(text, static_cast<std::size_t>(end - text));
    const std::size_t point = digits.find('.');
    const auto decimals = point == std::string_view::npos ? 0 : static_cast<int>(digits.size() - point - 1);
    return 0.5 * std::pow(10.0, -decimals) / std::sqrt(3.0) / value;
}

std::optional<timing::ShutterEffect> shutterEffect(const session::Capture& capture, const session::Trial& trial,
                                                   const CaptureClock& clock)
{
    if (!clock.settled || clock.clock->readout.kind == session::ReadoutKind::AllAtOnce)
        return timing::ShutterEffect{};
    const session::Region* lamp = findRegion(capture, trial.lamp);
    const session::Region* screen = findRegion(capture, trial.screen);
    if (!lamp || !screen)
        return std::nullopt;
    const double rowsDown = middleRow(*screen) - middleRow(*lamp);
    const session::Readout& readout = clock.clock->readout;
    if (readout.kind == session::ReadoutKind::LineTime)
        return timing::knownLineTime({timing::Seconds{readout.lineTimeSeconds},
                                      timing::Seconds{readout.uncertaintySeconds}, orderOf(readout.direction)},
                                     rowsDown);
    return timing::unknownLineTime(timing::Seconds{1 / clock.settled->rate.rate}, capture.height, rowsDown);
}

std::optional<timing::ScanOutEffect> scanOutEffect(const session::Document& document, session::ConfigurationId id)
{
    const session::EventDefinition& event = document.settings.event;
    const session::Configuration* configuration = find(document, id);
    if (!event.commonHeight || !configuration || !configuration->reactionHeight || !configuration->refreshHz)
        return std::nullopt;
    const timing::ScanOut display{*configuration->reactionHeight, *configuration->refreshHz,
                                  typedUncertainty(*configuration->refreshHz), event.scanOutTolerance};
    return timing::toCommonHeight(display, *event.commonHeight);
}

Corrections correctionsOf(const session::Document& document, const session::Capture& capture,
                          const session::Trial& trial, const CaptureClock& clock)
{
    const session::EventDefinition& event = document.settings.event;
    Corrections corrections;
    if (const auto shutter = shutterEffect(capture, trial, clock))
        corrections.rows = shutter->correction;
    if (const auto scanOut = scanOutEffect(document, trial.configuration))
        corrections.scanOut = scanOut->correction;
    corrections.lampLead = {timing::Milliseconds{-event.lampLeadMs}, timing::Milliseconds{event.lampLeadWidthMs / 2}};
    corrections.onset = {timing::Milliseconds{0}, timing::Milliseconds{event.onsetWidthMs / 2}};
    return corrections;
}

} // namespace analysis
