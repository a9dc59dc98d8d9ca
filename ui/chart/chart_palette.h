#pragma once
#include "core/session/settings.h"
#include <QColor>
#include <array>

namespace ui {

/// Bar and dots of one group. Groups are named in the chart as well: colour alone tells nothing.
struct GroupColours {
    QColor bar, dot;
};

/// Colours of a published chart. Contrast against the background (WCAG ratio): text and dots at least 4.5, bars 3;
/// the interval against every bar at least 4.5.
struct ChartPalette {
    QColor background, text, quietText;
    QColor grid, axis;
    QColor interval, baseline;
    std::array<GroupColours, 3> groups; ///< further groups start again, so neighbours always differ
};

const ChartPalette& chartPalette(session::ChartTheme theme);

/// WCAG 2.1 contrast ratio of two opaque colours, 1 to 21.
double contrastRatio(const QColor& a, const QColor& b);

} // namespace ui
