#pragma once
// Synthetic footage with known truth, for tests, benchmarks and the demo. Knows nothing of the product.
//
//     footage::Spec spec;                      // bench scene, 640x360, 960/s stored at 30/s, H.264
//     spec.camera.frames = 480;
//     const auto truth = footage::make(spec, dir / "run.mp4");
//     truth.presses[0].lampFrame, .reactionFrame, .delay; truth.lamp, truth.screen; truth.frames[n].time
//
// The same spec gives the same bytes with the same packages. SceneKind::Pattern is quick and meant for exactness.
#include "tests/footage/barcode.h"
#include "tests/footage/spec.h"
#include "tests/footage/truth.h"
#include <filesystem>

namespace footage {

/// Films and stores. An extension png, tif, tiff, jpg or jpeg in StorageSpec::container ("png") makes `out` a folder of
/// numbered pictures "frame_000123.png" (number = capture index, so missing frames are holes in the numbering).
/// The folder that holds `out` is made where needed; an existing file or picture folder is replaced.
/// Throws std::runtime_error on a spec that can't be met or when writing fails; then `out` doesn't exist.
Truth make(const Spec& spec, const std::filesystem::path& out);

/// The truth without the film: press frames and all, but nothing is encoded.
Truth foresee(const Spec& spec);

} // namespace footage
