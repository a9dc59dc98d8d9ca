#pragma once
#include "core/media/index/footage.h"
#include "core/session/settings.h"
#include <optional>
#include <stop_token>
#include <vector>

namespace reading {

/// Where a lamp was found.
struct FoundLamp {
    media::Rect spot;          ///< what of the picture is lit, native
    timing::FrameNumber frame; ///< in which it lights, and shows there
};

constexpr int lampSearchFrames = 5'000; ///< that are looked through at most

/// The first compact spot from `from` on that gets bright at once (by `event`: dark), stays so for some frames and
/// hasn't done so just before, with nothing moving around it: a lamp, rather than a hand or the light of the room. The
/// camera may shake. Not in `except`, the screens. Empty where there is none within lampSearchFrames. Decodes as far as
/// it has to: for a worker.
/// Precondition: `from` is in the footage. Throws core::Error, core::Cancelled.
std::optional<FoundLamp> findLamp(const std::shared_ptr<const media::Footage>&, timing::FrameNumber from,
                                  const std::vector<media::Rect>& except, session::LampEvent event,
                                  std::stop_token stop = {});

/// `region` moved onto the spot, of the same size, since a lamp's glow is larger than the lamp; without one, the spot
/// with some room. Inside the picture.
media::Rect regionOn(const media::Rect& spot, const std::optional<media::Rect>& region, media::Size picture);

} // namespace reading
