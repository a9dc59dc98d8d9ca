#include "core/media/tags/rate_tags.h"
#include "core/media/measure/calibration_traces.h"
#include "core/media/tags/slow_segments.h"
#include "core/media/tags/tag_bytes.h"

#include <algorithm>
#include <array>

namespace media {
namespace {

void readSidecar(const std::filesystem::path& path, Tags& tags)
{
    for (const char* ending : {"M01.XML", "M01.xml"}) {
        const std::filesystem::path beside = path.parent_path() / (path.stem().string() + ending);
        std::error_code ignored; // no such file is the usual case
        if (!std::filesystem::is_regular_file(beside, ignored))
            continue;
        ByteFile file(beside);
        readRecorderXml(file.read(file.whole()), "sidecar ", tags);
        return;
    }
}

Tags allTags(const Footage& footage)
{
    Tags tags = footage.tags;
    tags.merge(rateTags(footage.path));
    if (footage.averageRate)
        tags.emplace("container frame rate", footage.averageRate->toString());
    return tags;
}

} // namespace

Tags rateTags(const std::filesystem::path& file)
{
    Tags tags;
    std::error_code ignored; // footage that went away has no tags
    if (!std::filesystem::is_regular_file(file, ignored))
        return tags;
    std::array<char, 12> head{};
    std::ifstream(file, std::ios::binary).read(head.data(), head.size());
    const std::string_view start(head.data(), head.size());
    constexpr std::array movies{"ftyp", "moov", "wide", "mdat", "free", "skip", "pnot"};
    if (start.substr(0, 4) == std::string_view("\x06\x0e\x2b\x34", 4))
        readMxfCameraMetadata(file, tags);
    else if (std::ranges::any_of(movies, [&](const char* type) { return start.substr(4, 4) == type; }))
        readMovieBoxes(file, tags);
    readSidecar(file, tags);
    return tags;
}

std::vector<timing::TagReading> tagReadings(const Footage& footage) { return timing::readTags(allTags(footage)); }

std::vector<timing::RateEvidence> rateEvidence(const Footage& footage, const timing::StampPattern& pattern)
{
    return timing::gatherEvidence(pattern, allTags(footage), footage.container);
}

std::vector<timing::StampPiece> capturePieces(const Footage& footage, const timing::StampPattern& pattern,
                                              std::vector<timing::StampPiece> pieces)
{
    const auto isOfStamps = [](const timing::RateEvidence& rate) { return rate.origin == timing::Origin::Stamps; };
    // Stamps of several files begin anew with each, so that segments of the first would be found in all.
    if (!footage.parts.empty() || std::ranges::any_of(rateEvidence(footage, pattern), isOfStamps))
        return pieces;
    return timing::cutBySegments(stampsOf(footage), pattern, std::move(pieces), slowSegments(footage.path).segments);
}

} // namespace media
