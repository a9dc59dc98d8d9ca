#include "ui/model/footage_folders.h"
#include <QDir>
#include <QFileInfo>
#include <algorithm>

namespace ui {

namespace {

bool isIn(const QString& folder, const QString& other)
{
    return folder == other || folder.startsWith(other.endsWith(QLatin1Char('/')) ? other : other + QLatin1Char('/'));
}

} // namespace

QStringList foldersOf(const session::Capture& capture, const QString& folder)
{
    const QDir whole(folder);
    const auto of = [&](const std::string& path) {
        return QFileInfo(QDir::cleanPath(whole.absoluteFilePath(QString::fromStdString(path)))).path();
    };
    QStringList folders{of(capture.path)};
    for (const session::FurtherPart& part : capture.furtherParts)
        folders << of(part.path);
    return folders;
}

std::string notAskedSentence(const std::string& capture)
{
    return "The footage of " + capture
           + " lies outside the session's folder and isn't read, as nobody has said that it may be.";
}

bool FootageFolders::mayRead(const QStringList& folders) const
{
    return std::ranges::none_of(
        folders, [this](const QString& folder) { return m_waiting.contains(folder) || m_refused.contains(folder); });
}

void FootageFolders::begin(const QString& sessionFolder, const QStringList& footage, const QStringList& known,
                           const QStringList& refused)
{
    begin();
    for (const QString& folder : footage) {
        const bool isKnown = isIn(folder, sessionFolder)
                             || std::ranges::any_of(known, [&](const QString& other) { return isIn(folder, other); });
        QStringList& list = refused.contains(folder) ? m_refused : m_waiting;
        if (!isKnown && !list.contains(folder))
            list << folder;
    }
}

void FootageFolders::answer(bool yes)
{
    if (!yes)
        m_refused << m_waiting;
    m_waiting.clear();
}

void FootageFolders::askAgain() { m_waiting << std::exchange(m_refused, {}); }

} // namespace ui
