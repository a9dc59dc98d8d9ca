#include "core/report/colour.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace report {
namespace {

using Vector = std::array<double, 3>;
using Matrix = std::array<Vector, 3>;

constexpr Matrix protan = {
    {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}};
constexpr Matrix deutan = {
    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}};
constexpr Matrix tritan = {
    {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}};
/// Linear sRGB to CIE XYZ (IEC 61966-2-1).
constexpr Matrix toXyz = {{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}};

Vector times(const Matrix& matrix, const Vector& v)
{
    Vector result{};
    for (std::size_t row = 0; row < 3; ++row)
        for (std::size_t column = 0; column < 3; ++column)
            result[row] += matrix[row][column] * v[column];
    return result;
}

Vector linear(const Colour& colour)
{
    return {linearOf(colour.red / 255.0), linearOf(colour.green / 255.0), linearOf(colour.blue / 255.0)};
}

std::uint8_t encoded(double light)
{
    light = std::clamp(light, 0.0, 1.0);
    const double code = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
    return static_cast<std::uint8_t>(std::lround(255 * code));
}

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

double hueOf(double a, double b)
{
    if (a == 0 && b == 0)
        return 0;
    const double degrees = std::atan2(b, a) * 180 / std::numbers::pi;
    return degrees < 0 ? degrees + 360 : degrees;
}

} // namespace

double linearOf(double code) { return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4); }

double relativeLuminance(const Colour& colour)
{
    const Vector light = linear(colour);
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2];
}

double contrastRatio(const Colour& a, const Colour& b)
{
    const auto [lower, higher] = std::minmax({relativeLuminance(a), relativeLuminance(b)});
    return (higher + 0.05) / (lower + 0.05);
}

Colour asSeenBy(ColourVision vision, const Colour& colour)
{
    if (vision == ColourVision::Usual)
        return colour;
    const Matrix& matrix = vision == ColourVision::Protan ? protan : vision == ColourVision::Deutan ? deutan : tritan;
    const Vector seen = times(matrix, linear(colour));
    return {encoded(seen[0]), encoded(seen[1]), encoded(seen[2])};
}

Lab labOf(const Colour& colour)
{
    const Vector xyz = times(toXyz, linear(colour)), white = times(toXyz, {1, 1, 1});
    Vector f{};
    for (std::size_t i = 0; i < 3; ++i) {
        const double t = xyz[i] / white[i];
        f[i] = t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116;
    }
    return {116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])};
}

double colourDifference(const Lab& x, const Lab& y)
{
    const double meanChroma = (std::hypot(x.a, x.b) + std::hypot(y.a, y.b)) / 2;
    const double seventh = std::pow(meanChroma, 7), twentyFive = std::pow(25.0, 7);
    const double stretch = 1 + 0.5 * (1 - std::sqrt(seventh / (seventh + twentyFive)));
    const double a1 = x.a * stretch, a2 = y.a * stretch;
    const double c1 = std::hypot(a1, x.b), c2 = std::hypot(a2, y.b);
    const double h1 = hueOf(a1, x.b), h2 = hueOf(a2, y.b);

    double apart = 0, meanHue = h1 + h2;
    if (c1 * c2 != 0) {
        apart = h2 - h1;
        if (apart > 180)
            apart -= 360;
        else if (apart < -180)
            apart += 360;
        if (std::abs(h1 - h2) > 180)
            meanHue += meanHue < 360 ? 360 : -360;
        meanHue /= 2;
    }
    const double dl = y.l - x.l, dc = c2 - c1, dh = 2 * std::sqrt(c1 * c2) * std::sin(radians(apart / 2));
    const double l = (x.l + y.l) / 2, c = (c1 + c2) / 2;
    const double t = 1 - 0.17 * std::cos(radians(meanHue - 30)) + 0.24 * std::cos(radians(2 * meanHue))
                     + 0.32 * std::cos(radians(3 * meanHue + 6)) - 0.20 * std::cos(radians(4 * meanHue - 63));
    const double c7 = std::pow(c, 7);
    const double turn =
        -2 * std::sqrt(c7 / (c7 + twentyFive)) * std::sin(radians(60 * std::exp(-std::pow((meanHue - 275) / 25, 2))));
    const double sl = 1 + 0.015 * (l - 50) * (l - 50) / std::sqrt(20 + (l - 50) * (l - 50));
    const double sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
    return std::sqrt(std::pow(dl / sl, 2) + std::pow(dc / sc, 2) + std::pow(dh / sh, 2) + turn * dc / sc * dh / sh);
}

double leastDifference(const Colour& a, const Colour& b)
{
    double least = colourDifference(labOf(a), labOf(b));
    for (const ColourVision vision : {ColourVision::Protan, ColourVision::Deutan, ColourVision::Tritan})
        least = std::min(least, colourDifference(labOf(asSeenBy(vision, a)), labOf(asSeenBy(vision, b))));
    return least;
}

} // namespace report
