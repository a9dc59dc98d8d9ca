#include "ui/chart/chart_palette.h"

#include <algorithm>

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
    .band = QColor(0x2c, 0x2c, 0x2c),
    .interval = QColor(0xff, 0xff, 0xff),
    .baseline = QColor(0xf0, 0xf0, 0xf0),
    .groups = {{QColor(0x55, 0x60, 0xc4), QColor(0xb9, 0xc4, 0xff)},
               {QColor(0x85, 0x74, 0x15), QColor(0xef, 0xe0, 0x8c)},
               {QColor(0x6b, 0x6b, 0x6b), QColor(0xd0, 0xd0, 0xd0)}},
};

const ChartPalette light = {
    .background = QColor(0xff, 0xff, 0xff),
    .text = QColor(0x11, 0x11, 0x11),
    .quietText = QColor(0x45, 0x45, 0x45),
    .grid = QColor(0xdd, 0xdd, 0xdd),
    .axis = QColor(0x76, 0x76, 0x76),
    .band = QColor(0xe6, 0xe6, 0xe6),
    .interval = QColor(0, 0, 0),
    .baseline = QColor(0x16, 0x16, 0x16),
    .groups = {{QColor(0x5b, 0x74, 0xd6), QColor(0x22, 0x30, 0x7f)},
               {QColor(0x9a, 0x84, 0x18), QColor(0x5a, 0x4d, 0x00)},
               {QColor(0x8c, 0x8c, 0x8c), QColor(0x3a, 0x3a, 0x3a)}},
};

} // namespace

const ChartPalette& chartPalette(session::ChartTheme theme)
{
    return theme == session::ChartTheme::Dark ? dark : light;
}

report::Colour plainColour(const QColor& colour)
{
    return {static_cast<std::uint8_t>(colour.red()), static_cast<std::uint8_t>(colour.green()),
            static_cast<std::uint8_t>(colour.blue())};
}

double contrastRatio(const QColor& a, const QColor& b) { return report::contrastRatio(plainColour(a), plainColour(b)); }

QStringList paletteFaults(const ChartPalette& palette, int groups)
{
    QStringList faults;
    const auto contrast = [&](const QString& what, const QColor& colour, const QColor& against, const QString& on,
                              double needed) {
        const double reached = contrastRatio(colour, against);
        if (reached < needed)
            faults << QStringLiteral("%1 %2 on %3 %4 has a contrast of %5 : 1; it takes %6.")
                          .arg(what, colour.name(), on, against.name(), QString::number(reached, 'f', 1),
                               QString::number(needed));
    };
    using report::leastGraphicsContrast, report::leastTextContrast;
    const QString ground = QStringLiteral("the background");
    contrast(QStringLiteral("The text"), palette.text, palette.background, ground, leastTextContrast);
    contrast(QStringLiteral("The quiet text"), palette.quietText, palette.background, ground, leastTextContrast);
    contrast(QStringLiteral("The interval"), palette.interval, palette.background, ground, leastGraphicsContrast);
    contrast(QStringLiteral("The baseline"), palette.baseline, palette.background, ground, leastGraphicsContrast);
    const auto shown = std::min<std::size_t>(palette.groups.size(), static_cast<std::size_t>(std::max(1, groups)));
    for (std::size_t i = 0; i < shown; ++i) {
        const QString number = QString::number(i + 1);
        const GroupColours& group = palette.groups[i];
        contrast(QStringLiteral("The bar of group %1").arg(number), group.bar, palette.background, ground,
                 leastGraphicsContrast);
        contrast(QStringLiteral("The dots of group %1").arg(number), group.dot, palette.background, ground,
                 leastGraphicsContrast);
        contrast(QStringLiteral("The interval"), palette.interval, group.bar,
                 QStringLiteral("the bar of group %1").arg(number), leastGraphicsContrast);
        if (i + 1 == shown)
            break;
        const double least = report::leastDifference(plainColour(group.bar), plainColour(palette.groups[i + 1].bar));
        if (least < report::leastColourDifference)
            faults << QStringLiteral("The bars of groups %1 and %2 (%3, %4) look alike to people with a colour vision "
                                     "deficiency: a difference of %5, and it takes %6.")
                          .arg(number, QString::number(i + 2), group.bar.name(), palette.groups[i + 1].bar.name(),
                               QString::number(least, 'f', 0), QString::number(report::leastColourDifference));
    }
    return faults;
}

} // namespace ui
