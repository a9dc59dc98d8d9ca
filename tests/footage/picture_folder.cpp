#include "tests/footage/encoder.h"
#include "tests/footage/writer.h"
#include <cstdio>
#include <fstream>

namespace footage {
namespace {

namespace fs = std::filesystem;

class PictureFolder : public Writer {
public:
    PictureFolder(const fs::path& folder, const StorageSpec& storage, int width, int height, std::vector<int> numbers)
        : m_folder(folder), m_extension(storage.container), m_numbers(std::move(numbers)),
          m_encoder(storage, width, height, false, [this](AVPacket& packet) { save(packet); })
    {
        fs::create_directories(folder);
    }
    void write(const Frame& frame) override { m_encoder.encode(frame); }
    void finish() override { m_encoder.finish(); }

private:
    void save(const AVPacket& packet)
    {
        char name[32];
        std::snprintf(name, sizeof name, "frame_%06d.", m_numbers[m_saved++]);
        const fs::path path = m_folder / (name + m_extension);
        std::ofstream file(path, std::ios::binary);
        file.write(reinterpret_cast<const char*>(packet.data), packet.size);
        file.close();
        if (!file)
            throw std::runtime_error("footage: can't write " + path.string());
    }

    fs::path m_folder;
    std::string m_extension;
    std::vector<int> m_numbers;
    std::size_t m_saved = 0;
    Encoder m_encoder;
};

} // namespace

bool isPictureKind(const std::string& container)
{
    return container == "png" || container == "tif" || container == "tiff" || container == "jpg" || container == "jpeg";
}

std::unique_ptr<Writer> openPictureFolder(const fs::path& folder, const StorageSpec& storage, int width, int height,
                                          std::vector<int> numbers)
{
    return std::make_unique<PictureFolder>(folder, storage, width, height, std::move(numbers));
}

} // namespace footage
