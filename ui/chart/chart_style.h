#pragma once
#include "ui/chart/chart_palette.h"
#include "ui/chart/chart_scene.h"
#include <QImage>
#include <QSize>
#include <filesystem>

namespace ui {

/// Colours, font and logo of published pictures.
struct PictureTheme {
    QString name;
    ChartPalette palette;
    Typeface face;
    QImage logo; ///< may be null
};
const PictureTheme& bundledTheme(session::ChartTheme);

/// A theme of the analyst's own: a JSON object with "base" ("dark" or "light") and what differs from it: "background",
/// "text", "quietText", "grid", "axis", "band", "interval", "baseline" (as "#rrggbb"), "groups" (a list of objects with
/// "bar" and "dot"), "logo" (a PNG file), "font", "boldFont" (TrueType or OpenType files); files beside the theme.
/// Throws core::Error (NotFound, Unreadable, Malformed) with the field at fault.
PictureTheme readTheme(const std::filesystem::path& file);
/// Where the analyst's themes are kept, NAME.json each.
std::filesystem::path themeFolder();
QStringList ownThemes(); ///< names, sorted
/// "dark", "light", the name of an own theme, or the path of a theme file. Throws core::Error as readTheme().
PictureTheme themeNamed(const QString& name);

/// How a picture is made of a chart.
struct ChartStyle {
    PictureTheme theme = bundledTheme(session::ChartTheme::Dark);
    QSize pixels{1920, 1080};
    bool transparent = false;
    bool notesApart = false;
};
/// Of the session's settings. Throws core::Error where its own theme can't be read.
ChartStyle styleOf(const session::PublishSettings& publish);

/// A picture of that style with nothing on it yet.
ChartScene emptyScene(const ChartStyle& style);
/// Where the theme's logo stands, at the upper right of `room`; empty where it has none.
QRectF logoBox(const PictureTheme& theme, const QRectF& room);

/// A picture's size in units: its shorter side has 1080, fewer where a phone would show a long picture smaller.
QSizeF unitsOf(QSize pixels);
/// What all of a picture keeps to: the graphics-safe area of EBU R 95, 5 % on every side.
QRectF safeAreaOf(QSizeF units);
/// No text is smaller: capitals of 26 units, which a phone shows at the 16 minutes of arc that ISO 9241-3 asks for.
inline constexpr int smallestChartText = 37;

} // namespace ui
