#include "ui/chart/chart_palette.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

// The first two groups are the pair that stays furthest apart in simulated colour blindness at these contrasts; the
// third is grey, which no kind of colour blindness takes for either.
const ChartPalette dark = {
    .background = QColor(0x14, 0x14, 0x14),
    .text = QColor(0xff, 0xff, 0xff),
    .quietText = QColor(0xbd, 0xbd, 0xbd),
    .grid = QColor(0x33, 0x33, 0x33),
    .axis = QColor(0x8a, 0x8a, 0x8a),
    .interval = QColor(0xff, 0xff, 0xff),
    .baseline = QColor(0xf0, 0xf0, 0xf0),
    .groups = {{{QColor(0x55, 0x60, 0xc4), QColor(0xb9, 0xc4, 0xff)},
                {QColor(0x85, 0x74, 0x15), QColor(0xef, 0xe0, 0x8c)},
                {QColor(0x6b, 0x6b, 0x6b), QColor(0xd0, 0xd0, 0xd0)}}},
};

const ChartPalette light = {
    .background = QColor(0xff, 0xff, 0xff),
    .text = QColor(0x11, 0x11, 0x11),
    .quietText = QColor(0x45, 0x45, 0x45),
    .grid = QColor(0xdd, 0xdd, 0xdd),
    .axis = QColor(0x76, 0x76, 0x76),
    .interval = QColor(0, 0, 0),
    .baseline = QColor(0x16, 0x16, 0x16),
    .groups = {{{QColor(0x5b, 0x74, 0xd6), QColor(0x22, 0x30, 0x7f)},
                {QColor(0x9a, 0x84, 0x18), QColor(0x5a, 0x4d, 0x00)},
                {QColor(0x8c, 0x8c, 0x8c), QColor(0x3a, 0x3a, 0x3a)}}},
};

double linear(double channel)
{
    return channel <= 0.04045 ? channel / 12.92 : std::pow((channel + 0.055) / 1.055, 2.4);
}

double luminance(const QColor& colour)
{
    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF());
}

} // namespace

const ChartPalette& chartPalette(session::ChartTheme theme)
{
    return theme == session::ChartTheme::Dark ? dark : light;
}

double contrastRatio(const QColor& a, const QColor& b)
{
    const auto [lower, higher] = std::minmax({luminance(a), luminance(b)});
    return (higher + 0.05) / (lower + 0.05);
}

} // namespace ui
