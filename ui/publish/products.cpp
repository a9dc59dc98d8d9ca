#include "ui/publish/products.h"
#include "core/analysis/phrases.h"
#include "core/analysis/results.h"
#include "core/error.h"
#include "core/session/durable_file.h"
#include "ui/chart/chart_card.h"
#include "ui/chart/chart_motion.h"
#include "ui/chart/chart_painter.h"
#include "ui/evidence/evidence_clip.h"
#include "ui/evidence/evidence_stills.h"

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

void checkEven(const ChartStyle& style)
{
    if (style.pixels.width() % 2 != 0 || style.pixels.height() % 2 != 0)
        throw core::Error(core::ErrorKind::Unsupported,
                          "A movie takes an even width and height; " + std::to_string(style.pixels.width()) + " x "
                              + std::to_string(style.pixels.height()) + " isn't. Choose another size.");
}

/// A published folder's safety works on bytes, so movies are made elsewhere first.
void checkPlace(const QTemporaryDir& folder)
{
    if (!folder.isValid())
        throw core::Error(core::ErrorKind::WriteFailed, "There is no place for a movie while it is made: "
                                                            + folder.errorString().toStdString() + ".");
}

std::filesystem::path toPath(const QTemporaryDir& folder) { return folder.path().toStdString(); }

/// Empty where it flashes and mayn't.
QByteArray clipBytes(std::vector<TrialEvidence> trials, const PublishChoice& choice, const ChartStyle& style,
                     const std::string& name, EvidenceFiles& made, const std::stop_token& stop,
                     const MakingProgress& progress)
{
    const QTemporaryDir folder;
    checkPlace(folder);
    const std::filesystem::path file = toPath(folder) / name;
    EvidenceClip clip(std::move(trials), style, stop);
    const media::Flashing found = writeClip(file, clip, choice.flashing, stop, [&](std::int64_t done, std::int64_t of) {
        if (progress)
            progress(QString::fromStdString(name), static_cast<int>(done), static_cast<int>(of));
    });
    if (found.tooMuch())
        made.reports.push_back(
            name + (choice.flashing ? " was written although it flashes" : " wasn't written: it flashes") + " up to "
            + std::to_string((std::max(found.general, found.red) + 1) / 2) + " times in a second from "
            + QString::number(static_cast<double>(found.first) / EvidenceClip::rate, 'f', 1).toStdString()
            + " s on, and more than 3 can bring on seizures (WCAG 2.3.1). "
            + (choice.flashing ? "Warn viewers before it, or cut that part out."
                               : "Choose a trial that flashes less; if it must be shown, allow clips that flash and "
                                 "warn viewers before it."));
    return found.tooMuch() && !choice.flashing ? QByteArray() : session::readFile(file, mostMovieBytes);
}

} // namespace

std::vector<session::ConfigurationId> scriptOrder(const analysis::Results& results)
{
    std::vector<session::ConfigurationId> order;
    for (const analysis::ConfigurationResult& result : results.configurations)
        order.push_back(result.configuration);
    for (const analysis::EarlierResults& earlier : results.earlier)
        for (const analysis::ConfigurationResult& result : earlier.configurations)
            order.push_back(result.configuration);
    return order;
}

std::vector<session::TrialId> shownTrials(const analysis::Results& results, const PublishChoice& choice)
{
    if (!choice.trials.empty())
        return choice.trials;
    std::vector<session::TrialId> trials;
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (const auto typical = analysis::typicalTrial(results, result.configuration))
            trials.push_back(*typical);
    return trials;
}

MotionSettings motionSettings(const session::PublishSettings& publish)
{
    return {publish.motionSeconds, publish.motionRate, publish.motionEven ? Easing::Even : Easing::Gentle};
}

