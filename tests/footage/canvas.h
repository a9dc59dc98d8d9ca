#pragma once
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace footage {

struct Point {
    double x = 0, y = 0;
};
inline Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
inline Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
inline Point operator*(Point a, double k) { return {a.x * k, a.y * k}; }
inline double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
inline double length(Point a) { return std::sqrt(dot(a, a)); }

/// Linear light, 0..1.
struct Colour {
    float r = 0, g = 0, b = 0;
};
inline Colour operator+(Colour a, Colour b) { return {a.r + b.r, a.g + b.g, a.b + b.b}; }
inline Colour operator-(Colour a, Colour b) { return {a.r - b.r, a.g - b.g, a.b - b.b}; }
inline Colour operator*(Colour a, double k)
{
    const auto f = static_cast<float>(k);
    return {a.r * f, a.g * f, a.b * f};
}
inline Colour mix(Colour a, Colour b, double share) { return a + (b - a) * share; }

/// 0 below `from`, 1 above `to`, smooth between.
inline double smoothStep(double from, double to, double x)
{
    const double t = std::clamp((x - from) / (to - from), 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

// Signed distances: below 0 inside.
double circleDistance(Point p, Point centre, double radius);
double boxDistance(Point p, Point centre, Point halfSize, double cornerRadius);
double segmentDistance(Point p, Point a, Point b);
double polygonDistance(Point p, const std::vector<Point>& corners);

/// Unit square seen in perspective: (0,0), (1,0), (1,1), (0,1) fall on the four given corners.
class Plane {
public:
    Plane(Point topLeft, Point topRight, Point bottomRight, Point bottomLeft);
    Point toScene(Point uv) const;
    Point fromScene(Point p) const;

private:
    double m_to[9], m_from[9];
};

/// Stored pixel grid laid over the scene. Scene units: picture height 1 for 16:9, y down, x = 0 in the middle; other
/// shapes show the same scene as large as fits. Rotation and pixel aspect are those of the storage.
class View {
public:
    View(int width, int height, double pixelAspect, int rotation);
    Point toScene(double x, double y) const
    {
        return m_origin + m_right * x + m_down * y;
    } ///< of a stored pixel position
    Point toPixel(Point scene) const;
    double pixelSize() const { return m_pixelSize; } ///< scene units, mean of both directions
    int width() const { return m_width; }
    int height() const { return m_height; }

private:
    int m_width, m_height;
    Point m_origin, m_right, m_down;
    double m_pixelSize;
};

/// Linear-light picture that shapes are painted on with soft edges.
class Canvas {
public:
    explicit Canvas(const View& view) : m_view(view), m_pixels(static_cast<std::size_t>(view.width()) * view.height())
    {}

    const View& view() const { return m_view; }
    Colour& at(int x, int y) { return m_pixels[static_cast<std::size_t>(y) * m_view.width() + x]; }

    /// Calls visit(x, y, scene point, coverage in (0, 1]) for every pixel that a shape covers. `distance(point)` is
    /// signed, in scene units; only pixels of the box around `low` and `high` (scene units) are tried.
    template <class Distance, class Visit> void cover(Point low, Point high, Distance distance, Visit visit) const
    {
        const Point a = m_view.toPixel(low), b = m_view.toPixel(high);
        const int left = std::max(0, static_cast<int>(std::floor(std::min(a.x, b.x))) - 1);
        const int right = std::min(m_view.width(), static_cast<int>(std::ceil(std::max(a.x, b.x))) + 1);
        const int top = std::max(0, static_cast<int>(std::floor(std::min(a.y, b.y))) - 1);
        const int bottom = std::min(m_view.height(), static_cast<int>(std::ceil(std::max(a.y, b.y))) + 1);
        for (int y = top; y < bottom; ++y)
            for (int x = left; x < right; ++x) {
                const Point p = m_view.toScene(x + 0.5, y + 0.5);
                const double share = std::clamp(0.5 - distance(p) / m_view.pixelSize(), 0.0, 1.0);
                if (share > 0)
                    visit(x, y, p, share);
            }
    }
    /// Paints `shade(point)` over what is there.
    template <class Distance, class Shade> void paint(Point low, Point high, Distance distance, Shade shade)
    {
        cover(low, high, distance,
              [&](int x, int y, Point p, double share) { at(x, y) = mix(at(x, y), shade(p), share); });
    }
    template <class Shade> void paintPolygon(const std::vector<Point>& corners, Shade shade)
    {
        Point low = corners.front(), high = corners.front();
        for (const Point& c : corners) {
            low = {std::min(low.x, c.x), std::min(low.y, c.y)};
            high = {std::max(high.x, c.x), std::max(high.y, c.y)};
        }
        paint(
            low, high, [&](Point p) { return polygonDistance(p, corners); }, shade);
    }
    void paintLine(Point a, Point b, double width, Colour colour);

private:
    View m_view;
    std::vector<Colour> m_pixels;
};

} // namespace footage
