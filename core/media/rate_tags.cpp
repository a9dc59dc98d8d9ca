#include "core/media/rate_tags.h"

#include <QByteArray>
#include <QXmlStreamReader>
#include <algorithm>
#include <array>
#include <cstdint>
#include <fstream>
#include <string_view>

namespace media {
namespace {

using Tags = std::map<std::string, std::string>;

constexpr int mostBoxes = 4'000;                    ///< looked at in one file
constexpr std::int64_t largestText = 1 << 20;       ///< bytes of one box or XML file that are read
constexpr std::int64_t mxfSearched = 8 << 20;       ///< bytes from the start of an MXF file

std::uint32_t big32(const char* bytes)
{
    const auto at = [&](int i) { return std::uint32_t{static_cast<unsigned char>(bytes[i])}; };
    return at(0) << 24 | at(1) << 16 | at(2) << 8 | at(3);
}

std::uint64_t big64(const char* bytes) { return std::uint64_t{big32(bytes)} << 32 | big32(bytes + 4); }

/// A stretch of a file.
struct Span {
    std::int64_t from = 0, to = 0;
};

class Boxes {
public:
    explicit Boxes(const std::filesystem::path& path) : m_file(path, std::ios::binary)
    {
        m_file.seekg(0, std::ios::end);
        m_size = m_file ? static_cast<std::int64_t>(m_file.tellg()) : 0;
    }

    Span whole() const { return {0, m_size}; }

    /// Contents of the first box of this type within `span`; empty span where there is none.
    Span find(Span span, std::string_view type)
    {
        for (std::int64_t at = span.from; at + 8 <= span.to && ++m_seen <= mostBoxes;) {
            const std::string head = read({at, std::min(at + 16, span.to)});
            if (head.size() < 8)
                return {};
            std::int64_t header = 8;
            std::uint64_t size = big32(head.data());
            if (size == 1) {
                if (head.size() < 16)
                    return {};
                header = 16;
                size = big64(head.data() + 8);
            } else if (size == 0) {
                size = static_cast<std::uint64_t>(span.to - at);
            }
            if (size < static_cast<std::uint64_t>(header) || size > static_cast<std::uint64_t>(span.to - at))
                return {};
            if (std::string_view(head).substr(4, 4) == type)
                return {at + header, at + static_cast<std::int64_t>(size)};
            at += static_cast<std::int64_t>(size);
        }
        return {};
    }