const std::vector<ProductKind>& productKinds()
{
    static const std::vector<ProductKind> kinds = {
        {"chart", QT_TRANSLATE_NOOP("ui::PublishPanel", "Comparison chart"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "PNG, SVG and PDF")},
        {"difference", QT_TRANSLATE_NOOP("ui::PublishPanel", "Difference chart"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "with the verdicts; PNG, SVG, PDF")},
        {"build-up", QT_TRANSLATE_NOOP("ui::PublishPanel", "Build-up"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "PNG, one configuration more in each")},
        {"motion", QT_TRANSLATE_NOOP("ui::PublishPanel", "Chart in motion"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "movie: H.264, ProRes without ground"), true},
        {"motion-pictures", QT_TRANSLATE_NOOP("ui::PublishPanel", "Motion as pictures"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "the same as numbered PNG"), true},
        {"card", QT_TRANSLATE_NOOP("ui::PublishPanel", "Cards"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "PNG: one big figure with its sentence"), true},
        {"evidence", QT_TRANSLATE_NOOP("ui::PublishPanel", "Evidence"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "PNG: frames of typical trials")},
        {"clip", QT_TRANSLATE_NOOP("ui::PublishPanel", "Clips"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "H.264: these trials, slowed"), true},
        {"table", QT_TRANSLATE_NOOP("ui::PublishPanel", "Tables"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "CSV, JSON: results, trials")},
        {"sentences", QT_TRANSLATE_NOOP("ui::PublishPanel", "Sentences"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "text to read out, with figures")},
        {"note", QT_TRANSLATE_NOOP("ui::PublishPanel", "Method note"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "text: how the figures came about")},
        {"report", QT_TRANSLATE_NOOP("ui::PublishPanel", "Report"),
         QT_TRANSLATE_NOOP("ui::PublishPanel", "HTML: all on one page, to print")},
    };
    return kinds;
}

std::vector<std::string> productKeys(const session::PublishSettings& settings)
{
    std::vector<std::string> keys;
    for (const QString& key : QString::fromStdString(settings.products).split(QLatin1Char(','), Qt::SkipEmptyParts))
        keys.push_back(key.toStdString());
    return keys;
}

PublishChoice choiceOf(const session::Document& document)
{
    const session::PublishSettings& settings = document.settings.publish;
    PublishChoice choice;
    choice.only = productKeys(settings);
    choice.trials = trialsNamed(document, QString::fromStdString(settings.shownTrials));
    choice.sideBySide = settings.sideBySide && choice.trials.size() == 2;
    return choice;
}

std::vector<session::TrialId> trialsNamed(const session::Document& document, const QString& list)
{
    std::vector<session::TrialId> named;
    for (const QString& part : list.split(QLatin1Char(','), Qt::SkipEmptyParts)) {
        const QString name = part.trimmed();
        const auto colon = name.lastIndexOf(QLatin1Char(':'));
        const std::string captureName = name.left(colon).toStdString();
        const int number = name.mid(colon + 1).toInt();
        const auto captures = session::inOrder(document.captures);
        const auto capture = std::ranges::find(captures, captureName, &session::Capture::name);
        const auto trials = capture == captures.end() ? std::vector<const session::Trial*>()
                                                      : session::trialsOf(document, (*capture)->id);
        if (number < 1 || number > std::ssize(trials))
            throw core::Error(core::ErrorKind::Refused, "The session has no trial \"" + name.toStdString()
                                                            + "\"; trials are named as run01:3, which is trial 3 of "
                                                              "run01.");
        named.push_back(trials[static_cast<std::size_t>(number - 1)]->id);
    }
    return named;
}

bool PublishChoice::has(const char* key) const { return only.empty() || std::ranges::find(only, key) != only.end(); }

bool PublishChoice::asks(const char* key) const { return std::ranges::find(only, key) != only.end(); }

std::vector<report::Product> chartFiles(const session::Document& document, const analysis::Results& results,
                                        const PublishChoice& choice)
{
    std::vector<report::Product> files;
    if (!choice.has("chart") && !choice.has("difference") && !choice.has("build-up") && !choice.asks("card"))
        return files;
    const ChartStyle style = styleOf(document.settings.publish);
    if (choice.has("chart"))
        addPictures(files, "comparison-chart", layOutChart(report::chartModel(document, results), style));
    const bool compared = document.settings.publish.form != session::ChartForm::Differences && results.baseline
                          && results.configurations.size() > 1;
    if (choice.has("difference") && compared)
        addPictures(files, "difference-chart",
                    layOutChart(report::chartModel(document, results, session::ChartForm::Differences), style));
    if (choice.has("build-up")) {
        const std::vector<ChartScene> scenes = layOutChart(report::chartModel(document, results), style);
        const std::vector<session::ConfigurationId> order = scriptOrder(results);
        int number = 0;
        for (const ChartScene& scene : scenes)
            for (std::size_t shown = 1; shown <= order.size(); ++shown)
                if (std::ranges::find(scene.lanes, order[shown - 1]) != scene.lanes.end())
                    files.push_back({"build-up-" + std::to_string(++number) + ".png",
                                     chartPng(builtUp(scene, order, shown, results.baseline))});
    }
    if (choice.asks("card")) {
        const report::ChartModel means = report::chartModel(document, results, session::ChartForm::Bars),
                                 differences = report::chartModel(document, results, session::ChartForm::Differences);
        int number = 0;
        for (const report::Card& card : report::cards(results))
            files.push_back({"card-" + std::to_string(++number) + ".png",
                             chartPng(layOutCard(card, card.comparison ? differences : means, style))});
    }
    return files;
}

