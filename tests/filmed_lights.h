#pragma once
#include "tests/footage/footage.h"

/// Films that several test programs make: what they show is known, and nothing else moves.
namespace light_film {

/// A lamp that blinks at `frequency` Hz, `flashes` times, filmed at `trueRate` by a camera that says 240.
inline footage::Spec lamp(double trueRate, double frequency, int flashes)
{
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.nominalRate = {240, 1};
    spec.camera.ppm = (trueRate / 240 - 1) * 1e6;
    spec.scene.roadSpeed = 0;
    spec.scene.lampHold = 0.5 / frequency;
    for (int i = 0; i < flashes; ++i) {
        spec.scene.pressTimes.push_back(0.0317 + i / frequency);
        spec.scene.oddities.push_back({i, footage::OddityKind::NoReaction});
    }
    spec.camera.frames = static_cast<int>((spec.scene.pressTimes.back() + 0.02) * trueRate);
    spec.storage.barcode = false;
    return spec;
}

/// 24 pictures of a light that pulses 1871 times a second, 96 x 288, by a rolling shutter.
inline footage::Spec bands(double lineTime)
{
    footage::Spec spec;
    spec.scene.kind = footage::SceneKind::PulsedLight;
    spec.scene.pulseRate = 1871;
    spec.camera.width = 96;
    spec.camera.height = 288;
    spec.camera.frames = 24;
    spec.camera.nominalRate = {240, 1};
    spec.camera.exposure = 0.1;
    spec.camera.lineTime = lineTime;
    spec.storage.barcode = false;
    return spec;
}

} // namespace light_film
