#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/picture/rendition.h"
#include "tests/gui/chart_samples.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_motion.h"
#include "ui/chart/chart_painter.h"

#include <QFile>
#include <QTemporaryDir>
#include <catch2/catch.hpp>

namespace {

ui::ChartScene small(bool transparent = false)
{
    ui::ChartStyle style = chart_samples::style(session::ChartTheme::Dark, {480, 320});
    style.transparent = transparent;
    return ui::layOutChart(chart_samples::many(3), style).front();
}

constexpr ui::MotionSettings twoSeconds{2, 24, ui::Easing::Gentle};

QByteArray bytesOf(const std::filesystem::path& path)
{
    QFile file(QString::fromStdString(path.string()));
    REQUIRE(file.open(QIODevice::ReadOnly));
    return file.readAll();
}

} // namespace

TEST_CASE("a chart in motion ends as the still, and every frame follows from its number alone", "[chart]")
{
    const ui::ChartScene scene = small();
    ui::ChartMotion motion(scene, scene.lanes, scene.lanes.front(), twoSeconds);
    REQUIRE(motion.frameCount() == 48);
    CHECK(motion.imageAt(47) == ui::chartImage(scene));
    std::vector<QImage> forwards;
    for (int frame = 0; frame < 48; ++frame)
        forwards.push_back(motion.imageAt(frame).copy());
    ui::ChartMotion again(scene, scene.lanes, scene.lanes.front(), twoSeconds);
    for (int frame = 47; frame >= 0; frame -= 5)
        CHECK(again.imageAt(frame) == forwards[static_cast<std::size_t>(frame)]);
}

TEST_CASE("bars grow, dots land one a trial, and nothing flashes", "[chart]")
{
    const ui::ChartScene scene = small();
    const ui::ChartMotion motion(scene, scene.lanes, scene.lanes.front(), {6, 60, ui::Easing::Gentle});
    std::size_t dots = 0;
    std::map<int, double> widths;
    std::map<int, double> brightness; // of each value's words
    for (int frame = 0; frame < motion.frameCount(); ++frame) {
        std::size_t now = 0;
        for (const ui::ChartPiece& piece : motion.sceneAt(frame).pieces) {
            now += piece.part == ui::ChartPart::Dot;
            if (piece.part == ui::ChartPart::Bar) {
                CHECK(piece.box.width() >= widths[piece.lane]);
                widths[piece.lane] = piece.box.width();
            }
            if (piece.part == ui::ChartPart::Value) {
                CHECK(piece.fill.alphaF() >= brightness[piece.lane]);
                brightness[piece.lane] = piece.fill.alphaF();
            }
        }
        CHECK(now >= dots);
        CHECK(now <= dots + 2); // 24 of them in a good half of a lane's time
        dots = now;
    }
    CHECK(dots == 72);
    for (const ui::ChartPiece& piece : scene.pieces)
        if (piece.part == ui::ChartPart::Bar)
            CHECK(widths[piece.lane] == piece.box.width());
}

TEST_CASE("the movie has each picture once, in order, at its rate, the same a second time", "[chart]")
{
    const QTemporaryDir folder;
    const std::filesystem::path file = std::filesystem::path(folder.path().toStdString()) / "chart.mp4";
    const ui::ChartScene scene = small();
    ui::ChartMotion(scene, scene.lanes, scene.lanes.front(), twoSeconds).write(file, {});
    const QByteArray first = bytesOf(file);
    ui::ChartMotion(scene, scene.lanes, scene.lanes.front(), twoSeconds).write(file, {});
    CHECK(bytesOf(file) == first);

    const auto footage = media::openFootage(file);
    CHECK(footage->frameCount().value == 48);
    CHECK(footage->codec == "h264");
    CHECK(footage->size == media::Size{480, 320});
    REQUIRE(footage->averageRate);
    CHECK(*footage->averageRate == timing::Rational(24));
    media::FrameReader reader(footage);
    ui::ChartMotion motion(scene, scene.lanes, scene.lanes.front(), twoSeconds);
    for (const int frame : {0, 7, 20, 33, 47}) {
        const media::RgbImage read = media::render(reader.read(timing::FrameNumber{frame}), {});
        const QImage expected = motion.imageAt(frame);
        double apart = 0;
        for (int y = 0; y < 320; ++y)
            for (int x = 0; x < 480; ++x)
                apart += std::abs(read.pixels[static_cast<std::size_t>(3 * (480 * y + x) + 1)]
                                  - qGreen(expected.pixel(x, y)));
        CHECK(apart / (480 * 320) < 3); // of 255, from the codec; a neighbouring frame's dots differ by more
    }
}

TEST_CASE("a movie with nothing behind it is ProRes 4444 with alpha", "[chart]")
{
    const QTemporaryDir folder;
    const std::filesystem::path file = std::filesystem::path(folder.path().toStdString()) / "chart.mov";
    const ui::ChartScene scene = small(true);
    ui::ChartMotion(scene, scene.lanes, scene.lanes.front(), {1, 12, ui::Easing::Even}).write(file, {});
    const auto footage = media::openFootage(file);
    CHECK(footage->frameCount().value == 12);
    CHECK(footage->codec == "prores");
    CHECK(footage->pixelFormat.starts_with("yuva444p"));
}

TEST_CASE("motion as pictures is the motion, picture by picture, the same a second time", "[chart]")
{
    const bool transparent = GENERATE(false, true);
    const ui::ChartScene scene = small(transparent);
    const auto make = [&] {
        return ui::ChartMotion(scene, scene.lanes, scene.lanes.front(), twoSeconds).pictures(1 << 30, {});
    };
    const std::vector<QByteArray> pictures = make();
    CHECK(pictures == make());
    ui::ChartMotion motion(scene, scene.lanes, scene.lanes.front(), twoSeconds);
    REQUIRE(pictures.size() == 48);
    for (int frame = 0; frame < 48; ++frame) {
        const QImage read = QImage::fromData(pictures[static_cast<std::size_t>(frame)]);
        CHECK(read.hasAlphaChannel() == transparent);
        CHECK(read.convertToFormat(motion.imageAt(frame).format()) == motion.imageAt(frame));
    }
    CHECK_THROWS_AS(ui::ChartMotion(scene, scene.lanes, scene.lanes.front(), twoSeconds).pictures(100'000, {}),
                    core::Error);
    std::stop_source stopped;
    stopped.request_stop();
    CHECK_THROWS_AS(
        ui::ChartMotion(scene, scene.lanes, scene.lanes.front(), twoSeconds).pictures(1 << 30, stopped.get_token()),
        core::Cancelled);
}

TEST_CASE("a movie that is stopped or can't be written leaves nothing", "[chart]")
{
    const QTemporaryDir folder;
    const std::filesystem::path path = folder.path().toStdString();
    const ui::ChartScene scene = small();
    std::stop_source stop;
    stop.request_stop();
    CHECK_THROWS_AS(ui::ChartMotion(scene, scene.lanes, {}, twoSeconds).write(path / "chart.mp4", stop.get_token()),
                    core::Cancelled);
    CHECK_THROWS_AS(ui::ChartMotion(scene, scene.lanes, {}, twoSeconds).write(path / "nowhere" / "chart.mp4", {}),
                    core::Error);
    CHECK(std::filesystem::is_empty(path));
}
