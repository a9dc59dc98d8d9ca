#pragma once
#include <QFile>
#include <filesystem>
#include <string>

namespace reading {

/// A file name as UTF-8 text, for sessions and sentences: what isn't valid UTF-8 in it is replaced.
inline std::string textOf(const std::filesystem::path& path)
{
    return QFile::decodeName(QByteArray::fromStdString(path.string())).toStdString();
}

} // namespace reading
