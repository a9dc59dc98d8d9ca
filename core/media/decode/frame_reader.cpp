#include "core/media/decode/frame_reader.h"
#include "core/media/index/parts.h"
#include "core/media/index/picture_folder.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/decode/video_reader.h"
#include <algorithm>
#include <cassert>
#include <list>
#include <map>

namespace media {
namespace {

/// FrameReader for a folder: each picture stands alone.
class FolderReader : public FrameSource {
public:
    explicit FolderReader(std::shared_ptr<const Footage> footage) : m_footage(std::move(footage))
    {
        for (const PictureSeries::File& file : findSeries(m_footage->path).files)
            m_files.emplace(file.number, file.path);
    }

    Picture read(timing::FrameNumber n, const std::stop_token& stop, const FrameReader::Passing& passing,
                 std::optional<timing::FrameNumber>) override
    {
        if (stop.stop_requested())
            throw core::Cancelled();
        const FrameEntry& entry = m_footage->frames[n.value];
        const std::int64_t number = m_footage->packets->marks[entry.ordinal].position;
        const auto file = m_files.find(number);
        if (file == m_files.end())
            throw core::Error(core::ErrorKind::NotFound, "Picture number " + std::to_string(number)
                                                             + " is no longer in folder \"" + m_footage->path.string()
                                                             + "\".");
        FramePtr frame = decodePictureFile(file->second).frame;
        if (m_footage->confirmed && hashOf(*frame) != entry.hash)
            throw core::Error(core::ErrorKind::AtOdds,
                              "\"" + file->second.string()
                                  + "\" has changed since its folder was opened; open the folder again.");
        const Picture picture(std::move(frame));
        if (passing)
            passing(n, picture);
        return picture;
    }

private:
    std::shared_ptr<const Footage> m_footage;
    std::map<std::int64_t, std::filesystem::path> m_files;
};

/// FrameReader for parts of one recording. Keeps the two parts open that were read last: stepping over a seam and back
/// is common.
class PartsReader : public FrameSource {
public:
    PartsReader(std::shared_ptr<const Footage> footage, const std::stop_token& stop) : m_footage(std::move(footage))
    {
        readerOf(m_footage->parts.front(), stop);
    }

    Picture read(timing::FrameNumber n, const std::stop_token& stop, const FrameReader::Passing& passing,
                 std::optional<timing::FrameNumber> neededFrom) override
    {
        const FootagePart& part = partOf(*m_footage, n);
        const std::int64_t first = part.first.value;
        FrameReader::Passing shifted;
        if (passing)
            shifted = [&](timing::FrameNumber number, const Picture& picture) {
                passing({first + number.value}, picture);
            };
        if (neededFrom)
            neededFrom->value = std::max<std::int64_t>(0, neededFrom->value - first);
        try {
            return readerOf(part, stop).read({n.value - first}, stop, shifted, neededFrom);
        } catch (const core::Error& error) { // it names the frame as its own file counts
            throw core::Error(error.kind(), std::string(error.what()) + " In the joined recording this is frame "
                                                + std::to_string(n.value) + ".");
        }
    }

    std::optional<timing::FrameNumber> nextTowards(timing::FrameNumber n) const override
    {
        const FootagePart& part = partOf(*m_footage, n);
        const auto open =
            std::find_if(m_open.begin(), m_open.end(), [&](const auto& entry) { return entry.first == &part; });
        auto next = open == m_open.end() ? std::nullopt : open->second->nextTowards({n.value - part.first.value});
        if (next)
            next->value += part.first.value;
        return next;
    }

    std::vector<Doubt> doubts() const override
    {
        std::vector<Doubt> all;
        for (const auto& [part, reader] : m_open)
            for (Doubt doubt : reader->doubts()) {
                doubt.first.value += part->first.value;
                doubt.last.value += part->first.value;
                all.push_back(std::move(doubt));
            }
        return all;
    }

private:
    FrameReader& readerOf(const FootagePart& part, const std::stop_token& stop)
    {
        constexpr std::size_t mostOpen = 2;
        const auto open =
            std::find_if(m_open.begin(), m_open.end(), [&](const auto& entry) { return entry.first == &part; });
        if (open != m_open.end()) {
            m_open.splice(m_open.begin(), m_open, open);
        } else {
            m_open.emplace_front(&part, std::make_unique<FrameReader>(part.footage, stop));
            if (m_open.size() > mostOpen)
                m_open.pop_back();
        }
        return *m_open.front().second;
    }

    std::shared_ptr<const Footage> m_footage;
    std::list<std::pair<const FootagePart*, std::unique_ptr<FrameReader>>> m_open; // latest used first
};

std::unique_ptr<FrameSource> sourceOf(const std::shared_ptr<const Footage>& footage, const std::stop_token& stop)
{
    if (!footage->parts.empty())
        return std::make_unique<PartsReader>(footage, stop);
    if (footage->pictureFolder)
        return std::make_unique<FolderReader>(footage);
    return std::make_unique<VideoReader>(footage, stop);
}

} // namespace

FrameReader::FrameReader(std::shared_ptr<const Footage> footage, const std::stop_token& stop)
    : m_footage(std::move(footage)), m_source(sourceOf(m_footage, stop))
{}

FrameReader::~FrameReader() = default;

Picture FrameReader::read(timing::FrameNumber n, const std::stop_token& stop, const Passing& passing,
                          std::optional<timing::FrameNumber> neededFrom)
{
    assert(n.value >= 0 && n.value < m_footage->frameCount().value);
    return m_source->read(n, stop, passing, neededFrom);
}

std::optional<timing::FrameNumber> FrameReader::nextTowards(timing::FrameNumber n) const
{
    return m_source->nextTowards(n);
}

std::vector<Doubt> FrameReader::doubts() const { return m_source->doubts(); }

} // namespace media
