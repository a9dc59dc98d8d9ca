#pragma once
#include "core/media/picture/picture.h"
#include "core/timing/rational.h"
#include <filesystem>

namespace media {

enum class MovieCodec {
    H264,       ///< opaque, 4:2:0, MP4
    ProRes4444, ///< with alpha, QuickTime
};

/// Width and height even and at least 16: what 4:2:0 asks for.
struct MovieFormat {
    MovieCodec codec = MovieCodec::H264;
    Size size;
    timing::FrameRate playbackRate{30};
};

/// Pictures of a movie: rows of blue, green, red, alpha, 8 bits each, alpha straight; read for ProRes only.
struct MoviePicture {
    const std::uint8_t* pixels = nullptr;
    std::ptrdiff_t stride = 0; ///< bytes from row to row
};

/// Writes a movie of a constant rate, ITU-R BT.709, one frame for each picture, none left out or doubled. The same
/// pictures give the same bytes by the same version of libav. Written beside `path` and put in its place by commit();
/// nothing stays without it. One thread at a time.
class MovieWriter {
public:
    /// Throws core::Error (Unsupported where this libav lacks the encoder, WriteFailed).
    MovieWriter(std::filesystem::path path, const MovieFormat& format);
    ~MovieWriter();
    MovieWriter(const MovieWriter&) = delete;
    MovieWriter& operator=(const MovieWriter&) = delete;

    void add(const MoviePicture& picture); ///< throws core::Error (WriteFailed)
    /// No more pictures: all of it is on the disk beside its place. Throws core::Error (WriteFailed).
    void finish();
    void commit(); ///< after finish(): it takes its name. Throws core::Error (WriteFailed)

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace media
