#include "core/media/tags/tag_bytes.h"

#include <QByteArray>
#include <QXmlStreamReader>
#include <algorithm>

namespace media {
namespace {

constexpr std::size_t mostBoxes = 1'000; ///< side by side
constexpr int mostElements = 20'000;     ///< of an XML text

std::uint32_t byteAt(std::string_view bytes, std::size_t at) { return static_cast<unsigned char>(bytes[at]); }

/// "959.04p": the letter tells how lines are scanned.
std::string withoutScan(std::string rate)
{
    if (!rate.empty() && (rate.back() == 'p' || rate.back() == 'i'))
        rate.pop_back();
    return rate;
}

/// Calls `see` with every element; false where the text is no XML to its end.
template <class See> bool everyElement(const std::string& text, See see)
{
    QXmlStreamReader xml(QByteArray(text.data(), static_cast<qsizetype>(text.size())));
    int elements = 0;
    while (!xml.atEnd() && elements < mostElements)
        if (xml.readNext() == QXmlStreamReader::StartElement) {
            ++elements;
            see(xml);
        }
    return !xml.hasError() || xml.error() == QXmlStreamReader::PrematureEndOfDocumentError;
}

} // namespace

void noteDamage(Tags& tags, std::string_view where)
{
    std::string& places = tags["damaged metadata"];
    if (places.find(where) == std::string::npos)
        places += (places.empty() ? "" : ", ") + std::string(where);
}

std::uint32_t big32(std::string_view bytes, std::size_t at)
{
    return byteAt(bytes, at) << 24 | byteAt(bytes, at + 1) << 16 | byteAt(bytes, at + 2) << 8 | byteAt(bytes, at + 3);
}

std::uint64_t big64(std::string_view bytes, std::size_t at)
{
    return std::uint64_t{big32(bytes, at)} << 32 | big32(bytes, at + 4);
}

std::uint32_t little32(std::string_view bytes, std::size_t at)
{
    return byteAt(bytes, at + 3) << 24 | byteAt(bytes, at + 2) << 16 | byteAt(bytes, at + 1) << 8 | byteAt(bytes, at);
}

ByteFile::ByteFile(const std::filesystem::path& path)
{
    if (std::error_code ignored; std::filesystem::is_regular_file(path, ignored)) // opening a named pipe would wait
        m_file.open(path, std::ios::binary);
    m_file.seekg(0, std::ios::end);
    m_size = m_file.is_open() && m_file ? static_cast<std::int64_t>(m_file.tellg()) : 0;
}

std::string ByteFile::read(Span span)
{
    if (span.empty() || span.from < 0 || span.to > m_size || span.size() > largest)
        return {};
    std::string bytes(static_cast<std::size_t>(span.size()), '\0');
    m_file.clear();
    m_file.seekg(span.from);
    m_file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    if (m_file.gcount() != static_cast<std::streamsize>(bytes.size()))
        bytes.clear();
    return bytes;
}

std::vector<Box> boxesIn(ByteFile& file, Span span, bool& damaged)
{
    constexpr std::int64_t shortHead = 8, longHead = 16;
    std::vector<Box> boxes;
    for (std::int64_t at = span.from; at + shortHead <= span.to && boxes.size() < mostBoxes;) {
        const std::string head = file.read({at, std::min(at + longHead, span.to)});
        if (head.empty())
            break;
        std::int64_t header = shortHead;
        std::uint64_t size = big32(head, 0);
        if (size == 1 && std::ssize(head) == longHead) {
            header = longHead;
            size = big64(head, 8);
        } else if (size == 0) {
            if (head.compare(4, 4, std::string(4, '\0')) == 0)
                break; // four zeros may end a list of boxes (QuickTime)
            size = static_cast<std::uint64_t>(span.to - at);
        }
        if (size < static_cast<std::uint64_t>(header) || size > static_cast<std::uint64_t>(span.to - at)) {
            damaged = true;
            break;
        }
        boxes.push_back({head.substr(4, 4), {at + header, at + static_cast<std::int64_t>(size)}});
        at += static_cast<std::int64_t>(size);
    }
    return boxes;
}

Span boxNamed(const std::vector<Box>& boxes, std::string_view type)
{
    const auto found = std::ranges::find(boxes, type, &Box::type);
    return found == boxes.end() ? Span{} : found->inside;
}

void readRecorderXml(const std::string& text, const std::string& prefix, Tags& tags)
{
    const bool whole = everyElement(text, [&](const QXmlStreamReader& xml) {
        const auto attribute = [&](const char* name) {
            return xml.attributes().value(QLatin1String(name)).toString().toStdString();
        };
        if (xml.name() == QLatin1String("VideoFrame"))
            for (const char* name : {"captureFps", "formatFps"})
                if (const std::string rate = withoutScan(attribute(name)); !rate.empty())
                    tags.emplace(prefix + name, rate);
        if (xml.name() == QLatin1String("RecordingMode"))
            if (const std::string mode = attribute("type"); !mode.empty())
                tags.emplace("RecordingMode type", mode);
    });
    if (!whole)
        noteDamage(tags, prefix == "sidecar " ? "XML beside the file" : "XML in the file");
}

void readXmp(const std::string& text, Tags& tags)
{
    const bool whole = everyElement(text, [&](QXmlStreamReader& xml) {
        for (const QXmlStreamAttribute& attribute : xml.attributes())
            if (attribute.name() == QLatin1String("videoFrameRate"))
                tags.emplace("XMP videoFrameRate", attribute.value().toString().toStdString());
        if (xml.name() == QLatin1String("videoFrameRate"))
            tags.emplace("XMP videoFrameRate",
                         xml.readElementText(QXmlStreamReader::SkipChildElements).trimmed().toStdString());
    });
    if (!whole)
        noteDamage(tags, "XMP");
}

} // namespace media
