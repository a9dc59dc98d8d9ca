#include "core/reading/same_footage.h"
#include "core/reading/path_text.h"

namespace reading {

namespace {

std::string sized(std::int64_t frames, const media::Size& size)
{
    return std::to_string(frames) + " frames of " + std::to_string(size.width) + " x " + std::to_string(size.height);
}

} // namespace

FootageComparison compareFootage(const session::Document& document, const session::Capture& capture,
                                 const std::filesystem::path& path, std::stop_token stop)
{
    const std::string name = textOf(path.filename());
    FootageComparison found;
    found.sha256 = media::footageSha256(path, stop);
    if (!capture.sha256.empty() && found.sha256 == capture.sha256) {
        found.same = true;
        return found;
    }
    const auto isnt = [&](const std::string& why) {
        found.sentence =
            name + " isn't the footage of " + capture.name + ": " + why + ". Choose the file that was read.";
        return found;
    };
    const auto footage = media::openFootage(path, stop);
    const media::Size size{capture.width, capture.height};
    if (footage->frameCount().value != capture.frames || footage->size != size)
        return isnt("it has " + sized(footage->frameCount().value, footage->size) + " instead of "
                    + sized(capture.frames, size));
    const auto marked = session::markedPictures(document, capture.id);
    media::FrameReader reader(footage);
    for (const session::MarkedPicture& mark : marked)
        if (!shows(reader, mark, stop))
            return isnt("its frame " + std::to_string(mark.first) + " isn't the picture that was marked");
    found.same = true;
    found.sentence = capture.name + " is linked to " + name + ": other bytes, "
                     + (marked.empty() ? "the same number of frames of the same size, and no marks to compare."
                                       : "but all " + std::to_string(marked.size()) + " marked pictures are the same.");
    return found;
}

bool shows(media::FrameReader& reader, const session::MarkedPicture& marked, std::stop_token stop)
{
    const auto& [frame, hash] = marked;
    return frame < reader.footage().frameCount().value && reader.read({frame}, std::move(stop)).md5() == hash;
}

} // namespace reading
