#pragma once
#include <cstdint>
#include <filesystem>
#include <functional>
#include <vector>

struct AVFrame;

/// The least libav programs that do the same job: nothing is checked, kept or converted. Shares no code with the
/// product. Everything throws std::runtime_error.
namespace bare {

/// Opens the file and reads every packet. Returns how many the video stream has.
std::int64_t scanPackets(const std::filesystem::path& path);

/// Opens the file and decodes every picture. `threads` 0: one for each core. Returns how many there are.
std::int64_t decode(const std::filesystem::path& path, int threads);

/// Encodes `pictures` of blue, green, red, alpha: H.264 (medium, quality 15) or ProRes 4444, four threads. Rows without
/// padding.
void encode(const std::filesystem::path& path, bool h264, int rate, int width, int height, int pictures,
            const std::function<const std::uint8_t*(int)>& picture);

/// The same of one picture as PNG in memory, as libav does it unless told otherwise.
void encodePng(int width, int height, const std::uint8_t* picture);

/// Mean absolute difference of the first plane's bytes over a part of two pictures of one size.
double subtract(const AVFrame& before, const AVFrame& now, int x, int y, int width, int height);

/// Decodes from the key frame before to the wanted frame. The file is open before, the times of its packets are known.
class Jumper {
public:
    Jumper(const std::filesystem::path& path, int threads);
    ~Jumper();
    Jumper(const Jumper&) = delete;
    Jumper& operator=(const Jumper&) = delete;

    void jump(std::int64_t frame); ///< by place in presentation order, from 0

private:
    struct Open;
    Open* m_open;
    std::vector<std::int64_t> m_times, m_keys; ///< presentation times, ascending
};

} // namespace bare
