#pragma once
#include "ui/chart/chart_style.h"
#include "ui/chart/chart_scene.h"
#include "core/media/index/footage.h"
#include "core/media/picture/rendition.h"

namespace ui {

/// What stills and clips of evidence are put together from, in units of a ChartScene.
inline constexpr int evidenceText = smallestChartText, evidencePitch = 48; ///< px of a line, from line to line
inline constexpr qreal evidenceGap = 20;

enum class MarkedEvent { Press, Response };
QString eventWord(MarkedEvent); ///< "press", "response"
/// The program's own, of the theme that stands out on `background`.
QColor eventColour(MarkedEvent, const QColor& background);

/// Triangle down or square that fills `box`, as everywhere in the program.
void addSign(ChartScene& scene, MarkedEvent event, const QRectF& box, const QColor& colour);
void addRing(ChartScene& scene, const QRectF& inside, qreal width, const QColor& colour);

/// `room` in `count` equal parts with `gap` between: beside each other, or else below.
std::vector<QRectF> partsOf(const QRectF& room, std::size_t count, qreal gap, bool beside);
/// Puts the pieces from number `first` on in the middle of the height they may take.
void centreBelow(ChartScene& scene, std::size_t first, const QRectF& room);

QImage imageOf(const media::RgbImage& rgb);
/// Upright and of square pixels: what a picture's width and height are to each other.
QSizeF shownShape(const media::Footage& footage);
/// Where part of the native picture lies in `box`, which shows all of it upright.
QRectF shownPart(const media::Footage& footage, const QRectF& native, const QRectF& box);

} // namespace ui
