#pragma once
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

/// One picture of plain decoding.
struct PlainPicture {
    std::string md5;            ///< of the tight-packed planes, as FFmpeg's framemd5 prints
    std::optional<int> barcode; ///< the number drawn into the picture
};

/// The least libav program that decodes a file's stream from first packet to last on one thread: what every cleverer
/// access has to agree with. Shares no code with the product.
std::vector<PlainPicture> plainDecode(const std::filesystem::path& path, int stream);

/// The same for a picture file.
PlainPicture plainPicture(const std::filesystem::path& path);
