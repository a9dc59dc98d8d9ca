#include "tests/bench/publish_bench.h"
#include "core/report/chart_model.h"
#include "core/report/html_report.h"
#include "core/report/publication_changes.h"
#include "core/report/results_json.h"
#include "tests/bench/bare_libav.h"
#include "tests/core/session/sample_document.h"
#include "ui/chart/chart_layout.h"
#include "ui/chart/chart_motion.h"
#include "ui/chart/chart_painter.h"
#include "ui/evidence/evidence_clip.h"
#include "ui/look/look.h"

#include <QApplication>
#include <algorithm>
#include <ctime>
#include <functional>
#include <limits>
#include <stdexcept>

namespace bench {

namespace {

ui::ChartStyle styleFor(QSize pixels, bool transparent = false)
{
    ui::ChartStyle style;
    style.pixels = pixels;
    style.transparent = transparent;
    return style;
}

std::string sizeOf(QSize pixels) { return std::to_string(pixels.width()) + " x " + std::to_string(pixels.height()); }

/// Of all threads: what encoders with threads of their own take while others use the machine says little by the clock.
template <class Work> double cpuMs(const Work& work)
{
    const std::clock_t start = std::clock();
    work();
    return 1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

/// The least that takes: these pictures encoded by a bare program. What painting them takes isn't counted; `begin`
/// makes what paints them, from the first on.
double bareMs(const std::filesystem::path& file, bool h264, int rate, QSize pixels, int pictures,
              const std::function<std::function<QImage(int)>()>& begin)
{
    const double painting = cpuMs([&] {
        const auto pictureAt = begin();
        QImage picture;
        for (int i = 0; i < pictures; ++i)
            picture = pictureAt(i).convertToFormat(QImage::Format_ARGB32);
    });
    return cpuMs([&] {
               const auto pictureAt = begin();
               QImage picture;
               bare::encode(file, h264, rate, pixels.width(), pixels.height(), pictures, [&](int i) {
                   picture = pictureAt(i).convertToFormat(QImage::Format_ARGB32);
                   return picture.constBits();
               });
           })
           - painting;
}

Row motionRow(const std::filesystem::path& folder, const Effort& effort, bool h264, const report::ChartModel& model)
{
    const QSize pixels = effort.small ? QSize(640, 360) : QSize(1920, 1080);
    ui::MotionSettings settings;
    settings.seconds = effort.small ? 1 : 10;
    settings.rate = effort.small ? 12 : 60;
    const ui::ChartScene scene = ui::layOutChart(model, styleFor(pixels, !h264)).front();
    const double ours = cpuMs([&] {
        ui::ChartMotion(scene, scene.lanes, {}, settings).write(folder / (h264 ? "ours.mp4" : "ours.mov"), {});
    });
    const int pictures = ui::ChartMotion(scene, scene.lanes, {}, settings).frameCount();
    const double bare = bareMs(folder / (h264 ? "bare.mp4" : "bare.mov"), h264, settings.rate, pixels, pictures, [&] {
        return [motion = std::make_shared<ui::ChartMotion>(scene, scene.lanes, session::ConfigurationId{}, settings)](
                   int i) { return motion->imageAt(i); };
    });
    return {effort.small ? "1 s of a chart" : "10 s of a 1080p chart, 60 a second",
            h264 ? "in motion as H.264, CPU" : "in motion as ProRes 4444, CPU",
            ours,
            "ms",
            "encode",
            bare};
}

/// Of a trial that takes so long that the clip lasts 10 s.
Row clipRow(const std::filesystem::path& folder, const Effort& effort, const Film& film)
{
    const QSize pixels = effort.small ? QSize(640, 360) : QSize(1920, 1080);
    ui::TrialEvidence trial;
    trial.configuration = trial.name = QStringLiteral("bench");
    trial.delay = QStringLiteral("265.6 ms");
    trial.footage = media::openFootage(film.path);
    trial.time = timing::CaptureTime::even(960, trial.footage->frameCount());
    trial.press = {15};
    trial.response = {effort.small ? 25 : 269};
    ui::EvidenceClip clip({trial}, styleFor(pixels));
    const int pictures = clip.pictureCount();
    const double ours = cpuMs([&] { ui::writeClip(folder / "clip.mp4", clip, true); });
    const double bare = bareMs(folder / "bare.mp4", true, ui::EvidenceClip::rate, pixels, pictures, [&] {
        return [again = std::make_shared<ui::EvidenceClip>(std::vector{trial}, styleFor(pixels))](int i) {
            return ui::chartImage(again->sceneAt(i));
        };
    });
    return {film.name, "a clip of " + std::to_string(pictures) + " pictures as H.264, checked for flashes, CPU",
            ours,      "ms",
            "encode",  bare};
}

} // namespace

Rows measurePublishing(const std::filesystem::path& folder, const Effort& effort, const std::vector<Film>& films)
{
    qputenv("QT_QPA_PLATFORM", "offscreen"); // fonts need an application, and no display
    int argc = 1;
    char name[] = "tallyframe_bench";
    char* argv[] = {name, nullptr};
    QApplication application(argc, argv);
    ui::applyLook(application);
    Rows rows;
    const session::Document document = sample::withTrials(effort.trials());
    const analysis::Results results = analysis::compute(document);
    const std::string subject = std::to_string(effort.trials()) + " trials";
    const auto quickest = [&](const auto& work) {
        double least = std::numeric_limits<double>::infinity();
        for (int round = 0; round < 3 * effort.rounds(); ++round)
            least = std::min(least, timed(work));
        return least;
    };
    const report::ChartModel model = report::chartModel(document, results);
    for (const QSize pixels : {QSize(1920, 1080), QSize(3840, 2160)}) {
        const ui::ChartScene scene = ui::layOutChart(model, styleFor(pixels)).front();
        const QImage picture = ui::chartImage(scene);
        rows.push_back({"chart of " + subject + ", " + sizeOf(pixels), "laid out, painted and written as PNG, CPU",
                        cpuMs([&] { ui::chartPng(ui::layOutChart(model, styleFor(pixels)).front()); }), "ms", "encode",
                        cpuMs([&] { bare::encodePng(picture.width(), picture.height(), picture.constBits()); })});
    }
    for (const bool h264 : {true, false})
        rows.push_back(motionRow(folder, effort, h264, model));
    if (!films.empty())
        rows.push_back(clipRow(folder, effort, films.front()));
    rows.push_back({subject, "report as HTML, without pictures", quickest([&] {
                        report::htmlReport(document, results, {"1", {}, {}});
                    })});
    rows.push_back({subject, "results as JSON", quickest([&] { report::resultsJson(document, results, "1"); })});
    const QByteArray earlier = report::toJson(report::publishedState(document, results, "bench", "1"));
    rows.push_back({subject, "what moved since the last publication", quickest([&] {
                        const auto was = report::publishedStateFrom(earlier);
                        if (!was
                            || !changesBetween(*was, report::publishedState(document, results, "bench", "1")).empty())
                            throw std::runtime_error("nothing moved, but something is said to have");
                    })});
    return rows;
}

} // namespace bench
