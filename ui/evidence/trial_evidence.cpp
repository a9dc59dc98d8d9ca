#include "core/reading/same_footage.h"
#include "ui/evidence/trial_evidence.h"
#include "core/analysis/capture_clock.h"
#include "core/analysis/phrases.h"
#include "core/analysis/trial_outcome.h"
#include "core/error.h"
#include "core/media/decode/frame_reader.h"
#include "core/media/index/packet_places.h"
#include "core/media/index/parts.h"
#include "ui/look/tokens.h"

#include <cmath>

namespace ui {
namespace {

std::vector<std::filesystem::path> filesOf(const session::Capture& capture, const std::filesystem::path& folder)
{
    std::vector<std::filesystem::path> files{(folder / capture.path).lexically_normal()};
    for (const session::FurtherPart& part : capture.furtherParts)
        files.push_back((folder / part.path).lexically_normal());
    return files;
}

/// The frame of the footage that bears a mark; throws where its picture is another.
timing::FrameNumber markedFrame(media::FrameReader& reader, const session::Mark& mark, const std::string& capture,
                                const std::stop_token& stop)
{
    const media::Footage& footage = reader.footage();
    const auto frame = mark.packet ? media::frameFrom(footage, *mark.packet) : mark.frame;
    if (!frame || frame->value >= footage.frameCount().value || reader.read(*frame, stop).md5() != mark.pictureHash)
        throw core::Error(core::ErrorKind::AtOdds, "The footage of " + capture
                                                       + " isn't the one that was marked: frame "
                                                       + std::to_string(mark.frame.value) + " shows another picture.");
    return *frame;
}

void openFootage(TrialEvidence& evidence, const session::Capture& capture, const session::Reading& reading,
                 const PictureSource& source, const std::stop_token& stop)
{
    if (source.notToBeRead.contains(capture.id)) {
        evidence.noFootage = reading::notAskedSentence(capture.name);
        return;
    }
    try {
        const auto footage = media::scanParts(filesOf(capture, source.folder), stop, {},
                                              media::OpenOptions{capture.stream, source.cacheFolder});
        media::FrameReader reader(footage, stop);
        evidence.press = markedFrame(reader, *reading.press, capture.name, stop);
        evidence.response = markedFrame(reader, *reading.response, capture.name, stop);
        evidence.footage = footage;
    } catch (const core::Error& error) {
        evidence.noFootage = error.what();
    }
}

QString delayWords(const analysis::TrialOutcome& outcome)
{
    if (outcome.delay) {
        const double halfWidth = (outcome.delay->latest - outcome.delay->earliest).count() / 2;
        return withMinus(
                   QString::number(outcome.delay->delay.count(), 'f', std::min(2, analysis::decimalsBy(halfWidth))))
               + QStringLiteral(" ms");
    }
    return QString::fromStdString(
        analysis::counted(outcome.counted.value_or(timing::FrameCount{}).value, "camera frame", "camera frames"));
}

} // namespace

double TrialEvidence::secondsAfterPress(timing::FrameNumber frame) const
{
    return (time->at(frame) - time->at(press)).count();
}

QString TrialEvidence::afterPress(timing::FrameNumber frame) const
{
    if (frame == press)
        return time ? QStringLiteral("0 ms") : QStringLiteral("0");
    const QString sign = frame > press ? QStringLiteral("+") : QString();
    if (!time) {
        const std::int64_t count = (frame - press).value;
        return sign + withMinus(QString::number(count));
    }
    const double ms = secondsAfterPress(frame) * 1000;
    // Frames next to each other tell apart.
    const int decimals = std::abs(ms) / static_cast<double>(std::abs((frame - press).value)) < 0.5 ? 2 : 1;
    return sign + withMinus(QString::number(ms, 'f', decimals)) + QStringLiteral(" ms");
}

TrialEvidence trialEvidence(const session::Document& document, session::TrialId id, const PictureSource& source,
                            const std::stop_token& stop)
{
    const session::Trial& trial = *session::find(document, id);
    const session::Capture& capture = *session::find(document, trial.capture);
    const session::Reading* reading = session::countingReading(trial);
    TrialEvidence evidence;
    evidence.trial = id;
    evidence.name = QString::fromStdString(session::trialName(document, id));
    if (!reading || !reading->press || !reading->response)
        throw core::Error(core::ErrorKind::Refused,
                          evidence.name.toStdString() + " has no evidence to show: mark its press and response first.");
    const session::Configuration* configuration = session::find(document, trial.configuration);
    evidence.configuration = configuration ? QString::fromStdString(analysis::oneLine(configuration->name))
                                           : QStringLiteral("no configuration");
    evidence.delay = delayWords(analysis::trialOutcome(document, trial));
    if (const session::Region* lamp = session::findRegion(capture, trial.lamp))
        evidence.lamp = *lamp;
    if (const session::Region* screen = session::findRegion(capture, trial.screen))
        evidence.screen = *screen;
    evidence.pressCrops = reading->press->crops;
    evidence.responseCrops = reading->response->crops;
    evidence.press = reading->press->frame;
    evidence.response = reading->response->frame;
    const analysis::CaptureClock clock = analysis::captureClock(document, capture, reading->press->frame);
    if (clock.time && clock.time->has(evidence.press) && clock.time->has(evidence.response))
        evidence.time = clock.time;
    openFootage(evidence, capture, *reading, source, stop);
    return evidence;
}

} // namespace ui
