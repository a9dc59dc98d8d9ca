#include "tests/footage/bench_scene.h"
#include <array>

namespace footage {
namespace {

const Plane monitor({-0.385, 0.135}, {0.690, 0.095}, {0.672, 0.742}, {-0.380, 0.700});
constexpr double planeHeight = 0.61; // of the monitor in scene units, about
constexpr double planeAspect = 1.75;
constexpr Point lampCentre{-0.585, 0.400};
constexpr double lampRadius = 0.030;
constexpr double glowReach = 0.17; // ends before the screen region begins
constexpr double deskEdge = 0.805;
constexpr Point vanishing{0.60, 0.47};
constexpr Point panelLow{0.045, 0.20}, panelHigh{0.255, 0.60};

std::vector<Point> onMonitor(std::vector<Point> uv)
{
    for (Point& p : uv)
        p = monitor.toScene(p);
    return uv;
}

std::vector<Point> monitorBox(Point low, Point high)
{
    return onMonitor({low, {high.x, low.y}, high, {low.x, high.y}});
}

// Static grain, so that wall and desk aren't dead flat.
double grain(Point p)
{
    const double s = std::sin(p.x * 127.1 + p.y * 311.7) * 43758.5453;
    return s - std::floor(s) - 0.5;
}

void paintRoom(Canvas& canvas)
{
    const auto everywhere = [](Point) { return -1.0; };
    canvas.paint({-9, -9}, {9, 9}, everywhere, [](Point p) {
        const double halo = std::exp(-3.2 * dot(p - Point{0.15, 0.42}, p - Point{0.15, 0.42}));
        return Colour{0.0085f, 0.0085f, 0.0100f} + Colour{0.0120f, 0.0145f, 0.0180f} * halo;
    });
    canvas.paint(
        {-9, deskEdge}, {9, 9}, [](Point p) { return deskEdge - p.y; },
        [](Point p) {
            const double lit =
                std::exp(-2.5 * (p.x - 0.15) * (p.x - 0.15)) * (1 - 0.5 * smoothStep(deskEdge, 1.0, p.y));
            const double board = 0.75 + 0.25 * std::cos(p.y * 60 + 0.4 * std::sin(p.x * 9)) + 0.12 * grain(p);
            return Colour{0.0120f, 0.0085f, 0.0065f} + Colour{0.0300f, 0.0240f, 0.0200f} * (lit * board);
        });
    canvas.paintLine({-3, deskEdge}, {3, deskEdge}, 0.004, {0.030f, 0.025f, 0.022f});
}

void paintMonitorBody(Canvas& canvas)
{
    const Colour body{0.0065f, 0.0065f, 0.0070f}, edge{0.022f, 0.022f, 0.024f};
    canvas.paintPolygon({{0.08, 0.72}, {0.22, 0.72}, {0.25, 0.86}, {0.05, 0.86}}, [&](Point) { return body; });
    canvas.paintPolygon({{-0.10, 0.885}, {0.02, 0.855}, {0.28, 0.855}, {0.40, 0.885}, {0.38, 0.900}, {-0.08, 0.900}},
                        [&](Point p) { return body + edge * (0.5 * smoothStep(0.89, 0.86, p.y)); });
    canvas.paintPolygon(monitorBox({-0.028, -0.048}, {1.028, 1.070}), [&](Point) { return edge; });
    canvas.paintPolygon(monitorBox({-0.024, -0.041}, {1.024, 1.063}), [&](Point) { return body; });
}

void paintLandscape(Canvas& canvas)
{
    canvas.paintPolygon(monitorBox({0, 0}, {1, 1}), [](Point p) {
        const double v = monitor.fromScene(p).y;
        if (v < vanishing.y)
            return mix(Colour{0.055f, 0.115f, 0.260f}, Colour{0.420f, 0.470f, 0.480f}, v / vanishing.y);
        return mix(Colour{0.055f, 0.105f, 0.045f}, Colour{0.085f, 0.170f, 0.055f},
                   (v - vanishing.y) / (1 - vanishing.y));
    });
    canvas.paintPolygon(onMonitor({{0, .47},
                                   {0, .39},
                                   {.08, .33},
                                   {.17, .385},
                                   {.29, .29},
                                   {.40, .375},
                                   {.49, .42},
                                   {.60, .40},
                                   {.70, .335},
                                   {.80, .30},
                                   {.90, .36},
                                   {1, .32},
                                   {1, .47}}),
                        [](Point) {
                            return Colour{0.095f, 0.140f, 0.155f};
                        });
    canvas.paintPolygon(onMonitor({{0, .475},
                                   {0, .43},
                                   {.12, .41},
                                   {.24, .44},
                                   {.38, .415},
                                   {.52, .455},
                                   {.68, .44},
                                   {.80, .405},
                                   {.92, .43},
                                   {1, .415},
                                   {1, .475}}),
                        [](Point) {
                            return Colour{0.050f, 0.095f, 0.070f};
                        });
    for (const Point tree :
         {Point{.32, .462}, {.355, .456}, {.415, .465}, {.74, .460}, {.785, .455}, {.845, .462}, {.93, .452}}) {
        const Point centre = monitor.toScene(tree);
        canvas.paint(
            centre - Point{.02, .04}, centre + Point{.02, .03},
            [&](Point p) {
                return length({(p.x - centre.x) * 1.6, p.y - centre.y}) - 0.020;
            },
            [](Point) {
                return Colour{0.022f, 0.052f, 0.026f};
            });
    }
}

void paintRoad(Canvas& canvas)
{
    canvas.paintPolygon(onMonitor({{.597, .47}, {.603, .47}, {1.0, .905}, {1.0, 1.0}, {.10, 1.0}}), [](Point) {
        return Colour{0.080f, 0.080f, 0.085f};
    });
    const Colour line{0.46f, 0.46f, 0.44f};
    canvas.paintPolygon(onMonitor({{.598, .47}, {.599, .47}, {.165, 1.0}, {.125, 1.0}}), [&](Point) { return line; });
    canvas.paintPolygon(onMonitor({{.601, .47}, {.602, .47}, {1.0, .885}, {1.0, .915}}), [&](Point) { return line; });
}

// The middle line's pixels; which of them shine is decided frame by frame.
std::vector<LitPixel> roadPixels(Canvas& canvas)
{
    constexpr double dashLength = 2.2; // in units of the distance at the picture's lower edge
    const std::vector<Point> strip = onMonitor({{.5985, .478}, {.6015, .478}, {.616, .86}, {.584, .86}});
    Point low{9, 9}, high{-9, -9};
    for (const Point& c : strip) {
        low = {std::min(low.x, c.x), std::min(low.y, c.y)};
        high = {std::max(high.x, c.x), std::max(high.y, c.y)};
    }
    std::vector<LitPixel> pixels;
    canvas.cover(
        low, high, [&](Point p) { return polygonDistance(p, strip); },
        [&](int x, int y, Point p, double share) {
            const double v = monitor.fromScene(p).y;
            const double nearness = std::max(0.004, (v - vanishing.y) / (1 - vanishing.y));
            const double depth = 1 / nearness / dashLength;
            const double footprint = depth / nearness * canvas.view().pixelSize() / planeHeight / (1 - vanishing.y);
            pixels.push_back(
                {x, y, canvas.at(x, y), (Colour{0.50f, 0.50f, 0.48f} - canvas.at(x, y)) * share, v, depth, footprint});
        });
    return pixels;
}

void paintCockpit(Canvas& canvas)
{
    const Colour dark{0.010f, 0.010f, 0.012f};
    canvas.paintPolygon(onMonitor({{.20, 1.0}, {.26, .905}, {.40, .872}, {.80, .872}, {.92, .905}, {.98, 1.0}}),
                        [&](Point p) {
                            return dark + Colour{0.02f, 0.02f, 0.02f} * smoothStep(0.62, 0.58, p.y);
                        });
    canvas.paintPolygon(monitorBox({.525, .885}, {.675, .965}), [](Point) { return Colour{0.002f, 0.002f, 0.002f}; });
    for (int i = 0; i < 8; ++i) {
        const double u = .533 + i * .0172;
        const Colour lit = i < 3   ? Colour{0.06f, 0.30f, 0.09f}
                           : i < 5 ? Colour{0.42f, 0.30f, 0.05f}
                                   : Colour{0.03f, 0.02f, 0.02f};
        canvas.paintPolygon(monitorBox({u, .898}, {u + .011, .920}), [&](Point) { return lit; });
    }
    canvas.paintPolygon(monitorBox({.545, .932}, {.655, .955}), [](Point) { return Colour{0.060f, 0.110f, 0.100f}; });
}

std::vector<LitPixel> panelPixels(Canvas& canvas, const SceneSpec& scene)
{
    const Colour tint{1.0f, 1.0f, 0.93f};
    const Point centre = (panelLow + panelHigh) * 0.5, half = (panelHigh - panelLow) * 0.5;
    const auto distanceBy = [&](double grow) {
        return [=](Point p) {
            const Point uv = monitor.fromScene(p);
            return planeHeight
                   * boxDistance({uv.x * planeAspect, uv.y}, {centre.x * planeAspect, centre.y},
                                 {half.x * planeAspect + grow, half.y + grow}, 0.02);
        };
    };
    const Point low = monitor.toScene(panelLow - Point{.05, .05}), high = monitor.toScene(panelHigh + Point{.05, .05});
    canvas.paint(low, high, distanceBy(0.028), [](Point) { return Colour{0.004f, 0.004f, 0.005f}; });
    canvas.paint(low, high, distanceBy(0.0), [&](Point) { return tint * scene.panelRest; });

    std::vector<LitPixel> pixels;
    canvas.cover(low, high, distanceBy(0.0), [&](int x, int y, Point p, double share) {
        pixels.push_back({x, y, canvas.at(x, y), tint * ((scene.panelBright - scene.panelRest) * share),
                          monitor.fromScene(p).y, 0, 0});
    });
    return pixels;
}

constexpr Point mirrorLow{0.745, 0.500}, mirrorHigh{0.872, 0.590}, mirrorPanelLow{0.753, 0.514},
    mirrorPanelHigh{0.800, 0.570};

std::vector<Point> box(Point low, Point high) { return {low, {high.x, low.y}, high, {low.x, high.y}}; }

std::vector<LitPixel> mirrorPixels(Canvas& canvas, const SceneSpec& scene)
{
    const Colour body{0.0065f, 0.0065f, 0.0070f}, tint{1.0f, 1.0f, 0.93f};
    const Point rim{0.006, 0.006};
    const auto paint = [&](const std::vector<Point>& corners, Colour colour) {
        canvas.paintPolygon(corners, [=](Point) { return colour; });
    };
    paint(box({0.800, mirrorHigh.y}, {0.816, deskEdge + 0.02}), body);
    paint(box({0.765, deskEdge + 0.01}, {0.851, deskEdge + 0.03}), body);
    paint(box(mirrorLow - rim, mirrorHigh + rim), body);
    paint(box(mirrorLow, mirrorHigh), {0.200f, 0.270f, 0.350f});
    const double horizon = mirrorLow.y + vanishing.y * (mirrorHigh.y - mirrorLow.y);
    paint(box({mirrorLow.x, horizon}, mirrorHigh), {0.065f, 0.125f, 0.048f});
    paint({{0.820, horizon}, {0.823, horizon}, {0.868, mirrorHigh.y}, {0.790, mirrorHigh.y}}, {0.080f, 0.080f, 0.085f});
    const std::vector<Point> panel = box(mirrorPanelLow, mirrorPanelHigh);
    paint(panel, tint * scene.panelRest);
    std::vector<LitPixel> pixels;
    canvas.cover(
        mirrorPanelLow, mirrorPanelHigh, [&](Point p) { return polygonDistance(p, panel); },
        [&](int x, int y, Point p, double share) {
            pixels.push_back({x, y, canvas.at(x, y), tint * ((scene.panelBright - scene.panelRest) * share),
                              (p.y - mirrorLow.y) / (mirrorHigh.y - mirrorLow.y), 0, 0});
        });
    return pixels;
}

void paintWire(Canvas& canvas)
{
    const Point a{-0.598, 0.735}, b{-0.470, 0.700}, c{-0.690, 0.550}, d{-0.592, 0.465};
    Point last = a;
    constexpr int pieces = 28;
    for (int i = 1; i <= pieces; ++i) {
        const double t = static_cast<double>(i) / pieces, s = 1 - t;
        const Point next = a * (s * s * s) + b * (3 * s * s * t) + c * (3 * s * t * t) + d * (t * t * t);
        canvas.paintLine(last, next, 0.0075, {0.110f, 0.016f, 0.013f});
        last = next;
    }
}

void paintPedal(Canvas& canvas)
{
    const Colour steel{0.052f, 0.054f, 0.058f};
    canvas.paintPolygon({{-0.830, 0.905}, {-0.500, 0.875}, {-0.470, 0.912}, {-0.820, 0.947}}, [](Point p) {
        return Colour{0.018f, 0.018f, 0.020f} + Colour{0.02f, 0.02f, 0.02f} * smoothStep(-0.80, -0.50, p.x);
    });
    canvas.paintPolygon({{-0.700, 0.850}, {-0.600, 0.840}, {-0.560, 0.888}, {-0.740, 0.903}}, [](Point) {
        return Colour{0.010f, 0.010f, 0.011f};
    });
    const std::array<Point, 4> plate{Point{-0.790, 0.645}, {-0.635, 0.615}, {-0.585, 0.855}, {-0.745, 0.890}};
    canvas.paintPolygon({plate.begin(), plate.end()}, [&](Point p) { return steel * (0.7 + 1.2 * (0.90 - p.y)); });
    const Plane face(plate[0], plate[1], plate[2], plate[3]);
    for (int i = 0; i < 6; ++i) {
        const double v = 0.12 + i * 0.15;
        canvas.paintLine(face.toScene({0.16, v}), face.toScene({0.84, v}), 0.013, {0.013f, 0.013f, 0.014f});
    }
    canvas.paintLine(plate[0], plate[1], 0.004, {0.13f, 0.13f, 0.14f});
}

void paintBoard(Canvas& canvas)
{
    const Point low{-0.690, 0.330}, high{-0.480, 0.480};
    canvas.paintPolygon({{-0.600, 0.475}, {-0.570, 0.475}, {-0.555, deskEdge + 0.03}, {-0.615, deskEdge + 0.03}},
                        [](Point) {
                            return Colour{0.016f, 0.015f, 0.014f};
                        });
    canvas.paintPolygon({low, {high.x, low.y + 0.004}, high, {low.x + 0.003, high.y}}, [](Point p) {
        return Colour{0.100f, 0.066f, 0.030f} * (0.85 + 0.5 * (p.x + 0.59));
    });
    for (int row = 0; row < 5; ++row)
        for (int column = 0; column < 7; ++column) {
            const Point hole{low.x + 0.017 + column * 0.029, low.y + 0.019 + row * 0.028};
            canvas.paint(
                hole - Point{.01, .01}, hole + Point{.01, .01},
                [&](Point p) { return circleDistance(p, hole, 0.0050); },
                [](Point) {
                    return Colour{0.012f, 0.009f, 0.006f};
                });
        }
    canvas.paintLine({-0.665, 0.452}, {-0.625, 0.452}, 0.012, {0.090f, 0.075f, 0.045f});
    canvas.paintLine({-0.680, 0.452}, {-0.610, 0.452}, 0.003, {0.14f, 0.14f, 0.14f});
    // Unlit lamp: dark red glass with a dull highlight.
    canvas.paint(
        lampCentre - Point{.05, .05}, lampCentre + Point{.05, .05},
        [](Point p) { return circleDistance(p, lampCentre, lampRadius * 1.12); },
        [](Point) {
            return Colour{0.022f, 0.004f, 0.004f};
        });
    canvas.paint(
        lampCentre - Point{.05, .05}, lampCentre + Point{.05, .05},
        [](Point p) { return circleDistance(p, lampCentre, lampRadius); },
        [](Point p) {
            const Point toHighlight = p - lampCentre + Point{0.009, 0.010};
            return Colour{0.045f, 0.006f, 0.006f}
                   + Colour{0.05f, 0.04f, 0.04f} * std::exp(-dot(toHighlight, toHighlight) / 5e-5);
        });
}

std::vector<LitPixel> lampPixels(Canvas& canvas, const SceneSpec& scene)
{
    std::vector<LitPixel> pixels;
    canvas.cover(
        lampCentre - Point{.2, .2}, lampCentre + Point{.2, .2},
        [](Point p) { return circleDistance(p, lampCentre, glowReach); },
        [&](int x, int y, Point p, double) {
            const double d = length(p - lampCentre);
            const double body = smoothStep(lampRadius + 0.003, lampRadius - 0.003, d);
            const double core = std::exp(-d * d / (2 * 0.013 * 0.013));
            const double glow = std::exp(-d / 0.045) * smoothStep(glowReach, glowReach * 0.5, d);
            // What the glow falls on decides how much of it comes back.
            const Colour surface = canvas.at(x, y);
            const Colour halo = Colour{0.05f, 0.010f, 0.005f} + Colour{surface.r * 9, surface.g * 3.2f, surface.b * 2};
            const Colour light = halo * glow + Colour{0.75f, 0.12f, 0.06f} * body + Colour{0.4f, 0.55f, 0.40f} * core;
            pixels.push_back({x, y, surface, light * scene.lampBrightness, 0, 0, 0});
        });
    return pixels;
}

// The largest upright box within four corners that lie roughly on an upright box.
Rect boxWithin(const View& view, std::array<Point, 4> corners)
{
    std::array<double, 4> xs{}, ys{};
    for (std::size_t i = 0; i < 4; ++i) {
        const Point p = view.toPixel(corners[i]);
        xs[i] = p.x;
        ys[i] = p.y;
    }
    std::sort(xs.begin(), xs.end());
    std::sort(ys.begin(), ys.end());
    const int left = std::max(0, static_cast<int>(std::ceil(xs[1]))),
              top = std::max(0, static_cast<int>(std::ceil(ys[1])));
    const int right = std::min(view.width(), static_cast<int>(xs[2])),
              bottom = std::min(view.height(), static_cast<int>(ys[2]));
    return {left, top, std::max(1, right - left), std::max(1, bottom - top)};
}

} // namespace

BenchScene drawBench(const View& view, const SceneSpec& scene)
{
    Canvas canvas(view);
    BenchScene bench;
    paintRoom(canvas);
    paintMonitorBody(canvas);
    paintLandscape(canvas);
    paintRoad(canvas);
    paintCockpit(canvas);
    bench.road = roadPixels(canvas);
    bench.panel = panelPixels(canvas, scene);
    if (scene.mirrorLag > 0)
        bench.mirror = mirrorPixels(canvas, scene);
    paintPedal(canvas);
    paintBoard(canvas);
    paintWire(canvas);
    bench.lamp = lampPixels(canvas, scene);

    bench.still.reserve(static_cast<std::size_t>(view.width()) * view.height());
    for (int y = 0; y < view.height(); ++y)
        for (int x = 0; x < view.width(); ++x)
            bench.still.push_back(canvas.at(x, y));

    const Point inset{0.012, 0.02};
    const Point low = panelLow + inset, high = panelHigh - inset;
    bench.screenRegion = boxWithin(view, {monitor.toScene(low), monitor.toScene({high.x, low.y}), monitor.toScene(high),
                                          monitor.toScene({low.x, high.y})});
    const double r = lampRadius;
    bench.lampRegion = boxWithin(view, {lampCentre + Point{-r, -r}, lampCentre + Point{r, -r}, lampCentre + Point{r, r},
                                        lampCentre + Point{-r, r}});
    if (scene.mirrorLag > 0) {
        const Point within{0.005, 0.005}, from = mirrorPanelLow + within, to = mirrorPanelHigh - within;
        bench.mirrorRegion = boxWithin(view, {from, {to.x, from.y}, to, {from.x, to.y}});
    }
    bench.panelTop = panelLow.y;
    return bench;
}

} // namespace footage
