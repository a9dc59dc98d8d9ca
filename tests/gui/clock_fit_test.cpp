#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"
#include "tests/gui/pages_session.h"
#include "ui/clock/clock_page.h"
#include "ui/clock/fit_plot.h"
#include "ui/look/label.h"

#include <QLineEdit>
#include <QPushButton>
#include <QTest>
#include <catch2/catch.hpp>

namespace {

constexpr double trueRate = 239.4, lampFrequency = 9.7;

/// A lamp that blinks and nothing else.
footage::Spec lampSpec()
{
    footage::Spec spec;
    spec.camera.width = 320;
    spec.camera.height = 180;
    spec.camera.nominalRate = {240, 1};
    spec.camera.ppm = (trueRate / 240 - 1) * 1e6;
    spec.scene.roadSpeed = 0;
    spec.scene.lampHold = 0.5 / lampFrequency;
    for (int i = 0; i < 30; ++i) {
        spec.scene.pressTimes.push_back(0.0317 + i / lampFrequency);
        spec.scene.oddities.push_back({i, footage::OddityKind::NoReaction});
    }
    spec.camera.frames = static_cast<int>((spec.scene.pressTimes.back() + 0.02) * trueRate);
    spec.storage.barcode = false;
    return spec;
}

/// Four captures of one camera mode: three with nothing in them and the one that films the lamp. Their tag says 480.
class ClockBench {
public:
    ClockBench()
    {
        const footage::Truth truth = footage::make(lampSpec(), folder / "lamp.mp4");
        REQUIRE(pages_session::openIn(model, QString::fromStdString(folder.path().string()), session::Document{}));
        QObject::connect(&model, &ui::SessionModel::problem, [this](const QString& sentence) { problems << sentence; });
        std::vector<session::NewCapture> captures;
        for (const char* name : {"run one", "run two", "run three", "lamp"}) {
            session::NewCapture added;
            added.capture.name = name;
            added.capture.path = "lamp.mp4";
            added.capture.frames = static_cast<std::int64_t>(truth.frames.size());
            added.capture.width = 320;
            added.capture.height = 180;
            added.cameraMode = "Bench camera, 240 mode";
            added.evidence = {{timing::Origin::Tag, 480, timing::FrameRate(480), 0.017, "metadata"}};
            captures.push_back(added);
        }
        REQUIRE(model.edit([&](const session::Document& d) { return session::addCaptures(d, captures); }));
        REQUIRE(pages_session::settled(model));
        session::Region lamp{{}, session::RegionKind::Lamp, "lamp", truth.lamp.x, truth.lamp.y, truth.lamp.width, truth.lamp.height};
        for (const session::Capture* capture : session::inOrder(model.document()->captures))
            if (capture->name == "lamp")
                REQUIRE(model.edit([&, id = capture->id](const session::Document& d) { return session::setRegion(d, id, lamp); }));
        REQUIRE(pages_session::settled(model));
        page = std::make_unique<ui::ClockPage>(model);
        QObject::connect(page.get(), &ui::Page::problem, [this](const QString& sentence) { problems << sentence; });
        page->resize(1280, 690);
        page->show();
        page->activateWindow();
        REQUIRE(QTest::qWaitForWindowActive(page.get()));
        page->entered();
    }

    template <class Widget> Widget* child(const char* name) const
    {
        auto* found = page->findChild<Widget*>(QString::fromLatin1(name));
        REQUIRE(found);
        return found;
    }
    void type(const char* field, const char* text)
    {
        auto* edit = child<QLineEdit>(field);
        edit->setFocus();
        edit->selectAll();
        QTest::keyClicks(edit, QString::fromLatin1(text));
    }
    void click(const char* button)
    {
        QTest::mouseClick(child<QPushButton>(button), Qt::LeftButton);
        REQUIRE(pages_session::settled(model));
    }
    void findEdges()
    {
        type("lampFrequency", "9.7");
        type("lampTolerance", "50");
        click("findEdges");
        REQUIRE(QTest::qWaitFor([&] { return child<ui::Label>("fitResult")->isVisible() || !problems.isEmpty(); }, 30'000));
        REQUIRE(problems.isEmpty());
    }
    const session::Clock& clock() const { return *model.document()->clocks.begin()->second; }

    TempFolder folder;
    ui::SessionModel model;
    QStringList problems;
    std::unique_ptr<ui::ClockPage> page;
};

} // namespace

TEST_CASE("a calibration capture settles the clock of three others, a dispute is shown, undo brings it back", "[gui][clock]")
{
    ClockBench bench;
    REQUIRE(bench.model.document()->clocks.size() == 1);
    REQUIRE(bench.model.document()->captures.size() == 4);
    CHECK(session::stateOf(bench.clock()) == session::ClockState::Proposed);

    bench.findEdges();
    CHECK(bench.child<ui::Label>("fitResult")->text().contains(QLatin1String("59 of 59 edges used")));
    bench.click("takeReference");
    REQUIRE(bench.clock().evidence.size() == 2);
    const session::ClockEvidence* reference = session::proposedEvidence(bench.clock());
    REQUIRE(reference->rate.origin == timing::Origin::Reference);
    CHECK(std::abs(reference->rate.rate - trueRate) < 2 * reference->rate.rate * reference->rate.relativeUncertainty);
    CHECK(reference->rate.relativeUncertainty < 5e-4);
    CHECK(reference->errorSources.size() == 2);

    // The tag says twice as much: the page says so, and nothing is settled by that.
    CHECK(session::stateOf(bench.clock()) == session::ClockState::InDispute);
    CHECK(bench.page->stateLine().contains(QLatin1String("in dispute")));
    bool said = false;
    for (const ui::Label* label : bench.page->findChildren<ui::Label*>())
        said = said || (label->text().contains(QLatin1String("differ by")) && label->text().contains(QLatin1String("ms apart")));
    CHECK(said);

    bench.click("settle");
    CHECK(session::stateOf(bench.clock()) == session::ClockState::Settled);
    for (const auto& [id, capture] : bench.model.document()->captures)
        CHECK(capture->clock == bench.clock().id);

    bench.model.undo();
    REQUIRE(pages_session::settled(bench.model));
    CHECK(session::stateOf(bench.clock()) == session::ClockState::InDispute);
    bench.model.undo();
    REQUIRE(pages_session::settled(bench.model));
    CHECK(session::stateOf(bench.clock()) == session::ClockState::Proposed);
    CHECK(bench.problems.isEmpty());
}

TEST_CASE("an edge is left out and taken back by keys, and the fit follows", "[gui][clock]")
{
    ClockBench bench;
    bench.findEdges();
    auto* plot = bench.child<ui::FitPlot>("fitPlot");
    plot->setFocus();
    QTest::keyClick(plot, Qt::Key_Home);
    QTest::keyClick(plot, Qt::Key_Right);
    QTest::keyClick(plot, Qt::Key_Space);
    CHECK(bench.child<ui::Label>("fitResult")->text().contains(QLatin1String("58 of 58 edges used")));
    QTest::keyClick(plot, Qt::Key_Space);
    CHECK(bench.child<ui::Label>("fitResult")->text().contains(QLatin1String("59 of 59 edges used")));
}

TEST_CASE("a fit without a frequency is refused in one sentence", "[gui][clock]")
{
    ClockBench bench;
    bench.click("findEdges");
    REQUIRE(bench.problems.size() == 1);
    CHECK(bench.problems.front().contains(QLatin1String("frequency")));
}
