#pragma once // not public: only core/media may include it
#include "core/media/libav/av_handles.h"
#include "core/media/libav/av_setup.h"
#include "core/media/index/checksum.h"
#include "core/media/index/packet_table.h"
#include <filesystem>
#include <stop_token>
#include <vector>

namespace media {

/// How pictures are found again in a kind of container.
enum class Seeking {
    ByPresentation, ///< mov, Matroska: given a decode stamp, mov lands a whole group too early
    ByDecoding,     ///< AVI
    ByPosition,     ///< transport and program streams, FLV, bare streams
};

/// One footage file, opened with everything hostile files could misuse switched off, and its chosen video stream.
class Demuxer {
public:
    /// `stream`: the container's index, empty for the default one. `checksum`: gets what is read of the file; outlives
    /// this. Throws core::Error (NotFound, Unreadable, Unsupported), core::Cancelled.
    Demuxer(const std::filesystem::path& path, std::optional<int> stream, std::stop_token stop,
            FootageChecksum* checksum = nullptr);

    Demuxer(const Demuxer&) = delete;
    Demuxer& operator=(const Demuxer&) = delete;

    /// Polled before each read of the file, which takes 1 MiB at most.
    void setStop(std::stop_token stop) { m_stop = std::move(stop); }

    /// The next packet of the chosen stream. 0, AVERROR_EOF, or libav's error. Throws core::Cancelled; core::Error
    /// (Unsupported) beyond the most packets that a pass may give, which no film has.
    int next(AVPacket& packet);
    void setMostPackets(std::int64_t most) { m_mostPackets = most; }

    /// libav's result; afterwards next() starts somewhere near. Throw core::Cancelled.
    int seek(std::int64_t stamp) { return seek(stream().index, stamp, AVSEEK_FLAG_BACKWARD); }
    int seekToByte(std::int64_t position) { return seek(-1, position, AVSEEK_FLAG_BYTE); }

    AVFormatContext& format() const { return *m_format; }
    AVStream& stream() const { return *m_stream; }
    const AVCodec& decoder() const { return *m_decoder; }
    std::vector<VideoStream> streams() const;
    /// The demuxer's, since the file's head was read.
    const Complaints& complaints() const { return m_complaints; }
    const std::string& name() const { return m_name; }    ///< of the file, quoted, for sentences
    const FileVersion& file() const { return m_version; } ///< as it was opened
    std::int64_t bytesRead() const;

    Seeking seeking() const;
    bool isBareStream() const;  ///< no container around it, so neither stamps nor a rate of its own
    bool hasEditLists() const;  ///< QuickTime and MP4
    bool reckonsStamps() const; ///< MXF: libav's presentation stamps of reordered pictures are its own sums, and wrong
    bool hasChunkCountsOnly() const; ///< AVI: no presentation stamps, only places in decoding order
    /// AVI: byte positions of the packets that its index lists, in file order; empty elsewhere.
    std::vector<std::int64_t> listedPositions() const;

private:
    void open(const std::filesystem::path& path);
    void throwIfStopped() const;
    int seek(int stream, std::int64_t place, int flags);
    int read(std::uint8_t* bytes, int count);
    std::int64_t setPlace(std::int64_t offset, int whence);
    void chooseStream(std::optional<int> wanted);

    Complaints m_complaints;
    std::stop_token m_stop;
    FootageChecksum* m_checksum;
    std::filesystem::path m_path;
    std::string m_name;
    FilePtr m_file;
    std::int64_t m_place = 0; ///< in the file, of the next read
    FileVersion m_version;
    std::int64_t m_mostPackets = 20'000'000; ///< some hours at 1000 a second, and a GB of memory
    std::int64_t m_packets = 0;              ///< since the beginning or a seek
    InputPtr m_input;
    FormatPtr m_format; ///< goes before what it reads from
    AVStream* m_stream = nullptr;
    const AVCodec* m_decoder = nullptr;
    int m_default = -1;
};

} // namespace media
