#include "ui/footage/picture_geometry.h"
#include <catch2/catch.hpp>

using ui::PictureGeometry;
using ui::ViewMapping;

namespace {

void checkPoint(QPointF is, double x, double y)
{
    // Sums of a handful of doubles below 10^4.
    CHECK_THAT(is.x(), Catch::Matchers::WithinAbs(x, 1e-9));
    CHECK_THAT(is.y(), Catch::Matchers::WithinAbs(y, 1e-9));
}

} // namespace

TEST_CASE("the native picture's top left corner goes where turning it clockwise takes it", "[geometry]")
{
    const auto [rotation, x, y] =
        GENERATE(table<int, double, double>({{0, 0, 0}, {90, 360, 0}, {180, 640, 360}, {270, 0, 640}}));
    const PictureGeometry g({640, 360}, rotation, 1);
    checkPoint(g.toTurned(QPointF(0, 0)), x, y);
    CHECK(g.turnedSize() == (rotation % 180 == 0 ? media::Size{640, 360} : media::Size{360, 640}));
}

TEST_CASE("points and rectangles come back from every turn and stretch", "[geometry]")
{
    const int rotation = GENERATE(0, 90, 180, 270);
    const double aspect = GENERATE(1.0, 4.0 / 3, 10.0 / 11);
    const PictureGeometry g({720, 576}, rotation, aspect);
    const QPointF point(101.25, 403.5);
    checkPoint(g.fromTurned(g.toTurned(point)), point.x(), point.y());
    checkPoint(g.fromUpright(g.toUpright(point)), point.x(), point.y());

    const media::Rect rect{17, 400, 60, 33};
    CHECK(g.fromTurned(g.toTurned(rect)) == rect);
    const media::Rect turned = g.toTurned(rect);
    const QRectF corners = QRectF(g.toTurned(QPointF(17, 400)), g.toTurned(QPointF(77, 433))).normalized();
    CHECK(corners == QRectF(turned.x, turned.y, turned.width, turned.height));
}

TEST_CASE("pixels are stretched to squares and never shrunk", "[geometry]")
{
    const auto [rotation, aspect, width, height] = GENERATE(table<int, double, double, double>(
        {{0, 1, 720, 576}, {0, 1.5, 1080, 576}, {0, 0.5, 720, 1152}, {90, 1.5, 576, 1080}, {270, 0.5, 1152, 720}}));
    const QSizeF size = PictureGeometry({720, 576}, rotation, aspect).uprightSize();
    CHECK(size == QSizeF(width, height));
}

TEST_CASE("a view shows a native point where it maps it, and finds it there again", "[geometry]")
{
    const int rotation = GENERATE(0, 90, 180, 270);
    ViewMapping m{PictureGeometry({1920, 1080}, rotation, 4.0 / 3), QSizeF(800, 600), 2.5, QPointF(700, 500)};
    const QPointF native(333, 444);
    checkPoint(m.toNative(m.toView(native)), native.x(), native.y());
    checkPoint(m.toView(m.toNative(QPointF(400, 300))), 400, 300);
}

TEST_CASE("the fitted picture touches two edges of the view and is all visible", "[geometry]")
{
    const int rotation = GENERATE(0, 90, 180, 270);
    ViewMapping m{PictureGeometry({1920, 1080}, rotation, 1), QSizeF(800, 600), 1, {}};
    m.scale = m.fitScale();
    m.clampCentre();
    CHECK(m.visible() == media::Rect{0, 0, 1920, 1080});
    const QRectF all = m.toView(media::Rect{0, 0, 1920, 1080});
    CHECK_THAT(std::max(all.width() / 800, all.height() / 600), Catch::Matchers::WithinAbs(1, 1e-12));
    checkPoint(all.center(), 400, 300);
}

TEST_CASE("what is visible covers the view and no edge of a large picture comes inside it", "[geometry]")
{
    const int rotation = GENERATE(0, 90, 180, 270);
    ViewMapping m{PictureGeometry({1920, 1080}, rotation, 1), QSizeF(300, 200), 4, QPointF(-500, 9000)};
    m.clampCentre();
    const QRectF all = m.toView(media::Rect{0, 0, 1920, 1080});
    CHECK(all.contains(QRectF(0, 0, 300, 200)));
    const media::Rect seen = m.visible();
    CHECK(m.toView(seen).contains(QRectF(0, 0, 300, 200)));
    CHECK(seen.width * seen.height <= 77 * 77); // 75 by 50 native pixels, and the cut ones at the edges
}
