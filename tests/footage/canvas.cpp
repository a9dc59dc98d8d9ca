#include "tests/footage/canvas.h"

namespace footage {

double circleDistance(Point p, Point centre, double radius) { return length(p - centre) - radius; }

double boxDistance(Point p, Point centre, Point halfSize, double cornerRadius)
{
    const double dx = std::abs(p.x - centre.x) - halfSize.x + cornerRadius;
    const double dy = std::abs(p.y - centre.y) - halfSize.y + cornerRadius;
    return length({std::max(dx, 0.0), std::max(dy, 0.0)}) + std::min(std::max(dx, dy), 0.0) - cornerRadius;
}

double segmentDistance(Point p, Point a, Point b)
{
    const Point along = b - a;
    const double share = std::clamp(dot(p - a, along) / dot(along, along), 0.0, 1.0);
    return length(p - a - along * share);
}

double polygonDistance(Point p, const std::vector<Point>& corners)
{
    double nearest = segmentDistance(p, corners.back(), corners.front());
    bool inside = false;
    for (std::size_t i = 0, j = corners.size() - 1; i < corners.size(); j = i++) {
        const Point a = corners[i], b = corners[j];
        nearest = std::min(nearest, segmentDistance(p, a, b));
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
            inside = !inside;
    }
    return inside ? -nearest : nearest;
}

Plane::Plane(Point p0, Point p1, Point p2, Point p3)
{
    // Projective map of the unit square onto a quadrilateral, solved in closed form.
    const Point s = p0 - p1 + p2 - p3, d1 = p1 - p2, d2 = p3 - p2;
    const double det = d1.x * d2.y - d2.x * d1.y;
    const double g = (s.x * d2.y - d2.x * s.y) / det;
    const double h = (d1.x * s.y - s.x * d1.y) / det;
    const double m[9] = {p1.x - p0.x + g * p1.x,
                         p3.x - p0.x + h * p3.x,
                         p0.x,
                         p1.y - p0.y + g * p1.y,
                         p3.y - p0.y + h * p3.y,
                         p0.y,
                         g,
                         h,
                         1};
    std::copy(m, m + 9, m_to);
    // The adjugate serves as the inverse: a common factor drops out.
    const double inverse[9] = {m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
                               m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
                               m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
    std::copy(inverse, inverse + 9, m_from);
}

namespace {

Point project(const double* m, Point p)
{
    const double w = m[6] * p.x + m[7] * p.y + m[8];
    return {(m[0] * p.x + m[1] * p.y + m[2]) / w, (m[3] * p.x + m[4] * p.y + m[5]) / w};
}

} // namespace

Point Plane::toScene(Point uv) const { return project(m_to, uv); }
Point Plane::fromScene(Point p) const { return project(m_from, p); }

View::View(int width, int height, double pixelAspect, int rotation) : m_width(width), m_height(height)
{
    const double shownWidth = width * pixelAspect;
    const bool turned = rotation == 90 || rotation == 270;
    const double uprightWidth = turned ? height : shownWidth;
    const double uprightHeight = turned ? shownWidth : height;
    const double unit = 1.0 / std::min(uprightWidth * 9 / 16, uprightHeight);
    // Steps of one stored pixel, as they lie once the picture is turned clockwise for display.
    const double across = pixelAspect * unit;
    switch (rotation) {
    case 90:
        m_right = {0, across};
        m_down = {-unit, 0};
        break;
    case 180:
        m_right = {-across, 0};
        m_down = {0, -unit};
        break;
    case 270:
        m_right = {0, -across};
        m_down = {unit, 0};
        break;
    default:
        m_right = {across, 0};
        m_down = {0, unit};
        break;
    }
    m_origin = Point{0, 0.5} - m_right * (width / 2.0) - m_down * (height / 2.0);
    m_pixelSize = std::sqrt(across * unit);
}

Point View::toPixel(Point scene) const
{
    const Point p = scene - m_origin;
    return {dot(p, m_right) / dot(m_right, m_right), dot(p, m_down) / dot(m_down, m_down)};
}

void Canvas::paintLine(Point a, Point b, double width, Colour colour)
{
    const double half = width / 2;
    paint(
        {std::min(a.x, b.x) - half, std::min(a.y, b.y) - half}, {std::max(a.x, b.x) + half, std::max(a.y, b.y) + half},
        [&](Point p) { return segmentDistance(p, a, b) - half; }, [&](Point) { return colour; });
}

} // namespace footage
