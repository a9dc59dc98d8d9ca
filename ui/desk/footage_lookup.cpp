#include "ui/desk/footage_lookup.h"

#include <QCollator>
#include <QCoreApplication>
#include <QDir>
#include <QFileInfo>
#include <algorithm>

namespace ui {

namespace {

constexpr int deepest = 6; ///< a link that leads in a circle ends here

const QStringList& filmSuffixes()
{
    static const QStringList suffixes = QStringLiteral("mp4 m4v mov qt avi mkv webm mts m2ts ts mpg mpeg mxf wmv asf "
                                                       "flv 3gp 3g2 y4m h264 264 h265 265 hevc ogv dv insv lrv")
                                            .split(QLatin1Char(' '));
    return suffixes;
}

const QStringList& pictureSuffixes()
{
    static const QStringList suffixes = QStringLiteral("png tif tiff jpg jpeg bmp").split(QLatin1Char(' '));
    return suffixes;
}

QStringList inNameOrder(QStringList paths)
{
    // run2 before run10.
    QCollator order;
    order.setNumericMode(true);
    std::stable_sort(paths.begin(), paths.end(),
                     [&](const QString& a, const QString& b) { return order.compare(a, b) < 0; });
    return paths;
}

QStringList footageIn(const QDir& folder, int depth)
{
    QStringList found;
    int pictures = 0;
    const QFileInfoList files = folder.entryInfoList(QDir::Files);
    for (const QFileInfo& file : files) {
        const QString suffix = file.suffix().toLower();
        if (filmSuffixes().contains(suffix))
            found << file.absoluteFilePath();
        else if (pictureSuffixes().contains(suffix))
            ++pictures;
    }
    if (found.isEmpty() && pictures > 1)
        return {folder.absolutePath()};
    if (depth < deepest) {
        const QFileInfoList folders = folder.entryInfoList(QDir::Dirs | QDir::NoDotAndDotDot);
        for (const QFileInfo& inner : folders)
            found << footageIn(QDir(inner.absoluteFilePath()), depth + 1);
    }
    return found;
}

} // namespace

FoundFootage findFootage(const QStringList& filesAndFolders)
{
    FoundFootage found;
    for (const QString& given : inNameOrder(filesAndFolders)) {
        const QFileInfo entry(given);
        const QString path = QDir::cleanPath(entry.absoluteFilePath());
        if (!entry.exists()) {
            found.problems << QCoreApplication::translate("FootageLookup",
                                                          "%1 isn't there any more; add it from where it is now.")
                                  .arg(path);
        } else if (entry.isDir()) {
            const QStringList inside = inNameOrder(footageIn(QDir(path), 0));
            if (inside.isEmpty())
                found.problems
                    << QCoreApplication::translate(
                           "FootageLookup",
                           "The folder %1 holds no footage; add the files themselves if they have unusual names.")
                           .arg(path);
            found.paths << inside;
        } else {
            found.paths << path;
        }
    }
    found.paths.removeDuplicates();
    return found;
}

QString footagePatterns()
{
    QStringList patterns;
    for (const QString& suffix : filmSuffixes())
        patterns << QStringLiteral("*.") + suffix << QStringLiteral("*.") + suffix.toUpper();
    return patterns.join(QLatin1Char(' '));
}

} // namespace ui
