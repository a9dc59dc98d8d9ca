// The whole job in the real window, by keys and mouse, with frames found by looking at the window.
#include "core/analysis/results.h"
#include "tests/gui/desk_bench.h"
#include "ui/footage/frame_view.h"

#include <QApplication>
#include <QFileInfo>
#include <QImage>
#include <QLineEdit>
#include <QMouseEvent>
#include <QPushButton>
#include <QTest>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

namespace {

constexpr int pressesPerFilm = 3;

footage::Truth film(const std::filesystem::path& path, std::uint64_t seed)
{
    footage::Spec spec;
    spec.seed = seed;
    spec.camera.width = 480;
    spec.camera.height = 270;
    spec.camera.frames = 420;
    spec.camera.noise = 0.5;
    spec.scene.pressTimes = {0.06, 0.19, 0.32};
    spec.scene.lampHold = spec.scene.reactionHold = 0.06;
    spec.scene.roadSpeed = 0;
    spec.storage.gop = 60;
    spec.storage.quality = 12;
    spec.storage.preset = "ultrafast";
    spec.storage.barcode = false;
    return footage::make(spec, path);
}

/// Someone at the window: sees only what is on it, acts only by keys and mouse.
class Analyst {
public:
    explicit Analyst(DeskBench& bench) : m_bench(bench), m_view(*bench.window->findChild<ui::FrameView*>())
    {
        QObject::connect(&m_view, &ui::FrameView::frameShown, [this](qint64 frame) { m_shown = frame; });
    }

    template <class Widget> Widget& named(const char* name)
    {
        auto* widget = m_bench.window->findChild<Widget*>(QString::fromLatin1(name));
        REQUIRE(widget);
        REQUIRE(widget->isVisible());
        return *widget;
    }
    void type(const char* field, const QString& text)
    {
        auto& edit = named<QLineEdit>(field);
        QTest::mouseClick(&edit, Qt::LeftButton);
        QTest::keyClick(&edit, Qt::Key_A, Qt::ControlModifier);
        QTest::keyClicks(&edit, text);
        QTest::keyClick(&edit, Qt::Key_Tab);
        m_bench.settle();
    }
    void click(const char* button)
    {
        QTest::mouseClick(&named<QPushButton>(button), Qt::LeftButton);
        m_bench.settle();
    }

    void clickPicture() { QTest::mouseClick(&m_view, Qt::LeftButton); }

    void drag(int key, const footage::Rect& rect)
    {
        m_bench.key(key);
        INFO("region by " << static_cast<char>(key));
        DeskBench::waitFor([&] { return m_view.isDrawingRegion(); });
        QTest::mousePress(&m_view, Qt::LeftButton, {}, at(rect.x, rect.y));
        // With the button held, which QTest::mouseMove leaves out.
        const QPoint end = at(rect.x + rect.width, rect.y + rect.height);
        QMouseEvent move(QEvent::MouseMove, end, m_view.mapToGlobal(QPointF(end)), Qt::NoButton, Qt::LeftButton,
                         Qt::NoModifier);
        QApplication::sendEvent(&m_view, &move);
        QTest::mouseRelease(&m_view, Qt::LeftButton, {}, end);
        const auto kind = key == Qt::Key_L ? session::RegionKind::Lamp : session::RegionKind::Screen;
        DeskBench::waitFor([&] {
            const auto& regions = session::inOrder(m_bench.document()->captures).front()->regions;
            return std::ranges::any_of(regions, [&](const session::Region& region) { return region.kind == kind; });
        });
        m_bench.settle();
        m_view.setFocus();
    }

    /// Steps through the capture from its first frame and keeps how bright lamp and screen are on the window.
    void look(const footage::Truth& truth)
    {
        m_lamp.clear();
        m_screen.clear();
        m_bench.key(Qt::Key_Home);
        for (std::int64_t frame = 0;; ++frame) {
            DeskBench::waitFor([&] { return m_shown == frame; });
            const QImage window =
                m_bench.window->grab(QRect(m_view.mapTo(m_bench.window.get(), QPoint()), m_view.size())).toImage();
            m_lamp.push_back(brightness(window, truth.lamp));
            m_screen.push_back(brightness(window, truth.screen));
            if (frame + 1 == static_cast<std::int64_t>(truth.frames.size()))
                break;
            m_bench.key(Qt::Key_Right);
        }
    }

    /// Frames in which it first differs visibly from its dark state after having been dark.
    std::vector<std::int64_t> lampOnsets() const { return onsets(m_lamp); }
    std::vector<std::int64_t> screenOnsets() const { return onsets(m_screen); }

    void goTo(std::int64_t frame)
    {
        m_bench.settle(); // accepting goes on to the next press by itself
        m_bench.right(frame - m_bench.desk().frameInView().value);
        DeskBench::waitFor([&] { return m_shown == frame; });
    }

private:
    QPoint at(double x, double y) const // the fitted picture stands in the middle of its view
    {
        const double zoom = m_view.zoom() / m_view.devicePixelRatioF();
        return {qRound(m_view.width() / 2.0 + (x - 240) * zoom), qRound(m_view.height() / 2.0 + (y - 135) * zoom)};
    }
    double brightness(const QImage& view, const footage::Rect& rect) const
    {
        constexpr int frameLine = 4; // the region's own outline isn't the picture
        const QRect inner = QRect(at(rect.x, rect.y), at(rect.x + rect.width, rect.y + rect.height))
                                .adjusted(frameLine, frameLine, -frameLine, -frameLine);
        double sum = 0;
        for (int y = inner.top(); y <= inner.bottom(); ++y)
            for (int x = inner.left(); x <= inner.right(); ++x)
                sum += qGray(view.pixel(x, y));
        return sum / (inner.width() * inner.height());
    }
    static std::vector<std::int64_t> onsets(const std::vector<double>& levels)
    {
        const auto [dark, bright] = std::minmax_element(levels.begin(), levels.end());
        const double visible = *dark + 0.10 * (*bright - *dark);
        std::vector<std::int64_t> found;
        for (std::size_t i = 1; i < levels.size(); ++i)
            if (levels[i] >= visible && levels[i - 1] < visible)
                found.push_back(static_cast<std::int64_t>(i));
        return found;
    }

