#include "core/media/measure/row_profiles.h"
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::WithinRel;

namespace {

struct Filmed {
    footage::Truth truth;
    timing::LineTimeFit fit;
};

Filmed measured(footage::Spec spec)
{
    const TempFolder folder;
    spec.scene.kind = footage::SceneKind::PulsedLight;
    spec.camera.width = 160;
    spec.camera.height = 288;
    spec.camera.frames = 30;
    spec.camera.nominalRate = {240, 1};
    spec.camera.ppm = 1500;
    spec.storage.barcode = false;
    Filmed filmed;
    filmed.truth = footage::make(spec, folder.path() / "light.mp4");
    const auto opened = media::openFootage(folder.path() / "light.mp4");
    REQUIRE(opened->size == media::Size{160, 288}); // unturned
    const auto profiles = media::rowProfiles(opened, {20, 0, 120, 288}, {4}, media::usualProfiles);
    REQUIRE(profiles.size() == static_cast<std::size_t>(media::usualProfiles));
    filmed.fit = timing::fitLineTime(profiles, {spec.scene.pulseRate, 20e-6}, {288, filmed.truth.captureRate, 1e-5});
    return filmed;
}

} // namespace

TEST_CASE("the line time of filmed bands is the camera's, read either way, turned or not", "[media]")
{
    footage::Spec spec;
    spec.camera.lineTime = GENERATE(6e-6, 12.5e-6);
    spec.camera.readFromBottom = GENERATE(false, true);
    spec.storage.rotation = GENERATE(0, 90);
    spec.camera.exposure = 0.1;
    spec.scene.pulseRate = 1871;
    const Filmed filmed = measured(spec);
    CAPTURE(spec.camera.lineTime, filmed.fit.refused);
    REQUIRE(filmed.fit.lineTime);
    // H.264 at a usual quality: 16 pictures with 3 to 6 bands
    CHECK_THAT(filmed.fit.lineTime->count(), WithinRel(spec.camera.lineTime, 0.003));
    CHECK(std::abs(filmed.fit.lineTime->count() - spec.camera.lineTime) < 4 * filmed.fit.standardUncertainty.count());
    CHECK(filmed.fit.order
          == (spec.camera.readFromBottom ? timing::ReadoutOrder::LastRowFirst : timing::ReadoutOrder::FirstRowFirst));
}

TEST_CASE("a camera that exposes all rows at once shows no bands", "[media]")
{
    footage::Spec spec;
    spec.camera.exposure = 0.1;
    spec.scene.pulseRate = 1871;
    const Filmed filmed = measured(spec);
    CHECK_FALSE(filmed.fit.lineTime);
    CHECK_FALSE(filmed.fit.refused.empty());
}
