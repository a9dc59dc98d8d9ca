#include "ui/evidence/evidence_clip.h"
#include "core/error.h"
#include "core/media/picture/rendition.h"
#include "ui/chart/chart_painter.h"
#include "ui/evidence/evidence_pieces.h"

#include <algorithm>
#include <cmath>

namespace ui {
namespace {

constexpr int bigSize = 72;
constexpr qreal ring = 5, panelGap = 56;
constexpr double secondsBefore = 0.5, secondsAfter = 1; ///< of the clip
constexpr int wordsHeight = 2 * evidencePitch + 84;

/// From a frame near the press to the next.
double frameSeconds(const TrialEvidence& trial)
{
    const timing::FrameNumber next = trial.press + timing::FrameCount{1};
    return trial.time->has(next) ? trial.secondsAfterPress(next)
                                 : trial.time->intervalBefore(trial.press).value_or(timing::Seconds{0}).count();
}

void checkTrial(const TrialEvidence& trial, bool compared)
{
    const std::string name = trial.name.toStdString();
    if (!trial.footage)
        throw core::Error(core::ErrorKind::NotFound,
                          "There is no clip of " + name + " without its footage. " + trial.noFootage);
    if (compared && !trial.time)
        throw core::Error(core::ErrorKind::Refused,
                          name + " can't stand beside another trial: its clock isn't settled, so no time is known.");
    if (trial.time && !(frameSeconds(trial) > 0))
        throw core::Error(core::ErrorKind::Refused,
                          "No time can be told around the press of " + name + ", so there is no clip of it.");
}

} // namespace

EvidenceClip::EvidenceClip(std::vector<TrialEvidence> trials, const ChartStyle& style, const std::stop_token& stop)
    : m_style(style)
{
    const bool compared = trials.size() > 1;
    int before = static_cast<int>(secondsBefore * rate), after = 0;
    for (const TrialEvidence& trial : trials) {
        checkTrial(trial, compared);
        before = static_cast<int>(std::min<std::int64_t>(before, trial.press.value));
        if (trial.time)
            m_step = m_step > 0 ? std::min(m_step, frameSeconds(trial)) : frameSeconds(trial);
    }
    for (const TrialEvidence& trial : trials) {
        const double pictures = m_step > 0 ? std::ceil(trial.secondsAfterPress(trial.response) / m_step - 1e-6)
                                           : static_cast<double>((trial.response - trial.press).value);
        after = std::max(after, static_cast<int>(pictures));
    }
    m_pictures = before + after + 1 + static_cast<int>(secondsAfter * rate);
    for (TrialEvidence& trial : trials) {
        Panel panel;
        const timing::FrameNumber last{trial.footage->frameCount().value - 1};
        timing::FrameNumber frame{std::max<std::int64_t>(0, trial.press.value - before)};
        for (int picture = 0; picture < m_pictures; ++picture) {
            const auto due = [&](timing::FrameNumber n) {
                if (m_step == 0)
                    return (n - trial.press).value <= picture - before;
                return trial.time->has(n) && trial.secondsAfterPress(n) <= (picture - before + 1e-3) * m_step;
            };
            while (frame < last && due(frame + timing::FrameCount{1}))
                frame = frame + timing::FrameCount{1};
            panel.frames.push_back(frame);
        }
        panel.reader = std::make_unique<media::FrameReader>(trial.footage, stop);
        panel.trial = std::move(trial);
        m_panels.push_back(std::move(panel));
    }
}

timing::FrameNumber EvidenceClip::frameAt(std::size_t index, int picture) const
{
    return m_panels[index].frames[static_cast<std::size_t>(picture)];
}

ChartScene EvidenceClip::sceneAt(int picture, const std::stop_token& stop)
{
    ChartScene scene = emptyScene(m_style);
    scene.background.setAlpha(255);
    QRectF room = safeAreaOf(scene.size);
    if (m_step > 0) {
        const double slower = 1 / (m_step * rate);
        addWordsRight(scene, m_style.theme.face,
                      QStringLiteral("shown %1 times slower").arg(QString::number(slower, 'f', slower < 10 ? 1 : 0)),
                      ChartPart::Footer, ChartWeight::Regular, evidenceText, m_style.theme.palette.quietText,
                      {room.right(), room.bottom() - chartDescent * evidenceText});
        room.setBottom(room.bottom() - evidencePitch);
    }
    const bool wide = scene.size.width() > scene.size.height();
    const std::vector<QRectF> rooms = partsOf(room, m_panels.size(), panelGap, wide);
    for (std::size_t i = 0; i < m_panels.size(); ++i)
        addPanel(scene, m_panels[i], picture, rooms[i], stop);
    return scene;
}

void EvidenceClip::addPanel(ChartScene& scene, Panel& panel, int picture, const QRectF& room,
                            const std::stop_token& stop)
{
    const TrialEvidence& trial = panel.trial;
    const media::Footage& footage = *trial.footage;
    const timing::FrameNumber frame = panel.frames[static_cast<std::size_t>(picture)];
    if (frame != panel.shown) {
        media::View view;
        view.rotation = footage.rotation;
        panel.image = imageOf(media::render(panel.reader->read(frame, stop), view));
        panel.shown = frame;
    }
    const QSizeF size = shownShape(footage).scaled({room.width(), room.height() - wordsHeight}, Qt::KeepAspectRatio);
    const QRectF box(
        room.topLeft() + QPointF((room.width() - size.width()) / 2, (room.height() - size.height() - wordsHeight) / 2),
        size);
    addPicture(scene, ChartPart::Picture, panel.image, box);

    const Typeface& face = m_style.theme.face;
    const ChartPalette& palette = m_style.theme.palette;
    const auto sign = [&](MarkedEvent event, const session::Region& region, timing::FrameNumber from) {
        if (frame < from || region.width == 0)
            return;
        const QColor colour = eventColour(event, Qt::black); // on footage it is the dark pair, whatever the theme
        const QRectF part = shownPart(footage, QRectF(region.x, region.y, region.width, region.height), box);
        addRing(scene, part.adjusted(-ring, -ring, ring, ring), ring, Qt::black);
        addRing(scene, part, ring, colour);
        const qreal above = std::max(box.top() + 4, part.top() - 2 * ring - 34);
        addSign(scene, event, QRectF(part.center().x() - 14, above, 28, 28), colour);
    };
    sign(MarkedEvent::Press, trial.lamp, trial.press);
    sign(MarkedEvent::Response, trial.screen, trial.response);

    qreal y = box.bottom() + evidenceGap;
    const QStringList name = face.wrapped(trial.configuration, ChartWeight::Semibold, evidenceText, room.width());
    addWords(scene, face, name.front() + (name.size() > 1 ? QStringLiteral("…") : QString()), ChartPart::Name,
             ChartWeight::Semibold, evidenceText, palette.text, {room.left(), y + chartAscent * evidenceText});
    y += evidencePitch;
    addWords(scene, face, trial.afterPress(frame), ChartPart::Value, ChartWeight::Bold, bigSize, palette.text,
             {room.left(), y + chartAscent * bigSize});
    addWordsRight(scene, face, QStringLiteral("camera frame %1").arg(frame.value), ChartPart::Detail,
                  ChartWeight::Regular, evidenceText, palette.quietText, {room.right(), y + chartAscent * bigSize});
    y += bigSize + 12;
    if (frame >= trial.press) {
        const bool responded = frame >= trial.response;
        const MarkedEvent event = responded ? MarkedEvent::Response : MarkedEvent::Press;
        addSign(scene, event, QRectF(room.left(), y + 10, 28, 28), eventColour(event, palette.background));
        addWords(scene, face, responded ? QStringLiteral("response: %1").arg(trial.delay) : eventWord(event),
                 ChartPart::Detail, ChartWeight::Semibold, evidenceText, palette.text,
                 {room.left() + 40, y + chartAscent * evidenceText});
    }
}

media::Flashing writeClip(const std::filesystem::path& file, EvidenceClip& clip, bool flashing,
                          const std::stop_token& stop, const media::Progress& progress)
{
    const ChartScene first = clip.sceneAt(0, stop);
    const media::Size size{first.pixels.width(), first.pixels.height()};
    media::MovieWriter writer(file, {media::MovieCodec::H264, size, timing::FrameRate{EvidenceClip::rate}});
    media::FlashMeter meter(size, EvidenceClip::rate);
    for (int picture = 0; picture < clip.pictureCount(); ++picture) {
        if (stop.stop_requested())
            throw core::Cancelled();
        const QImage image = chartImage(clip.sceneAt(picture, stop));
        const media::MoviePicture pixels{image.constBits(), image.bytesPerLine()};
        meter.add(pixels);
        writer.add(pixels);
        if (progress)
            progress(picture + 1, clip.pictureCount());
    }
    writer.finish();
    if (!meter.worst().tooMuch() || flashing)
        writer.commit();
    return meter.worst();
}

} // namespace ui
