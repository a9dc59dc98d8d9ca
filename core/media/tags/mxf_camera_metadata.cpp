#include "core/media/tags/tag_bytes.h"

#include <algorithm>
#include <optional>

namespace media {
namespace {

constexpr std::int64_t searched =
    8 << 20; ///< bytes from the start: the header, and the first pictures with what lies beside them
constexpr std::size_t mostSets = 2'000, mostItems = 500; ///< looked at, and in one of them

// SMPTE RDD 18: camera unit metadata is a local set under this universal label, which may lie in the header or in data
// beside each picture. Its items have 2-byte tags and lengths (label and tags: public readers of such files).
constexpr std::string_view label("\x06\x0e\x2b\x34\x02\x53\x01\x01\x0c\x02\x01\x01\x02\x01\x00\x00", 16);
constexpr std::uint32_t captureRate = 0x8106, readoutMode = 0x8107, shutterAngle = 0x8108;

/// Where the value of the set at `set` lies in `bytes`; empty where its length makes no sense.
std::optional<std::string_view> valueOf(std::string_view bytes, std::size_t set)
{
    std::size_t at = set + label.size();
    if (at >= bytes.size())
        return std::nullopt;
    std::size_t length = static_cast<unsigned char>(bytes[at++]);
    if (length > 0x80) { // so many bytes of length follow
        const std::size_t count = length & 0x7fu;
        if (count > 4 || count > bytes.size() - at)
            return std::nullopt;
        length = 0;
        for (std::size_t i = 0; i < count; ++i)
            length = length << 8 | static_cast<unsigned char>(bytes[at++]);
    } else if (length == 0x80) {
        return std::nullopt; // of unknown length: not in MXF
    }
    return length <= bytes.size() - at ? std::optional(bytes.substr(at, length)) : std::nullopt;
}

/// What one set says goes into `found`. False where its items don't fill it exactly; then nothing does.
bool readItems(std::string_view value, Tags& found)
{
    Tags own;
    std::size_t items = 0;
    for (std::size_t at = 0; at < value.size();) {
        if (value.size() - at < 4 || ++items > mostItems)
            return false;
        const std::uint32_t head = big32(value, at);
        const std::uint32_t tag = head >> 16, size = head & 0xffffu;
        at += 4;
        if (size > value.size() - at)
            return false;
        const std::string_view item = value.substr(at, size);
        if (tag == captureRate && size == 8)
            own["RDD 18 capture frame rate"] = std::to_string(big32(item, 0)) + "/" + std::to_string(big32(item, 4));
        else if (tag == captureRate)
            return false;
        if (tag == shutterAngle && size == 4)
            own["RDD 18 shutter angle"] = std::to_string(big32(item, 0));
        if (tag == readoutMode && size == 1)
            own["RDD 18 readout mode"] = std::to_string(static_cast<unsigned char>(item.front()));
        at += size;
    }
    found = std::move(own);
    return true;
}

} // namespace

void readMxfCameraMetadata(const std::filesystem::path& path, Tags& tags)
{
    std::ifstream file(path, std::ios::binary | std::ios::ate);
    const std::streamoff size = file ? static_cast<std::streamoff>(file.tellg()) : 0;
    std::string bytes(static_cast<std::size_t>(std::clamp<std::streamoff>(size, 0, searched)), '\0');
    file.seekg(0);
    file.read(bytes.data(), std::ssize(bytes));
    bytes.resize(std::max<std::streamsize>(file.gcount(), 0));
    const bool cut = size > std::ssize(bytes); // a set may reach beyond what was read
    std::size_t sets = 0;
    for (std::size_t set = bytes.find(label); set != std::string::npos && ++sets <= mostSets;
         set = bytes.find(label, set + label.size())) {
        Tags found;
        const auto value = valueOf(bytes, set);
        if (!value && cut && bytes.size() - set < ByteFile::largest)
            return;
        if (!value || !readItems(*value, found)) {
            noteDamage(tags, "RDD 18");
            continue;
        }
        for (const auto& [key, text] : found) {
            const auto [at, fresh] = tags.emplace(key, text);
            if (!fresh && at->second != text && key == "RDD 18 capture frame rate") {
                at->second += ", then " + text; // no rate that holds: the analyst has to say where
                return;
            }
        }
    }
}

} // namespace media
