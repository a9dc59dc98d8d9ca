#include "ui/publish/product_pictures.h"
#include "core/error.h"
#include "core/report/method_note.h"
#include "core/report/sentences.h"
#include "core/report/tables.h"
#include "ui/chart/chart_card.h"
#include "ui/chart/chart_painter.h"
#include "ui/evidence/evidence_stills.h"

#include <QStringList>

namespace ui {
namespace {

/// As many lines as there is room for, as a page of them begins.
ChartScene pageOf(const std::string& text, const ChartStyle& style)
{
    constexpr int size = 26;
    ChartScene scene = emptyScene(style);
    scene.background.setAlpha(255);
    const QRectF room = safeAreaOf(scene.size);
    qreal y = room.top() + size;
    for (QString line : QString::fromStdString(text).split(QLatin1Char('\n'))) {
        line.remove(QLatin1Char('\r'));
        const QStringList wrapped = style.theme.face.wrapped(line.left(400), ChartWeight::Regular, size, room.width());
        addWords(scene, style.theme.face, wrapped.value(0), ChartPart::Footer, ChartWeight::Regular, size,
                 style.theme.palette.text, {room.left(), y});
        y += 1.35 * size;
        if (y > room.bottom())
            break;
    }
    return scene;
}

} // namespace

QImage productPicture(const std::string& key, const session::Document& document, const analysis::Results& results,
                      const PublishChoice& choice, const PictureSource& pictures, const std::stop_token& stop)
{
    ChartStyle style = styleOf(document.settings.publish);
    style.pixels = style.pixels.scaled(productPictureSide, productPictureSide, Qt::KeepAspectRatio);
    const auto chart = [&](session::ChartForm form) {
        return layOutChart(report::chartModel(document, results, form), style).front();
    };
    const session::ChartForm form = document.settings.publish.form;
    const std::vector<session::ConfigurationId> order = scriptOrder(results);
    if (key == "chart")
        return chartImage(chart(form));
    if (key == "difference")
        return results.baseline && results.configurations.size() > 1
                   ? chartImage(chart(session::ChartForm::Differences))
                   : QImage();
    if (key == "build-up")
        return chartImage(builtUp(chart(form), order, (order.size() + 1) / 2, results.baseline));
    if (key == "motion" || key == "motion-pictures") {
        ChartMotion motion(chart(form), order, results.baseline, motionSettings(document.settings.publish));
        return motion.imageAt(motion.frameCount() / 2).copy();
    }
    if (key == "card") {
        const std::vector<report::Card> cards = report::cards(results);
        if (cards.empty())
            return {};
        const report::Card& last = cards.back(); // a comparison, where there is one
        return chartImage(
            layOutCard(last,
                       report::chartModel(document, results,
                                          last.comparison ? session::ChartForm::Differences : session::ChartForm::Bars),
                       style));
    }
    if (key == "evidence" || key == "clip") {
        const std::vector<session::TrialId> trials = shownTrials(results, choice);
        if (trials.empty())
            return {};
        const TrialEvidence evidence = trialEvidence(document, trials.front(), pictures, stop);
        if (key == "evidence")
            return chartImage(evidenceStrip(evidence, style, pictures.crops.get(), stop));
        if (!evidence.footage)
            throw core::Error(core::ErrorKind::NotFound, evidence.noFootage);
        return chartImage(evidencePair(evidence, style, stop));
    }
    if (key == "table")
        return chartImage(pageOf(report::resultsCsv(document, results), style));
    if (key == "sentences")
        return chartImage(pageOf(report::scriptText(document, results), style));
    if (key == "note" || key == "report")
        return chartImage(pageOf(report::methodNote(document, results, {}), style));
    return {};
}

} // namespace ui