    DeskBench& m_bench;
    ui::FrameView& m_view;
    qint64 m_shown = -1;
    std::vector<double> m_lamp, m_screen;
};

} // namespace

TEST_CASE("the job is done from footage to chart by keys and mouse, and the delays are the footage's", "[desk][job]")
{
    DeskBench bench;
    Analyst analyst(bench);
    const std::vector<footage::Truth> truths{film(bench.folder / "wired.mp4", 3),
                                             film(bench.folder / "bridged.mp4", 4)};
    bench.drop({bench.path("wired.mp4"), bench.path("bridged.mp4")});

    bench.window->showPage(QStringLiteral("Plan"));
    for (const char* name : {"Wired", "Bridged"}) {
        analyst.click("addConfiguration");
        analyst.type("configurationName", QString::fromLatin1(name));
    }
    REQUIRE(bench.document()->configurations.size() == 2);

    bench.window->showPage(QStringLiteral("Clock"));
    for (std::size_t clock = 0; clock < bench.document()->clocks.size(); ++clock) {
        analyst.type("declaredRate", QStringLiteral("960"));
        analyst.type("tolerance", QStringLiteral("0.01"));
        analyst.click("declare");
        analyst.click("settle");
        bench.key(Qt::Key_PageDown);
        bench.settle();
    }
    for (const auto& [id, clock] : bench.document()->clocks)
        REQUIRE(session::stateOf(*clock) == session::ClockState::Settled);

    bench.window->showPage(QStringLiteral("Read"));
    analyst.clickPicture();
    bench.key(Qt::Key_Home);
    analyst.drag(Qt::Key_L, truths[0].lamp);
    analyst.drag(Qt::Key_S, truths[0].screen);

    for (std::size_t capture = 0; capture < truths.size(); ++capture) {
        // Footage stands in the order in which it was ready.
        const bool wiredFirst = session::inOrder(bench.document()->captures).front()->name == "wired";
        bench.key(wiredFirst == (capture > 0) ? Qt::Key_PageDown : Qt::Key_PageUp, Qt::ControlModifier);
        bench.settle();
        bench.keys(QString::number(capture + 1)); // tags the capture
        bench.settle();
        analyst.look(truths[capture]);
        const auto presses = analyst.lampOnsets(), responses = analyst.screenOnsets();
        REQUIRE(presses.size() == pressesPerFilm);
        REQUIRE(responses.size() == pressesPerFilm);
        for (int i = 0; i < pressesPerFilm; ++i) {
            analyst.goTo(presses[static_cast<std::size_t>(i)]);
            bench.keys(QStringLiteral("F"));
            analyst.goTo(responses[static_cast<std::size_t>(i)]);
            bench.keys(QStringLiteral("R"));
            bench.key(Qt::Key_Return);
            bench.settle();
        }
    }
    bench.key(Qt::Key_PageUp); // back to the last trial
    bench.settle();
    bench.keys(QStringLiteral("X"));
    bench.key(Qt::Key_Return); // the reason that stands first
    bench.settle();

    const analysis::Results results = analysis::compute(*bench.document());
    int counting = 0, rejected = 0;
    for (std::size_t capture = 0; capture < truths.size(); ++capture) {
        const auto trials = bench.trials(capture == 0 ? "wired" : "bridged");
        REQUIRE(trials.size() == pressesPerFilm);
        for (std::size_t i = 0; i < trials.size(); ++i) {
            const footage::TruePress& truth = truths[capture].presses[i];
            const session::Reading& reading = trials[i]->readings.front();
            CHECK(reading.press->frame.value == truth.lampFrame);
            CHECK(reading.response->frame.value == truth.reactionFrame);
            CHECK(reading.accepted);
            const analysis::TrialOutcome* outcome = analysis::find(results, trials[i]->id);
            REQUIRE(outcome);
            REQUIRE(outcome->delay);
            // One unit in the last places: the same division done in another order.
            CHECK(std::abs(outcome->delay->delay.count() - 1000.0 * (*truth.reactionFrame - *truth.lampFrame) / 960)
                  < 1e-9);
            rejected += trials[i]->reject.has_value();
        }
        counting += results.configurations[capture].n;
    }
    CHECK(rejected == 1);
    CHECK(counting == 2 * pressesPerFilm - 1);

    bench.window->showPage(QStringLiteral("Publish"));
    const QString out = bench.path("published");
    analyst.type("publishFolder", out);
    analyst.click("publish");
    DeskBench::waitFor([&] { return QFileInfo::exists(out + QStringLiteral("/comparison-chart.png")); });
    CHECK(QImage(out + QStringLiteral("/comparison-chart.png")).size() == QSize(1920, 1080));
    CHECK(bench.problems().isEmpty());
}
