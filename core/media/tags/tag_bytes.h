#pragma once // not public: only core/media may include it
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace media {

using Tags = std::map<std::string, std::string>;

/// Note of metadata that contradicts itself, by the name of what it lies in; nothing of it is taken then.
void noteDamage(Tags& tags, std::string_view where);

/// Big- and little-endian numbers. `at` + 4 or 8 bytes have to be there.
std::uint32_t big32(std::string_view bytes, std::size_t at);
std::uint64_t big64(std::string_view bytes, std::size_t at);
std::uint32_t little32(std::string_view bytes, std::size_t at);

/// A stretch of a file, `from` to before `to`.
struct Span {
    std::int64_t from = 0, to = 0;
    bool empty() const { return to <= from; }
    std::int64_t size() const { return empty() ? 0 : to - from; }
};

/// A file looked into here and there, bounded in what is read at once.
class ByteFile {
public:
    static constexpr std::int64_t largest = 1 << 20; ///< bytes of one reading

    /// Anything but a regular file that can be read is an empty one.
    explicit ByteFile(const std::filesystem::path& path);
    Span whole() const { return {0, m_size}; }
    /// All of the span; empty when it is larger than `largest`, reaches beyond the file or can't be read.
    std::string read(Span span);

private:
    std::ifstream m_file;
    std::int64_t m_size = 0;
};

/// One box of MP4 or MOV.
struct Box {
    std::string type; ///< four bytes
    Span inside;      ///< what follows its head
};

/// Boxes one after the other, as far as their sizes hold; up to 1000 of them. `damaged` is set where one claims more
/// than there is.
std::vector<Box> boxesIn(ByteFile& file, Span span, bool& damaged);

/// The first of this type, else an empty span.
Span boxNamed(const std::vector<Box>& boxes, std::string_view type);

/// Capture and playback rates of recorder XML, its keys beginning with `prefix` ("VideoFrame ", "sidecar "), and of an
/// XMP packet.
void readRecorderXml(const std::string& text, const std::string& prefix, Tags& tags);
void readXmp(const std::string& text, Tags& tags);

/// What boxes of MP4 and MOV say beyond libav's tags.
void readMovieBoxes(const std::filesystem::path& path, Tags& tags);

/// What camera unit metadata (SMPTE RDD 18) in the first 8 MB of an MXF file says.
void readMxfCameraMetadata(const std::filesystem::path& path, Tags& tags);

} // namespace media
