#pragma once
#include <array>
#include <cstdint>
#include <vector>

namespace footage {

/// Picture as the camera's processor hands it on: Y, Cb, Cr at full resolution, 16 bit, full range (colourless: 32768).
struct Frame {
    int width = 0, height = 0;
    std::array<std::vector<std::uint16_t>, 3> planes;

    Frame() = default;
    Frame(int w, int h) : width(w), height(h)
    {
        for (auto& plane : planes)
            plane.resize(static_cast<std::size_t>(w) * static_cast<std::size_t>(h));
    }
    std::uint16_t* row(int plane, int y) { return planes[plane].data() + offset(y); }
    const std::uint16_t* row(int plane, int y) const { return planes[plane].data() + offset(y); }

private:
    std::size_t offset(int y) const { return static_cast<std::size_t>(y) * static_cast<std::size_t>(width); }
};

} // namespace footage
