#include "core/reading/region_edits.h"
#include "core/error.h"
#include <catch2/catch.hpp>

using Catch::Contains;
using session::RegionKind;

namespace {

/// Captures "a" to "d" of one camera, 640 x 360; "d" is 320 x 180.
struct Filmed {
    session::Document document;
    std::vector<session::CaptureId> ids;

    Filmed()
    {
        std::vector<session::NewCapture> captures;
        for (const char* name : {"a", "b", "c", "d"}) {
            session::NewCapture one;
            one.capture.name = name;
            one.capture.path = std::string(name) + ".mp4";
            one.capture.frames = timing::FrameCount{100};
            one.capture.width = *name == 'd' ? 320 : 640;
            one.capture.height = *name == 'd' ? 180 : 360;
            one.cameraMode = *name == 'c' ? "" : "240";
            captures.push_back(one);
        }
        apply(session::addCaptures(document, captures));
        for (const session::Capture* capture : session::inOrder(document.captures))
            ids.push_back(capture->id);
        set(0, RegionKind::Lamp, "lamp", 10);
        set(0, RegionKind::Screen, "screen", 100);
        set(0, RegionKind::Screen, "screen 2", 300);
    }
    void apply(const session::Edit& edit) { document = session::apply(document, edit); }
    void set(std::size_t capture, RegionKind kind, const char* name, int x)
    {
        session::Region region;
        region.kind = kind;
        region.name = name;
        region.x = x;
        region.y = 20;
        region.width = region.height = 16;
        apply(session::setRegion(document, ids[capture], region));
    }
    const session::Capture& capture(std::size_t at) const { return *session::find(document, ids[at]); }
    int x(std::size_t at, const std::string& name) const
    {
        for (const session::Region& region : capture(at).regions)
            if (region.name == name)
                return region.x;
        return -1;
    }
};

} // namespace

TEST_CASE("regions of one capture go to all captures of its picture size in one edit", "[regions]")
{
    Filmed filmed;
    filmed.set(1, RegionKind::Lamp, "lamp", 50);
    filmed.set(1, RegionKind::Lamp, "own", 70);
    filmed.apply(session::learnPresses(filmed.document, filmed.ids[1], {}));
    const auto copied = reading::copyRegions(filmed.document, filmed.ids[0], reading::CopyTo::AllCaptures);
    CHECK(copied.captures == 2);
    CHECK(copied.otherSize == 1);
    CHECK(copied.read == 0);
    const session::Document before = filmed.document;
    filmed.apply(copied.edit);
    for (const std::size_t at : {1, 2}) {
        CHECK(filmed.x(at, "lamp") == 10);
        CHECK(filmed.x(at, "screen") == 100);
        CHECK(filmed.x(at, "screen 2") == 300);
    }
    CHECK(filmed.x(1, "own") == 70);
    CHECK_FALSE(filmed.capture(1).presses); // of the region as it was
    CHECK(filmed.capture(3).regions.empty());
    session::Document undone = session::apply(filmed.document, session::reversed(copied.edit));
    undone.nextId = before.nextId; // no number is given twice
    CHECK(undone == before);
    // Nothing is left to do.
    CHECK(reading::copyRegions(filmed.document, filmed.ids[0], reading::CopyTo::AllCaptures).captures == 0);
}

TEST_CASE("copying to captures of the same camera leaves the others as they are", "[regions]")
{
    Filmed filmed;
    const auto copied = reading::copyRegions(filmed.document, filmed.ids[0], reading::CopyTo::SameCamera);
    filmed.apply(copied.edit);
    CHECK(filmed.x(1, "lamp") == 10);
    CHECK(filmed.capture(2).regions.empty());
    CHECK_THROWS_WITH(reading::copyRegions(filmed.document, filmed.ids[2], reading::CopyTo::SameCamera),
                      Contains("has no regions to copy"));
    filmed.set(2, RegionKind::Lamp, "lamp", 10);
    CHECK_THROWS_WITH(reading::copyRegions(filmed.document, filmed.ids[2], reading::CopyTo::SameCamera),
                      Contains("no other capture was filmed by the camera of c", Catch::CaseSensitive::No));
}

TEST_CASE("regions go to the captures that were chosen and to no others", "[regions]")
{
    Filmed filmed;
    const auto copied = reading::copyRegions(filmed.document, filmed.ids[0], reading::CopyTo::Chosen,
                                             {filmed.ids[0], filmed.ids[2], filmed.ids[3]});
    CHECK(copied.captures == 1);
    CHECK(copied.otherSize == 1);
    filmed.apply(copied.edit);
    CHECK(filmed.capture(1).regions.empty());
    CHECK(filmed.x(2, "screen 2") == 300);
    CHECK_THROWS_WITH(reading::copyRegions(filmed.document, filmed.ids[0], reading::CopyTo::Chosen, {filmed.ids[0]}),
                      Contains("none of the captures chosen could take the regions of a", Catch::CaseSensitive::No));
}

TEST_CASE("a region in which trials are read stays where it is", "[regions]")
{
    Filmed filmed;
    filmed.set(1, RegionKind::Lamp, "lamp", 50);
    filmed.set(1, RegionKind::Screen, "screen", 60);
    const auto& regions = filmed.capture(1).regions;
    filmed.apply(session::addTrial(filmed.document, filmed.ids[1], regions[0].id, regions[1].id, {}));
    const auto copied = reading::copyRegions(filmed.document, filmed.ids[0], reading::CopyTo::AllCaptures);
    CHECK(copied.read == 1);
    filmed.apply(copied.edit);
    CHECK(filmed.x(1, "lamp") == 50);
    CHECK(filmed.x(1, "screen") == 60);
    CHECK(filmed.x(1, "screen 2") == 300); // nothing is read in that one
}
