#pragma once
#include "core/report/colour.h"
#include "core/session/settings.h"
#include <QColor>
#include <QStringList>
#include <vector>

namespace ui {

/// Bar and dots of one group. Groups are named in the chart as well: colour alone tells nothing.
struct GroupColours {
    QColor bar, dot;
};

/// Colours of a published picture. Contrast against the background (WCAG ratio): text and dots at least 4.5, bars 3;
/// the interval against every bar at least 4.5.
struct ChartPalette {
    QColor background, text, quietText;
    QColor grid, axis, band;
    QColor interval, baseline;
    std::vector<GroupColours> groups; ///< >= 1; further groups start again
};

const ChartPalette& chartPalette(session::ChartTheme theme);

/// Of opaque colours, as core/report/colour.h has it.
report::Colour plainColour(const QColor& colour);
double contrastRatio(const QColor& a, const QColor& b);

/// What somebody can't read or tell apart in these colours, a sentence each with the colours, what they reach and what
/// they should; empty where all is well. Neighbouring groups of `groups` shown are compared as people with each kind of
/// colour vision see them.
QStringList paletteFaults(const ChartPalette& palette, int groups);

} // namespace ui
