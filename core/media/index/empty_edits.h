#pragma once // not public: only core/media may include it
#include "core/media/index/footage.h"

namespace media {

/// A stretch of presentation time, in seconds, in which a QuickTime or MP4 file shows nothing.
struct EmptyEdit {
    timing::Rational from, to;
};

/// The empty edits of a track that lie between others. libavformat 5.1 takes each for one that begins at the film's
/// first picture, and shows that; an empty edit at the beginning it understands. Nothing for files of any other kind.
std::vector<EmptyEdit> emptyEditsWithin(const std::filesystem::path& file, std::uint32_t track);

/// `edits` as emptyEditsWithin() gives them: ascending, without overlap.
/// Puts the frames that come out in place of nothing into doubt, and says so in `fault` unless that says something
/// already.
void doubtEmptyEdits(Footage& footage, const std::vector<EmptyEdit>& edits);

} // namespace media