    /// Empty when it is too large or can't be read.
    std::string read(Span span)
    {
        if (span.to <= span.from || span.to - span.from > largestText)
            return {};
        std::string bytes(static_cast<std::size_t>(span.to - span.from), '\0');
        m_file.clear();
        m_file.seekg(span.from);
        m_file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        if (m_file.gcount() != static_cast<std::streamsize>(bytes.size()))
            bytes.clear();
        return bytes;
    }

private:
    std::ifstream m_file;
    std::int64_t m_size = 0;
    int m_seen = 0;
};

/// Recorder XML: VideoFrame captureFps="959.04p". The letter tells how lines are scanned.
void readXml(const std::string& text, Tags& tags)
{
    QXmlStreamReader xml(QByteArray(text.data(), static_cast<qsizetype>(text.size())));
    while (!xml.atEnd()) {
        if (xml.readNext() != QXmlStreamReader::StartElement || xml.name() != QLatin1String("VideoFrame"))
            continue;
        std::string rate = xml.attributes().value(QLatin1String("captureFps")).toString().toStdString();
        while (!rate.empty() && (rate.back() == 'p' || rate.back() == 'i'))
            rate.pop_back();
        if (!rate.empty())
            tags.emplace("VideoFrame captureFps", rate);
        return;
    }
}

/// "smta" holds "saut": pairs of a key and a value, key 0 the recording mode. Modes 12, 13: 240, 120 a second; mode 21 is followed by
/// "srfr", the rate in 16.16 fixed point. From memory of platform sources.
void readSlowMotionBox(Boxes& boxes, Span smta, Tags& tags)
{
    const Span inside{smta.from + 4, smta.to};
    const Span saut = boxes.find(inside, "saut");
    const std::string pairs = boxes.read(saut);
    if (pairs.size() < 8)
        return;
    for (const std::size_t at : {std::size_t{4}, std::size_t{6}}) {
        if (pairs[at] != 0)
            continue;
        const int mode = static_cast<unsigned char>(pairs[at + 1]);
        if (mode == 12 || mode == 13)
            tags.emplace("smta recording mode", mode == 12 ? "240" : "120");
        if (const std::string rate = mode == 21 ? boxes.read(boxes.find(inside, "srfr")) : std::string(); rate.size() >= 4)
            tags.emplace("smta recording mode", std::to_string(big32(rate.data())) + "/65536");
    }
}

void readMovieBoxes(const std::filesystem::path& path, Tags& tags)
{
    Boxes boxes(path);
    const Span movie = boxes.find(boxes.whole(), "moov");
    if (const Span smta = boxes.find(boxes.find(movie, "udta"), "smta"); smta.to > smta.from)
        readSlowMotionBox(boxes, smta, tags);
    for (const Span around : {boxes.whole(), movie}) {
        const Span meta = boxes.find(around, "meta");
        // A full box: version and flags come before what it holds; so they do in "xml ".
        const Span xml = boxes.find({meta.from + 4, meta.to}, "xml ");
        if (xml.to > xml.from + 4)
            readXml(boxes.read({xml.from + 4, xml.to}), tags);
    }
}

/// SMPTE RDD 18: camera unit metadata is a local set of 2-byte tags and lengths; 81.06 is the capture frame rate, a ratio of
/// two 32-bit numbers. The set's universal label from memory.
void readCameraSets(const std::filesystem::path& path, Tags& tags)
{
    constexpr std::string_view label("\x06\x0e\x2b\x34\x02\x53\x01\x01\x0c\x02\x01\x01\x02", 13);
    std::ifstream file(path, std::ios::binary);
    std::string bytes(static_cast<std::size_t>(mxfSearched), '\0');
    file.read(bytes.data(), mxfSearched);
    bytes.resize(static_cast<std::size_t>(std::max<std::streamsize>(file.gcount(), 0)));
    for (std::size_t set = bytes.find(label); set != std::string::npos; set = bytes.find(label, set + label.size())) {
        std::size_t at = set + 16;
        if (at >= bytes.size())
            return;
        const auto first = static_cast<unsigned char>(bytes[at]);
        std::size_t length = first;
        ++at;
        if (first > 0x80) {
            const std::size_t count = first & 0x7fu;
            if (count > 4 || at + count > bytes.size())
                continue;
            length = 0;
            for (std::size_t i = 0; i < count; ++i)
                length = length << 8 | static_cast<unsigned char>(bytes[at + i]);
            at += count;
        }
        const std::size_t end = std::min(bytes.size(), at + length);
        while (at + 4 <= end) {
            const std::uint32_t head = big32(bytes.data() + at);
            const std::uint32_t tag = head >> 16, size = head & 0xffffu;
            at += 4;
            if (tag == 0x8106 && size == 8 && at + 8 <= end) {
                tags.emplace("RDD 18 capture frame rate", std::to_string(big32(bytes.data() + at)) + "/" + std::to_string(big32(bytes.data() + at + 4)));
                return;
            }
            at += size;
        }
    }
}

void readSidecar(const std::filesystem::path& path, Tags& tags)
{
    for (const char* ending : {"M01.XML", "M01.xml"}) {
        const std::filesystem::path beside = path.parent_path() / (path.stem().string() + ending);
        std::error_code ignored; // no such file is the usual case
        if (!std::filesystem::is_regular_file(beside, ignored))
            continue;
        Boxes whole(beside);
        readXml(whole.read(whole.whole()), tags);
        return;
    }
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
    if (start.substr(0, 4) == std::string_view("\x06\x0e\x2b\x34", 4))
        readCameraSets(file, tags);
    else if (start.substr(4, 4) == "ftyp" || start.substr(4, 4) == "moov" || start.substr(4, 4) == "wide" || start.substr(4, 4) == "mdat")
        readMovieBoxes(file, tags);
    readSidecar(file, tags);
    return tags;
}

std::vector<timing::RateEvidence> rateEvidence(const Footage& footage, const timing::StampPattern& pattern)
{
    Tags tags = footage.tags;
    tags.merge(rateTags(footage.path));
    return timing::gatherEvidence(pattern, tags, footage.container);
}

} // namespace media
