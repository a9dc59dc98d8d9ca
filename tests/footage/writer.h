#pragma once
#include "tests/footage/frame.h"
#include "tests/footage/spec.h"
#include <filesystem>
#include <memory>
#include <vector>

namespace footage {

/// When each stored frame is to be shown.
class Stamps {
public:
    /// Even: frame i is stamped places[i] / rate after `start`.
    static Stamps even(std::vector<int> places, Ratio rate, double start);
    /// Seconds, ascending.
    static Stamps real(std::vector<double> seconds);

    std::size_t count() const;
    /// In ticks of num/den seconds. `frame` may lie before 0: steps of the first interval.
    std::int64_t ticks(std::int64_t frame, int num, int den) const;
    double seconds(std::int64_t frame) const;

private:
    std::vector<int> m_places;
    std::vector<double> m_seconds;
    Ratio m_rate;
    double m_start = 0;
};

/// A film file, or a folder of numbered pictures.
class Writer {
public:
    virtual ~Writer() = default;
    virtual void write(const Frame& frame) = 0; ///< in the order of the stamps
    virtual void finish() = 0;
};

std::unique_ptr<Writer> openFile(const std::filesystem::path& path, const StorageSpec& storage, int width, int height,
                                 Stamps stamps);
/// `numbers`: one for each picture, in order.
std::unique_ptr<Writer> openPictureFolder(const std::filesystem::path& folder, const StorageSpec& storage, int width,
                                          int height, std::vector<int> numbers);
bool isPictureKind(const std::string& container); ///< png, tif, tiff, jpg, jpeg

} // namespace footage