std::vector<report::Product> motionFiles(const session::Document& document, const analysis::Results& results,
                                         const PublishChoice& choice, const std::stop_token& stop,
                                         const MakingProgress& progress)
{
    std::vector<report::Product> files;
    const bool movie = choice.asks("motion"), pictures = choice.asks("motion-pictures");
    if (!movie && !pictures)
        return files;
    const ChartStyle style = styleOf(document.settings.publish);
    ChartMotion motion(layOutChart(report::chartModel(document, results), style).front(), scriptOrder(results),
                       results.baseline, motionSettings(document.settings.publish));
    const auto tell = [&](const QString& what) -> MotionProgress {
        if (!progress)
            return {};
        return [what, &progress](int done, int of) { progress(what, done, of); };
    };
    if (movie) {
        checkEven(style);
        const QTemporaryDir folder;
        checkPlace(folder);
        const std::string name = style.transparent ? "comparison-chart.mov" : "comparison-chart.mp4";
        const std::filesystem::path file = toPath(folder) / name;
        motion.write(file, stop, tell(QString::fromStdString(name)));
        files.push_back({name, session::readFile(file, mostMovieBytes)});
    }
    if (pictures) {
        int number = 0;
        for (QByteArray& bytes : motion.pictures(mostMovieBytes, stop, tell(QStringLiteral("motion-0001.png"))))
            files.push_back({QStringLiteral("motion-%1.png").arg(++number, 4, 10, QLatin1Char('0')).toStdString(),
                             std::move(bytes)});
    }
    return files;
}

EvidenceFiles evidenceFiles(const session::Document& document, const analysis::Results& results,
                            const PublishChoice& choice, const PictureSource& pictures, const std::stop_token& stop,
                            const MakingProgress& progress)
{
    EvidenceFiles made;
    const bool stills = choice.has("evidence"), clips = choice.asks("clip");
    if (!stills && !clips)
        return made;
    const ChartStyle style = styleOf(document.settings.publish);
    if (clips)
        checkEven(style);
    // One that can't be made is no reason to publish nothing; many of them are told in one sentence.
    std::vector<std::string> missing;
    std::string why;
    const auto add = [&](const std::string& name, const std::function<QByteArray()>& make) {
        if (progress)
            progress(QString::fromStdString(name), 0, 0);
        try {
            if (QByteArray bytes = make(); !bytes.isEmpty())
                made.files.push_back({name, std::move(bytes)});
        } catch (const core::Error& error) {
            missing.push_back(name);
            if (why.empty())
                why = error.what();
        }
    };
    std::vector<TrialEvidence> all;
    int number = 0, fromCrops = 0;
    for (const session::TrialId id : shownTrials(results, choice)) {
        TrialEvidence trial = trialEvidence(document, id, pictures, stop);
        const std::string numbered = '-' + std::to_string(++number);
        if (stills)
            add("evidence" + numbered + ".png", [&] {
                const ChartScene strip = evidenceStrip(trial, style, pictures.crops.get(), stop);
                fromCrops += !trial.footage;
                return chartPng(strip);
            });
        if (stills && trial.footage)
            add("still-pair" + numbered + ".png", [&] { return chartPng(evidencePair(trial, style, stop)); });
        if (clips && !choice.sideBySide)
            add("clip" + numbered + ".mp4",
                [&] { return clipBytes({trial}, choice, style, "clip" + numbered + ".mp4", made, stop, progress); });
        all.push_back(std::move(trial));
    }
    if (clips && choice.sideBySide)
        add("clip-side-by-side.mp4",
            [&] { return clipBytes(std::move(all), choice, style, "clip-side-by-side.mp4", made, stop, progress); });
    if (fromCrops > 0)
        made.reports.push_back(analysis::counted(fromCrops, "trial is", "trials are")
                               + " shown by the crops of the marks alone, without whole pictures: the footage isn't "
                                 "there, isn't to be read or isn't the one that was marked.");
    if (!missing.empty())
        made.reports.push_back(analysis::listed(missing) + (missing.size() == 1 ? " wasn't made. " : " weren't made. ")
                               + why);
    return made;
}

} // namespace ui
