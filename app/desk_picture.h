#pragma once
#include <QString>
#include <filesystem>

namespace app {

/// Opens the session in the real window, waits until its footage is there, and writes what the reading desk shows at
/// 1920 x 1080 as PNG. Needs a QApplication with the look applied. Throws core::Error.
void writeDeskPicture(const QString& session, const std::filesystem::path& picture);

} // namespace app
