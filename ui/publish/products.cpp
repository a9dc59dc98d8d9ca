#include "ui/publish/products.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "ui/chart/chart_motion.h"
#include "ui/chart/chart_painter.h"

#include <QTemporaryDir>
#include <algorithm>

namespace ui {
namespace {

constexpr std::int64_t mostMovieBytes = std::int64_t{1} << 30;

void addPictures(std::vector<report::Product>& files, const std::string& name, const std::vector<ChartScene>& scenes)
{
    for (std::size_t i = 0; i < scenes.size(); ++i) {
        const std::string numbered = i == 0 ? name : name + '-' + std::to_string(i + 1);
        files.push_back({numbered + ".png", chartPng(scenes[i])});
        files.push_back({numbered + ".svg", chartSvg(scenes[i])});
    }
    files.push_back({name + ".pdf", chartPdf(scenes)});
}

std::vector<session::ConfigurationId> scriptOrder(const analysis::Results& results)
{
    std::vector<session::ConfigurationId> order;
    for (const analysis::ConfigurationResult& result : results.configurations)
        order.push_back(result.configuration);
    return order;
}

} // namespace

const std::vector<ProductKind>& productKinds()
{
    static const std::vector<ProductKind> kinds = {
        {"chart", QT_TRANSLATE_NOOP("PublishPanel", "Comparison chart"),
         QT_TRANSLATE_NOOP("PublishPanel", "PNG, SVG with text as outlines, PDF")},
        {"difference", QT_TRANSLATE_NOOP("PublishPanel", "Difference chart"),
         QT_TRANSLATE_NOOP("PublishPanel", "to the baseline, with the verdicts; PNG, SVG, PDF")},
        {"build-up", QT_TRANSLATE_NOOP("PublishPanel", "Build-up"),
         QT_TRANSLATE_NOOP("PublishPanel", "PNG stills, a configuration more in each, as the script names them")},
        {"motion", QT_TRANSLATE_NOOP("PublishPanel", "Chart in motion"),
         QT_TRANSLATE_NOOP("PublishPanel", "10 s at 60 frames a second; ProRes 4444 where transparent, else H.264"),
         true},
        {"table", QT_TRANSLATE_NOOP("PublishPanel", "Tables"),
         QT_TRANSLATE_NOOP("PublishPanel", "CSV: results, causes of doubt, trials with their marks, agreement")},
        {"sentences", QT_TRANSLATE_NOOP("PublishPanel", "Sentences"),
         QT_TRANSLATE_NOOP("PublishPanel", "text to read out, with the figures behind it")},
        {"note", QT_TRANSLATE_NOOP("PublishPanel", "Method note"),
         QT_TRANSLATE_NOOP("PublishPanel", "text: how the figures came about")},
    };
    return kinds;
}

bool PublishChoice::has(const char* key) const { return only.empty() || std::ranges::find(only, key) != only.end(); }

bool PublishChoice::asks(const char* key) const { return std::ranges::find(only, key) != only.end(); }

std::vector<report::Product> chartFiles(const session::Document& document, const analysis::Results& results,
                                        const PublishChoice& choice)
{
    std::vector<report::Product> files;
    if (!choice.has("chart") && !choice.has("difference") && !choice.has("build-up"))
        return files;
    const ChartLook look = lookOf(document.settings.publish);
    if (choice.has("chart"))
        addPictures(files, "comparison-chart", layOutChart(report::chartModel(document, results), look));
    const bool compared = document.settings.publish.form != session::ChartForm::Differences && results.baseline
                          && results.configurations.size() > 1;
    if (choice.has("difference") && compared)
        addPictures(files, "difference-chart",
                    layOutChart(report::chartModel(document, results, session::ChartForm::Differences), look));
    if (choice.has("build-up")) {
        const std::vector<ChartScene> scenes = layOutChart(report::chartModel(document, results), look);
        const std::vector<session::ConfigurationId> order = scriptOrder(results);
        int number = 0;
        for (const ChartScene& scene : scenes)
            for (std::size_t shown = 1; shown <= order.size(); ++shown)
                if (std::ranges::find(scene.lanes, order[shown - 1]) != scene.lanes.end())
                    files.push_back({"build-up-" + std::to_string(++number) + ".png",
                                     chartPng(builtUp(scene, order, shown, results.baseline))});
    }
    return files;
}

std::vector<report::Product> motionFiles(const session::Document& document, const analysis::Results& results,
                                         const PublishChoice& choice, const std::stop_token& stop)
{
    if (!choice.asks("motion"))
        return {};
    const ChartLook look = lookOf(document.settings.publish);
    if (look.pixels.width() % 2 != 0 || look.pixels.height() % 2 != 0)
        throw core::Error(core::ErrorKind::Unsupported,
                          "A chart in motion takes an even width and height; " + std::to_string(look.pixels.width())
                              + " x " + std::to_string(look.pixels.height()) + " isn't. Choose another size.");
    // The folder's safety works on bytes, so the movie is made elsewhere first.
    const QTemporaryDir folder;
    if (!folder.isValid())
        throw core::Error(core::ErrorKind::WriteFailed, "There is no place for the chart in motion while it is made: "
                                                            + folder.errorString().toStdString() + ".");
    const std::string name = look.transparent ? "comparison-chart.mov" : "comparison-chart.mp4";
    const std::filesystem::path file = std::filesystem::path(folder.path().toStdString()) / name;
    writeMotion(file, layOutChart(report::chartModel(document, results), look).front(), scriptOrder(results),
                results.baseline, {}, stop);
    return {{name, session::readFile(file, mostMovieBytes)}};
}

} // namespace ui
