#pragma once
#include <QFile>
#include <QString>
#include <filesystem>

namespace ui {

/// File names as the operating system has them, so that names that aren't valid UTF-8 survive as far as Qt lets them.
inline std::filesystem::path toPath(const QString& path)
{
    return std::filesystem::path(QFile::encodeName(path).toStdString());
}

inline QString fromPath(const std::filesystem::path& path)
{
    return QFile::decodeName(QByteArray::fromStdString(path.string()));
}

} // namespace ui
