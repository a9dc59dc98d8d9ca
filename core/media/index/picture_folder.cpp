#include "core/media/index/picture_folder.h"
#include "core/media/libav/av_setup.h"
#include "core/media/index/description.h"
#include "core/media/picture/byte_hash.h"
#include "core/media/index/refusal.h"
#include <algorithm>
#include <cctype>
#include <cstring>
#include <fstream>
#include <limits>
#include <utility>

namespace media {
namespace {

using core::Error;
using core::ErrorKind;

constexpr std::int64_t largestPictureFile = std::int64_t{1} << 29;

bool isDigit(char c) { return c >= '0' && c <= '9'; }

/// "shot_0012.png" is number 12 of the series "shot_*.png"; nothing for other names.
std::optional<std::pair<std::string, std::int64_t>> seriesAndNumber(const std::filesystem::path& path)
{
    std::string extension = path.extension().string();
    std::transform(extension.begin(), extension.end(), extension.begin(),
                   [](unsigned char c) { return std::tolower(c); });
    if (extension != ".png" && extension != ".tif" && extension != ".tiff" && extension != ".jpg"
        && extension != ".jpeg")
        return std::nullopt;
    const std::string stem = path.stem().string();
    std::size_t start = stem.size();
    while (start > 0 && isDigit(stem[start - 1]))
        --start;
    constexpr std::size_t mostDigits = std::numeric_limits<std::int64_t>::digits10;
    if (start == stem.size() || stem.size() - start > mostDigits)
        return std::nullopt;
    return std::pair{stem.substr(0, start) + "*" + extension, std::stoll(stem.substr(start))};
}

std::vector<std::uint8_t> bytesOf(const std::filesystem::path& path)
{
    std::error_code failed;
    const auto size = static_cast<std::int64_t>(std::filesystem::file_size(path, failed));
    if (failed == std::errc::no_such_file_or_directory)
        throw Error(ErrorKind::NotFound, "There is no picture " + quoted(path) + ".");
    if (failed)
        throw Error(ErrorKind::Unreadable, quoted(path) + " can't be read: " + failed.message() + ".");
    if (size > largestPictureFile)
        throw Error(ErrorKind::Unsupported, quoted(path) + " is too large for one picture.");
    std::vector<std::uint8_t> bytes(static_cast<std::size_t>(size));
    std::ifstream file(path, std::ios::binary);
    if (!file.read(reinterpret_cast<char*>(bytes.data()), size))
        throw Error(ErrorKind::Unreadable, quoted(path) + " can't be read: " + std::strerror(errno) + ".");
    return bytes;
}

/// By content, as names may lie.
AVCodecID kindOf(const std::vector<std::uint8_t>& bytes)
{
    const auto startsWith = [&bytes](std::initializer_list<std::uint8_t> head) {
        return bytes.size() > head.size() && std::equal(head.begin(), head.end(), bytes.begin());
    };
    if (startsWith({0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'}))
        return AV_CODEC_ID_PNG;
    if (startsWith({0xff, 0xd8, 0xff}))
        return AV_CODEC_ID_MJPEG;
    if (startsWith({'I', 'I', 42, 0}) || startsWith({'M', 'M', 0, 42}))
        return AV_CODEC_ID_TIFF;
    return AV_CODEC_ID_NONE;
}

void describe(Footage& footage, const PictureFile& picture)
{
    const AVFrame& frame = *picture.frame;
    footage.codec = picture.codec;
    footage.pixelAspect = ratioOf(frame.sample_aspect_ratio).value_or(footage.pixelAspect);
    const AVFrameSideData* turn = av_frame_get_side_data(&frame, AV_FRAME_DATA_DISPLAYMATRIX);
    footage.rotation = clockwiseTurn(turn ? reinterpret_cast<const std::int32_t*>(turn->data) : nullptr);
}

std::shared_ptr<Footage> emptyFolder(const std::filesystem::path& folder)
{
    auto footage = std::make_shared<Footage>();
    footage->path = folder;
    footage->pictureFolder = true;
    footage->container = "pictures";
    return footage;
}

/// Decodes the pictures of a folder one by one.
class FolderIndexing {
public:
    FolderIndexing(const std::filesystem::path& folder, const std::stop_token& stop, const IndexEvents& events)
        : m_folder(folder), m_events(events), m_series(findSeries(folder, stop)), m_footage(emptyFolder(folder))
    {
        m_footage->confirmed = true;
    }

    /// Begins with the last picture of the draft, or an earlier one that is needed. False when there is none such.
    bool goOn();
    /// Null when that picture isn't the same any more.
    std::shared_ptr<const Footage> run(const std::stop_token& stop);

private:
    bool take(const PictureSeries::File& file, std::int64_t ordinal);
    void nameFault();

    std::filesystem::path m_folder;
    const IndexEvents& m_events;
    PictureSeries m_series;
    std::shared_ptr<Footage> m_footage;
    std::shared_ptr<PacketTable> m_packets = std::make_shared<PacketTable>();
    std::optional<FrameEntry> m_expected; ///< where it goes on
    std::int64_t m_lastNumber = 0;        ///< of a picture that was decoded
    std::int64_t m_failures = 0;
    std::string m_firstFailure; ///< in a draft its fault
};

bool FolderIndexing::goOn()
{
    const ConfirmationDraft& draft = *m_events.draft;
    const Footage& before = *draft.soFar;
    const std::int64_t n = std::min(before.frameCount().value - 1, draft.had.value);
    if (n <= 0)
        return false;
    const std::int64_t ordinal = before.frames[n].ordinal;
    const auto isSame = [](const PacketMark& mark, const PictureSeries::File& file) { return mark == markOf(file); };
    const auto known = before.packets->marks.begin();
    if (ordinal >= std::ssize(m_series.files)
        || !std::equal(known, known + ordinal + 1, m_series.files.begin(), isSame))
        return false; // other files by now
    const auto isLater = [n](const auto& place) { return place.value >= n; };
    *m_footage = before;
    m_footage->frames.resize(n);
    std::erase_if(m_footage->formatChanges, [&](const FormatChange& change) { return isLater(change.first); });
    std::erase_if(m_footage->numberingHoles, [&](const timing::Gap& hole) { return isLater(hole.before); });
    std::erase_if(m_footage->doubts, [&](const Doubt& doubt) { return isLater(doubt.first); });
    m_firstFailure = m_footage->fault.value_or(std::string());
    m_footage->fault.reset();
    m_failures = ordinal - n;
    m_packets->marks.assign(known, known + ordinal);
    m_expected = before.frames[n];
    m_lastNumber = before.packets->marks[m_footage->frames.back().ordinal].position;
    return true;
}

std::shared_ptr<const Footage> FolderIndexing::run(const std::stop_token& stop)
{
    if (!m_expected)
        m_lastNumber = m_series.files.front().number - 1;
    const std::int64_t total = std::ssize(m_series.files);
    for (std::int64_t ordinal = std::ssize(m_packets->marks); ordinal < total; ++ordinal) {
        if (stop.stop_requested()) {
            const bool wentFarther =
                m_events.draft
                && !(m_events.draft->soFar && m_events.draft->soFar->frames.size() > m_footage->frames.size());
            if (wentFarther && !m_expected) {
                m_footage->fault = m_firstFailure.empty() ? std::nullopt : std::optional(m_firstFailure);
                m_footage->packets = m_packets;
                m_events.draft->soFar = m_footage;
            }
            throw core::Cancelled();
        }
        if (!take(m_series.files[ordinal], ordinal))
            return nullptr;
    }
    if (m_footage->frames.empty())
        throw Error(ErrorKind::Unreadable, m_firstFailure);
    nameFault();
    m_footage->packets = m_packets;
    return m_footage;
}

bool FolderIndexing::take(const PictureSeries::File& file, std::int64_t ordinal)
{
    m_packets->marks.push_back(markOf(file));
    if (m_events.progress)
        m_events.progress(ordinal + 1, std::ssize(m_series.files));
    PictureFile picture;
    try {
        picture = decodePictureFile(file.path, m_events.draft ? m_events.draft->checksum.get() : nullptr);
    } catch (const Error& error) {
        if (m_failures++ == 0)
            m_firstFailure = error.what();
        return !m_expected;
    }
    const FrameEntry entry{ordinal, std::nullopt, true, hashOf(*picture.frame)};
    if (const auto expected = std::exchange(m_expected, std::nullopt);
        expected && (expected->ordinal != ordinal || expected->hash != entry.hash))
        return false;
    const timing::FrameNumber number{m_footage->frameCount().value};
    noteFormat(*m_footage, *picture.frame);
    if (number.value == 0)
        describe(*m_footage, picture);
    if (file.number != m_lastNumber + 1)
        m_footage->numberingHoles.push_back({number, file.number - m_lastNumber - 1});
    m_lastNumber = file.number;
    if (!picture.complaint.empty())
        m_footage->doubts.push_back({number, number, "its file is damaged or cut off"});
    m_footage->frames.push_back(entry);
    if (m_events.frame)
        m_events.frame(number, entry, std::move(picture.frame));
    return true;
}

void FolderIndexing::nameFault()
{
    if (m_failures > 0)
        m_footage->fault = std::to_string(m_failures) + " of the pictures in " + quoted(m_folder)
                           + " can't be decoded and count as missing: " + m_firstFailure;
    else if (!m_footage->doubts.empty())
        m_footage->fault = std::to_string(m_footage->doubts.size()) + " of the pictures in " + quoted(m_folder)
                           + " are damaged or cut off.";
}

} // namespace

PacketMark markOf(const PictureSeries::File& file) { return {file.number, AV_NOPTS_VALUE, AV_NOPTS_VALUE, 0, 0}; }

PictureSeries findSeries(const std::filesystem::path& folder, const std::stop_token& stop)
{
    std::map<std::string, std::vector<PictureSeries::File>> series;
    std::error_code failed;
    bool raw = false;
    for (std::filesystem::directory_iterator it(folder, failed), end; !failed && it != end; it.increment(failed)) {
        if (stop.stop_requested())
            throw core::Cancelled();
        std::error_code ignored; // a file that vanishes meanwhile is simply not in the series
        if (!it->is_regular_file(ignored))
            continue;
        raw = raw || hasMakersRawName(it->path());
        if (const auto found = seriesAndNumber(it->path()))
            series[found->first].push_back({it->path(), found->second});
    }
    if (failed)
        throw Error(ErrorKind::Unreadable, "Folder " + quoted(folder) + " can't be read: " + failed.message() + ".");
    if (series.empty() && raw)
        throw makersRaw("Folder " + quoted(folder));
    if (series.empty())
        throw Error(ErrorKind::Unsupported,
                    "Folder " + quoted(folder) + " holds no numbered PNG, TIFF or JPEG pictures.");
    if (series.size() > 1)
        throw Error(ErrorKind::Unsupported, "Folder " + quoted(folder)
                                                + " holds more than one series of numbered pictures ("
                                                + series.begin()->first + ", " + std::next(series.begin())->first
                                                + "); keep each series in a folder of its own.");

    PictureSeries found{std::move(series.begin()->second)};
    std::ranges::sort(found.files, {}, &PictureSeries::File::number);
    const auto twin = std::ranges::adjacent_find(found.files, {}, &PictureSeries::File::number);
    if (twin != found.files.end())
        throw Error(ErrorKind::Unsupported, "Folder " + quoted(folder) + " holds number " + std::to_string(twin->number)
                                                + " twice (" + twin->path.filename().string() + ", "
                                                + std::next(twin)->path.filename().string()
                                                + "); remove one of the two.");
    return found;
}

PictureFile decodePictureFile(const std::filesystem::path& path, FootageChecksum* checksum)
{
    setUpLibav();
    const std::vector<std::uint8_t> bytes = bytesOf(path);
    if (checksum)
        checksum->add(path, 0, bytes);
    const AVCodecID kind = kindOf(bytes);
    const AVCodec* codec = kind == AV_CODEC_ID_NONE ? nullptr : avcodec_find_decoder(kind);
    if (!codec)
        throw Error(ErrorKind::Unsupported, quoted(path) + " isn't a PNG, TIFF or JPEG picture.");

    const std::string doing = quoted(path) + " can't be decoded";
    Complaints complaints;
    const CodecPtr decoder = allocated(CodecPtr(avcodec_alloc_context3(codec)), "a decoder");
    decoder->opaque = &complaints;
    decoder->max_pixels = mostPixels;
    decoder->thread_count = 1; // one picture: frame threads would only hold it back
    check(avcodec_open2(decoder.get(), codec, nullptr), doing);
    const PacketPtr packet = newPacket();
    check(av_new_packet(packet.get(), static_cast<int>(bytes.size())), doing);
    std::memcpy(packet->data, bytes.data(), bytes.size());
    check(avcodec_send_packet(decoder.get(), packet.get()), doing);
    FramePtr frame = newFrame();
    int rc = avcodec_receive_frame(decoder.get(), frame.get());
    if (rc == AVERROR(EAGAIN)) {
        check(avcodec_send_packet(decoder.get(), nullptr), doing);
        rc = avcodec_receive_frame(decoder.get(), frame.get());
    }
    check(rc == AVERROR_EOF ? AVERROR_INVALIDDATA : rc, doing);
    if (frame->decode_error_flags || (frame->flags & AV_FRAME_FLAG_CORRUPT))
        complaints.add("concealed errors", -1);
    return {std::move(frame), avcodec_get_name(kind), complaints.latest()};
}

std::shared_ptr<const Footage> indexFolder(const std::filesystem::path& folder, std::stop_token stop,
                                           const IndexEvents& events)
{
    if (events.draft && events.draft->soFar) {
        FolderIndexing indexing(folder, stop, events);
        if (indexing.goOn())
            if (auto footage = indexing.run(stop))
                return footage;
        events.draft->soFar.reset();
    }
    return FolderIndexing(folder, stop, events).run(stop);
}

std::shared_ptr<const Footage> scanFolder(const std::filesystem::path& folder, const std::stop_token& stop)
{
    const PictureSeries series = findSeries(folder, stop);
    const std::shared_ptr<Footage> footage = emptyFolder(folder);
    auto packets = std::make_shared<PacketTable>();
    std::int64_t lastNumber = series.files.front().number - 1;
    for (const PictureSeries::File& file : series.files) {
        const std::int64_t ordinal = std::ssize(packets->marks);
        packets->marks.push_back(markOf(file));
        if (file.number != lastNumber + 1)
            footage->numberingHoles.push_back({{ordinal}, file.number - lastNumber - 1});
        lastNumber = file.number;
        footage->frames.push_back({ordinal, std::nullopt, true, 0});
    }
    const PictureFile first = decodePictureFile(series.files.front().path);
    Footage facts; // without frames yet
    noteFormat(facts, *first.frame);
    footage->size = facts.size;
    footage->pixelFormat = facts.pixelFormat;
    describe(*footage, first);
    footage->packets = std::move(packets);
    return footage;
}

} // namespace media
