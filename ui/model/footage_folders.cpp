#include "ui/model/footage_folders.h"
#include <algorithm>

namespace ui {

namespace {

bool isIn(const QString& folder, const QString& other)
{
    return folder == other || folder.startsWith(other.endsWith(QLatin1Char('/')) ? other : other + QLatin1Char('/'));
}

} // namespace

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
