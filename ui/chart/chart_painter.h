#pragma once
#include "core/report/chart_model.h"
#include "ui/chart/chart_scene.h"
#include <QByteArray>

class QPainter;

namespace ui {

/// Paints a laid-out chart into `target`, as large as its shape allows.
void paintChart(QPainter& painter, const QRectF& target, const ChartScene& scene);

/// The comparison chart as 1920 x 1080 PNG, opaque sRGB. The same model gives the same bytes; needs no screen.
QByteArray chartPng(const ChartScene& scene);
/// The same picture as SVG 1.1: words as outlines (readable as title and description), no dates.
QByteArray chartSvg(const ChartScene& scene);

} // namespace ui
