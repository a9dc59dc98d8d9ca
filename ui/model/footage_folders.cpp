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

/// Where the footage of the captures lies, each folder once.
QStringList foldersOf(const session::Document& document, const QString& folder)
{
    QStringList folders;
    for (const auto& [id, capture] : document.captures)
        folders << ui::foldersOf(*capture, folder);
    folders.removeDuplicates();
    return folders;
}

std::vector<const session::Capture*> capturesOf(const session::Document& document)
{
    std::vector<const session::Capture*> captures;
    for (const auto& [id, capture] : document.captures)
        captures.push_back(capture.get());
    return captures;
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

bool FootageFolders::mayRead(const QStringList& folders) const
{
    return std::ranges::none_of(
        folders, [this](const QString& folder) { return m_waiting.contains(folder) || m_refused.contains(folder); });
}

void FootageFolders::begin(const QString& session, const session::Document& document, const QString& folder)
{
    m_captures = capturesOf(document);
    m_waiting.clear();
    m_refused.clear();
    if (session.isEmpty() || !m_memory.folders)
        return;
    const QStringList known = m_memory.folders() << folder, refused = m_memory.refused(session);
    for (const QString& used : foldersOf(document, folder))
        if (std::ranges::none_of(known, [&](const QString& other) { return isIn(used, other); }))
            (refused.contains(used) ? m_refused : m_waiting) << used;
}

void FootageFolders::learn(const session::Document& document, const QString& folder)
{
    std::vector<const session::Capture*> now = capturesOf(document);
    if (!m_memory.folders || now == m_captures)
        return;
    m_captures = std::move(now);
    QStringList own;
    const QStringList known = m_memory.folders();
    for (const QString& used : foldersOf(document, folder))
        if (mayRead({used}) && !known.contains(used))
            own << used;
    if (!own.isEmpty())
        m_memory.addFolders(own);
}

void FootageFolders::answer(bool yes, const QString& session)
{
    if (yes)
        m_memory.addFolders(m_waiting);
    else
        m_refused << m_waiting;
    m_waiting.clear();
    m_memory.setRefused(session, m_refused);
}

std::set<session::CaptureId> FootageFolders::notToBeRead(const session::Document& document, const QString& folder) const
{
    std::set<session::CaptureId> captures;
    for (const auto& [id, capture] : document.captures)
        if (!mayRead(foldersOf(*capture, folder)))
            captures.insert(id);
    return captures;
}

void FootageFolders::askAgain() { m_waiting << std::exchange(m_refused, {}); }

} // namespace ui
