#pragma once
#include <cstdint>

namespace report {

/// An opaque sRGB colour.
struct Colour {
    std::uint8_t red = 0, green = 0, blue = 0;
    bool operator==(const Colour&) const = default;
};

/// Of an sRGB code value 0 to 1 (IEC 61966-2-1).
double linearOf(double code);
/// WCAG 2.x: 0 for black to 1 for white.
double relativeLuminance(const Colour&);
/// WCAG 2.x: 1 to 21, in either order.
double contrastRatio(const Colour&, const Colour&);

/// How somebody sees who lacks one kind of cone altogether.
enum class ColourVision { Usual, Protan, Deutan, Tritan };
/// By Machado, Oliveira & Fernandes 2009, severity 1, in linear light.
Colour asSeenBy(ColourVision, const Colour&);

struct Lab {
    double l = 0, a = 0, b = 0; ///< CIE 1976 for D65
};
Lab labOf(const Colour&);
/// CIEDE2000, with its weights at 1. In either order.
double colourDifference(const Lab&, const Lab&);
/// The least that any kind of colour vision leaves of it.
double leastDifference(const Colour&, const Colour&);

/// What published colours have to keep.
inline constexpr double leastTextContrast = 4.5;    ///< WCAG 1.4.3
inline constexpr double leastGraphicsContrast = 3;  ///< WCAG 1.4.11
inline constexpr double leastColourDifference = 12; ///< CIEDE2000, of groups side by side: our choice

} // namespace report
