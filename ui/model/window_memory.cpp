#include "ui/model/window_memory.h"

#include <QDir>
#include <QScreen>
#include <QSettings>
#include <QStandardPaths>
#include <QVariantMap>
#include <QWidget>
#include <condition_variable>
#include <future>
#include <mutex>
#include <optional>
#include <thread>

namespace ui::memory {

namespace {

constexpr int mostRecent = 8;
constexpr std::chrono::milliseconds patience{500}; ///< with a disk that doesn't answer; the program starts without

QString file()
{
    return QStandardPaths::writableLocation(QStandardPaths::AppConfigLocation) + QStringLiteral("/window.ini");
}

QVariantMap readFrom(const QString& path)
{
    const QSettings settings(path, QSettings::IniFormat);
    QVariantMap values;
    const auto keys = settings.allKeys();
    for (const QString& key : keys)
        values[key] = settings.value(key);
    return values;
}

/// The file is read once and written behind the window's back. Never destroyed: a disk may still hold its threads when
/// the program ends.
class Kept {
public:
    static Kept& one()
    {
        static auto* kept = new Kept;
        return *kept;
    }

    QVariant value(const QString& key, const QVariant& otherwise = {})
    {
        if (!m_values)
            m_values = read();
        return m_values->value(key, otherwise);
    }

    void set(const QString& key, const QVariant& value)
    {
        if (!m_values)
            m_values = read();
        m_values->insert(key, value);
        const std::lock_guard lock(m_mutex);
        m_toWrite[key] = value;
        if (!std::exchange(m_writing, true))
            std::thread([this, path = file()] { write(path); }).detach();
    }

    bool wait()
    {
        std::unique_lock lock(m_mutex);
        return m_written.wait_for(lock, patience, [this] { return !m_writing; });
    }

    void forget() { m_values.reset(); }

private:
    static QVariantMap read()
    {
        auto values = std::make_shared<std::promise<QVariantMap>>();
        auto answer = values->get_future();
        std::thread([values, path = file()] { values->set_value(readFrom(path)); }).detach();
        return answer.wait_for(patience) == std::future_status::ready ? answer.get() : QVariantMap();
    }

    void write(const QString& path)
    {
        for (;;) {
            QVariantMap values;
            {
                const std::lock_guard lock(m_mutex);
                values.swap(m_toWrite);
                if (values.isEmpty()) {
                    m_writing = false;
                    m_written.notify_all();
                    return;
                }
            }
            QSettings settings(path, QSettings::IniFormat);
            for (auto value = values.cbegin(); value != values.cend(); ++value)
                settings.setValue(value.key(), value.value());
        }
    }

    std::optional<QVariantMap> m_values; ///< the window's thread alone uses it
    std::mutex m_mutex;
    std::condition_variable m_written;
    QVariantMap m_toWrite;
    bool m_writing = false;
};

QVariant value(const char* key, const QVariant& otherwise = {})
{
    return Kept::one().value(QString::fromLatin1(key), otherwise);
}

void set(const char* key, const QVariant& value) { Kept::one().set(QString::fromLatin1(key), value); }

} // namespace

bool lightLook() { return value("lightLook", false).toBool(); }

void setLightLook(bool light) { set("lightLook", light); }

QStringList recent() { return value("recent").toStringList(); }

void addRecent(const QString& path)
{
    QStringList paths = recent();
    paths.removeAll(path);
    paths.prepend(path);
    set("recent", QStringList(paths.mid(0, mostRecent)));
}

void saveGeometry(const QWidget& window) { set("geometry", window.saveGeometry()); }

/// Most of the screen: frames are looked at. At least 1280 x 800 or what the screen leaves for it: the window manager's
/// title bar has to fit, too.
static QSize firstSize(const QWidget& window)
{
    constexpr QSize usual(1280, 800), frame(4, 40);
    const QSize room = window.screen()->availableSize() - frame;
    const bool fits = room.width() >= window.minimumWidth() && room.height() >= window.minimumHeight();
    return fits ? (room * 0.9).expandedTo(usual).boundedTo(room) : usual;
}

void restoreGeometry(QWidget& window)
{
    if (!window.restoreGeometry(value("geometry").toByteArray()))
        window.resize(firstSize(window));
}

QStringList movedKeys() { return value("movedKeys").toStringList(); }

void setMovedKeys(const QStringList& pairs) { set("movedKeys", pairs); }

int pictureMebibytes()
{
    constexpr int usual = 1024, least = 64, most = 1 << 20; // a settings file can hold anything
    const int chosen = value("pictureMebibytes", usual).toInt();
    return chosen < least || chosen > most ? usual : chosen;
}

void setPictureMebibytes(int mebibytes) { set("pictureMebibytes", mebibytes); }

QString clockSection() { return value("clockSection").toString(); }

void setClockSection(const QString& id) { set("clockSection", id); }

QString lastFolder() { return value("folder", QDir::homePath()).toString(); }

void setLastFolder(const QString& folder) { set("folder", folder); }

QString lastFootageFolder() { return value("footageFolder").toString(); }

void setLastFootageFolder(const QString& folder) { set("footageFolder", folder); }

std::optional<std::pair<qint64, qint64>> place(const QString& session)
{
    const QVariantList kept = value("places").toMap().value(session).toList();
    return kept.size() == 2 ? std::optional(std::pair(kept[0].toLongLong(), kept[1].toLongLong())) : std::nullopt;
}

void setPlace(const QString& session, qint64 capture, qint64 frame)
{
    const QVariantMap before = value("places").toMap();
    QVariantMap places{{session, QVariantList{capture, frame}}};
    for (const QString& path : recent())
        if (path != session && before.contains(path))
            places[path] = before[path];
    if (places != before)
        set("places", places);
}

QStringList footageFolders() { return value("footageFolders").toStringList(); }

void addFootageFolders(const QStringList& folders)
{
    QStringList all = footageFolders() + folders;
    all.removeDuplicates();
    set("footageFolders", all);
}

QStringList refusedFolders(const QString& session)
{
    return value("refusedFolders").toMap().value(session).toStringList();
}

void setRefusedFolders(const QString& session, const QStringList& folders)
{
    QVariantMap all = value("refusedFolders").toMap();
    if (all.value(session).toStringList() == folders)
        return;
    all.remove(session);
    if (!folders.isEmpty())
        all[session] = folders;
    set("refusedFolders", all);
}

bool keep() { return Kept::one().wait(); }

void readAgain()
{
    keep();
    Kept::one().forget();
}

} // namespace ui::memory
