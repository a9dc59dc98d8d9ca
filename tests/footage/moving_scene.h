#pragma once
#include "tests/footage/frame.h"
#include "tests/footage/spec.h"

namespace footage {

/// When a row of a picture collects light, seconds after the capture's start.
struct RowExposure {
    double start = 0, length = 0;
    double middle() const { return start + length / 2; }
};

/// A row of a patterned surface before a camera that sways, or of a screen that shows such a surface moving.
void drawSway(const SceneSpec& scene, std::uint64_t seed, const RowExposure& exposure, int y, Frame& frame);

/// What of a hand that passes to and fro before the bench lies in this row.
void drawHand(const SceneSpec& scene, const RowExposure& exposure, int y, Frame& frame);

/// The room's light as it is while this row is exposed.
void dimRow(const SceneSpec& scene, const RowExposure& exposure, int y, Frame& frame);

} // namespace footage
