#include "ui/footage/region_editor.h"
#include <catch2/catch.hpp>

using session::RegionKind;
using ui::PictureGeometry;
using ui::RegionEditor;

namespace {

const QSizeF reach(5, 5);

} // namespace

TEST_CASE("a drag in any direction gives the whole pixels between its ends", "[region]")
{
    RegionEditor editor;
    editor.begin(RegionKind::Screen, PictureGeometry({640, 360}, 0, 1));
    const bool upLeft = GENERATE(false, true);
    const QPointF a(100.6, 50.2), b(140.1, 79.7);
    editor.press(upLeft ? b : a, reach);
    editor.dragTo(upLeft ? a : b);
    REQUIRE(editor.release());
    CHECK(editor.draft() == media::Rect{100, 50, 41, 30});
    CHECK(editor.kind() == RegionKind::Screen);
}

TEST_CASE("a region stays in the picture however far the pointer goes", "[region]")
{
    RegionEditor editor;
    editor.begin(RegionKind::Lamp, PictureGeometry({640, 360}, 90, 1));
    editor.press(QPointF(600, 300), reach);
    editor.dragTo(QPointF(9000, 9000));
    REQUIRE(editor.release());
    CHECK(editor.draft() == media::Rect{600, 300, 40, 60});
}

TEST_CASE("a click beside a region changes nothing", "[region]")
{
    RegionEditor editor;
    const media::Rect region{100, 100, 50, 40};
    editor.begin(RegionKind::Lamp, PictureGeometry({640, 360}, 0, 1), region);
    editor.press(QPointF(400, 300), reach);
    editor.dragTo(QPointF(400.4, 300.3));
    CHECK_FALSE(editor.release());
    CHECK(editor.draft() == region);
}

TEST_CASE("dragging an edge resizes, the inside moves, in native pixels of a turned picture", "[region]")
{
    const int rotation = GENERATE(0, 90, 180, 270);
    const media::Rect region{100, 100, 50, 40};
    RegionEditor editor;
    editor.begin(RegionKind::Lamp, PictureGeometry({640, 360}, rotation, 1), region);

    SECTION("right edge")
    {
        editor.press(QPointF(151, 120), reach);
        editor.dragTo(QPointF(161, 125));
        REQUIRE(editor.release());
        CHECK(editor.draft() == media::Rect{100, 100, 60, 40});
    }
    SECTION("top left corner")
    {
        editor.press(QPointF(99, 99), reach);
        editor.dragTo(QPointF(89, 94));
        REQUIRE(editor.release());
        CHECK(editor.draft() == media::Rect{90, 95, 60, 45});
    }
    SECTION("inside")
    {
        editor.press(QPointF(125, 120), reach);
        editor.dragTo(QPointF(25, 121));
        REQUIRE(editor.release());
        CHECK(editor.draft() == media::Rect{0, 101, 50, 40});
    }
}

TEST_CASE("arrow keys move a region as it is seen", "[region]")
{
    const auto [rotation, x, y] =
        GENERATE(table<int, int, int>({{0, 103, 100}, {90, 100, 97}, {180, 97, 100}, {270, 100, 103}}));
    RegionEditor editor;
    editor.begin(RegionKind::Lamp, PictureGeometry({640, 360}, rotation, 1), media::Rect{100, 100, 50, 40});
    editor.move(3, 0, {}); // to the right on screen
    CHECK(editor.draft() == media::Rect{x, y, 50, 40});
}

TEST_CASE("keys alone place a region from nothing", "[region]")
{
    RegionEditor editor;
    editor.begin(RegionKind::Lamp, PictureGeometry({640, 360}, 0, 1));
    CHECK_FALSE(editor.draft());
    editor.move(1, 0, QPointF(320, 180));
    REQUIRE(editor.draft());
    CHECK(editor.draft() == media::Rect{280, 157, 80, 46});
    editor.resize(-1000, -1000, {});
    CHECK(editor.draft() == media::Rect{280, 157, RegionEditor::smallest, RegionEditor::smallest});
    editor.resize(1000, 1000, {});
    CHECK(editor.draft() == media::Rect{280, 157, 360, 203});
}
