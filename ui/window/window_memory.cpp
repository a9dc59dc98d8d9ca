#include "ui/window/window_memory.h"

#include <QDir>
#include <QSettings>
#include <QStandardPaths>
#include <QWidget>

namespace ui::memory {

namespace {

constexpr int mostRecent = 8;

QSettings settings()
{
    const QString folder = QStandardPaths::writableLocation(QStandardPaths::AppConfigLocation);
    return QSettings(folder + QStringLiteral("/window.ini"), QSettings::IniFormat);
}

} // namespace

bool lightLook() { return settings().value(QStringLiteral("lightLook"), false).toBool(); }

void setLightLook(bool light) { settings().setValue(QStringLiteral("lightLook"), light); }

QStringList recent() { return settings().value(QStringLiteral("recent")).toStringList(); }

void addRecent(const QString& path)
{
    QStringList paths = recent();
    paths.removeAll(path);
    paths.prepend(path);
    settings().setValue(QStringLiteral("recent"), QStringList(paths.mid(0, mostRecent)));
}

void saveGeometry(const QWidget& window) { settings().setValue(QStringLiteral("geometry"), window.saveGeometry()); }

void restoreGeometry(QWidget& window)
{
    if (!window.restoreGeometry(settings().value(QStringLiteral("geometry")).toByteArray()))
        window.resize(1280, 800);
}

int pictureMebibytes()
{
    constexpr int usual = 1024, least = 64, most = 1 << 20; // a settings file can hold anything
    const int chosen = settings().value(QStringLiteral("pictureMebibytes"), usual).toInt();
    return chosen < least || chosen > most ? usual : chosen;
}

void setPictureMebibytes(int mebibytes) { settings().setValue(QStringLiteral("pictureMebibytes"), mebibytes); }

QString clockSection() { return settings().value(QStringLiteral("clockSection")).toString(); }

void setClockSection(const QString& id) { settings().setValue(QStringLiteral("clockSection"), id); }

QString lastFolder() { return settings().value(QStringLiteral("folder"), QDir::homePath()).toString(); }

void setLastFolder(const QString& folder) { settings().setValue(QStringLiteral("folder"), folder); }

} // namespace ui::memory
