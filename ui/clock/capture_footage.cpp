#include "ui/clock/capture_footage.h"
#include "core/error.h"
#include "core/media/index/parts.h"
#include "core/reading/same_footage.h"
#include "ui/footage/footage_pool.h"
#include "ui/model/file_paths.h"

namespace ui {

CaptureFootage::CaptureFootage(const SessionModel& model, const session::Capture& capture)
    : files(reading::footageOf(capture, toPath(model.folder()))), frames(capture.frames),
      notAsked(model.mayRead(capture) ? std::string() : reading::notAskedSentence(capture.name))
{
    options.stream = capture.stream;
    options.cacheFolder = toPath(FootagePool::standardIndexFolder());
}

std::shared_ptr<const media::Footage> CaptureFootage::open(std::stop_token stop) const
{
    if (!notAsked.empty())
        throw core::Error(core::ErrorKind::Refused, notAsked);
    auto footage = media::openParts(files, stop, {}, options);
    if (footage->frameCount() != frames)
        throw core::Error(core::ErrorKind::AtOdds, "The footage has " + std::to_string(footage->frameCount().value)
                                                       + " frames, the session says " + std::to_string(frames.value)
                                                       + "; link the capture to its footage again.");
    return footage;
}

} // namespace ui
