#pragma once
#include "ui/chart/chart_scene.h"
#include <QByteArray>

class QPainter;

namespace ui {

/// Paints a laid-out picture into `target`, as large as its shape allows.
void paintChart(QPainter& painter, const QRectF& target, const ChartScene& scene);
/// One piece of it, where the painter is set up for units.
void paintPiece(QPainter& painter, const ChartPiece& piece);
/// At its real size; ARGB32_Premultiplied where nothing lies behind, else RGB32.
QImage chartImage(const ChartScene& scene);

/// As PNG in its pixels, sRGB, opaque or with straight alpha. The same scene gives the same bytes; needs no screen.
QByteArray chartPng(const ChartScene& scene);
QByteArray pngBytes(const QImage& image);

/// The same picture as SVG 1.1, words as outlines: readable as title and description, no dates.
QByteArray chartSvg(const ChartScene& scene);
/// The same pictures as PDF, one a page, without a date.
QByteArray chartPdf(const std::vector<ChartScene>& scenes);

} // namespace ui
