#include "ui/model/drafts.h"
#include "core/error.h"

#include <QDateTime>
#include <QDir>
#include <QStandardPaths>
#include <QUuid>

namespace ui::drafts {

namespace {

const QString fileName = QStringLiteral("New session.tallyframe");

[[noreturn]] void fail(const QString& sentence)
{
    throw core::Error(core::ErrorKind::WriteFailed, sentence.toStdString());
}

} // namespace

QString folder()
{
    return QStandardPaths::writableLocation(QStandardPaths::AppDataLocation) + QStringLiteral("/drafts");
}

QStringList paths()
{
    // Folder names begin with their time, so that names in reverse order are newest first.
    QStringList found;
    const QDir all(folder());
    const QStringList names = all.entryList(QDir::Dirs | QDir::NoDotAndDotDot, QDir::Name | QDir::Reversed);
    for (const QString& name : names) {
        const QString path = all.filePath(name + QLatin1Char('/') + fileName);
        if (QFile::exists(path))
            found << path;
    }
    return found;
}

QString newPath()
{
    const QString name = QDateTime::currentDateTimeUtc().toString(QStringLiteral("yyyyMMdd-HHmmss-zzz-"))
                         + QUuid::createUuid().toString(QUuid::Id128).left(8);
    const QString own = folder() + QLatin1Char('/') + name;
    if (!QDir().mkpath(own))
        fail(
            QStringLiteral("The folder %1 for sessions without a name can't be made; check free space and permissions.")
                .arg(own));
    return own + QLatin1Char('/') + fileName;
}

bool contains(const QString& path)
{
    return QDir::cleanPath(path).startsWith(QDir::cleanPath(folder()) + QLatin1Char('/'));
}

void remove(const QString& path)
{
    if (!contains(path))
        return;
    const QString own = QFileInfo(path).absolutePath();
    if (!QDir(own).removeRecursively())
        fail(QStringLiteral("The draft in %1 can't be removed; check permissions.").arg(own));
}

bool holdsAnything(const session::Document& document)
{
    return !document.configurations.empty() || !document.captures.empty() || !document.clocks.empty()
           || !document.runs.empty() || !(document.settings == session::Settings{});
}

} // namespace ui::drafts
