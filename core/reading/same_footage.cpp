#include "core/reading/same_footage.h"
#include "core/error.h"
#include "core/media/index/packet_places.h"
#include "core/media/index/parts.h"
#include "core/reading/footage_lookup.h"
#include "core/reading/new_capture.h"
#include "core/reading/path_text.h"

#include <algorithm>
#include <cmath>

namespace reading {

namespace {

std::string sized(timing::FrameCount frames, const media::Size& size)
{
    return std::to_string(frames.value) + " frames of " + std::to_string(size.width) + " x "
           + std::to_string(size.height);
}

/// With the files that go on its recording beside it.
std::vector<std::filesystem::path> filesAt(const session::Capture& capture, const std::filesystem::path& path)
{
    std::vector<std::filesystem::path> files{path};
    for (const session::FurtherPart& part : capture.furtherParts)
        files.push_back(path.parent_path() / std::filesystem::path(part.path).filename());
    return files;
}

/// As the session holds them; each stamp is rounded to its container's ticks, and a container may begin elsewhere.
bool haveSameStamps(const session::Capture& known, const session::Capture& found)
{
    if (known.missing != found.missing)
        return false;
    if (known.stampSeconds.empty())
        return true;
    const double tolerance = known.stampTickSeconds + found.stampTickSeconds;
    return std::ranges::equal(known.stampSeconds, found.stampSeconds, [&](double a, double b) {
        const double apart = (b - found.stampSeconds.front()) - (a - known.stampSeconds.front());
        return std::isnan(a) == std::isnan(b) && !(std::abs(apart) > tolerance);
    });
}

} // namespace

std::string notAskedSentence(const std::string& capture)
{
    return "The footage of " + capture
           + " lies outside the session's folder and isn't read, as nobody has said that it may be.";
}

std::vector<std::filesystem::path> footageOf(const session::Capture& capture, const std::filesystem::path& folder)
{
    const auto whole = [&](const std::string& path) { // an absolute path replaces the folder
        return std::filesystem::absolute(folder / path).lexically_normal();
    };
    std::vector<std::filesystem::path> files{whole(capture.path)};
    for (const session::FurtherPart& part : capture.furtherParts)
        files.push_back(whole(part.path));
    return files;
}

FootageComparison compareFootage(const session::Document& document, const session::Capture& capture,
                                 const std::filesystem::path& path, std::stop_token stop)
{
    const std::string name = textOf(path.filename());
    FootageComparison found;
    const std::vector<std::filesystem::path> files = filesAt(capture, path);
    found.sha256 = media::partsSha256(files, stop);
    if (!capture.sha256.empty() && found.sha256 == capture.sha256) {
        found.same = true;
        return found;
    }
    const auto isnt = [&](const std::string& why) {
        found.sentence =
            name + " isn't the footage of " + capture.name + ": " + why + ". Choose the file that was read.";
        return found;
    };
    const auto footage = media::openParts(files, stop, {}, {capture.stream, {}});
    const media::Size size{capture.width, capture.height};
    if (footage->frameCount() != capture.frames || footage->size != size)
        return isnt("it has " + sized(footage->frameCount(), footage->size) + " instead of "
                    + sized(capture.frames, size));
    if (!haveSameStamps(capture, describeCapture(*footage, capture.path).capture))
        return isnt("its stamps, or the frames missing between them, are others");
    const auto marked = session::markedPictures(document, capture.id);
    media::FrameReader reader(footage);
    for (const session::MarkedPicture& mark : marked) {
        if (!shows(reader, mark, stop))
            return isnt("its frame " + std::to_string(mark.first.value) + " isn't the picture that was marked");
        found.places.emplace(mark, media::packetOf(*footage, mark.first));
    }
    found.same = true;
    found.sentence =
        name + " has other bytes than the footage of " + capture.name
        + " had, but as many frames of the same size and the same stamps, and "
        + (marked.empty()       ? "there are no marks to compare."
           : marked.size() == 1 ? "the marked picture is the same."
                                : "all " + std::to_string(marked.size()) + " marked pictures are the same.");
    return found;
}

std::optional<std::filesystem::path> findMoved(const session::Capture& capture, const std::filesystem::path& folder,
                                               const std::stop_token& stop)
{
    for (const auto& path : namedBelow(folder, std::filesystem::path(capture.path).filename(), stop))
        try {
            if (media::partsSha256(filesAt(capture, path), stop) == capture.sha256)
                return path;
        } catch (const core::Error&) { // gone, or parts aren't beside it: not this one
        }
    return std::nullopt;
}

bool shows(media::FrameReader& reader, const session::MarkedPicture& marked, std::stop_token stop)
{
    const auto& [frame, hash] = marked;
    return frame.value < reader.footage().frameCount().value && reader.read({frame}, std::move(stop)).md5() == hash;
}

std::optional<std::set<session::MarkedPicture>> notShown(const std::set<session::MarkedPicture>& marked,
                                                         const session::Capture& capture,
                                                         const std::filesystem::path& folder, std::stop_token stop)
{
    try {
        media::FrameReader reader(media::openParts(footageOf(capture, folder), stop, {}, {capture.stream, {}}));
        std::set<session::MarkedPicture> others;
        for (const session::MarkedPicture& mark : marked)
            if (!shows(reader, mark, stop))
                others.insert(mark);
        return others;
    } catch (const core::Error& error) {
        if (error.kind() != core::ErrorKind::NotFound)
            throw;
        return std::nullopt;
    }
}

session::Document withChecksums(session::Document document, const std::filesystem::path& folder,
                                const std::set<session::CaptureId>& notToBeRead, std::stop_token stop)
{
    for (auto& [id, capture] : document.captures)
        if (capture->sha256.empty() && !notToBeRead.contains(id))
            try {
                session::Capture known = *capture;
                known.sha256 = media::partsSha256(footageOf(known, folder), stop);
                capture = std::make_shared<const session::Capture>(std::move(known));
            } catch (const core::Error& error) {
                if (error.kind() != core::ErrorKind::NotFound) // who needs it says that it isn't there
                    throw;
            }
    return document;
}

} // namespace reading
