#pragma once
#include <QStringList>

namespace ui {

/// Which folders a session may read footage in. What lies below its own folder, what the analyst let it read and what
/// he took in himself is read; a session of somebody else may name any file, and others wait for his word.
class FootageFolders {
public:
    /// Of a session that was opened just now: the folders of all its footage, absolute. `known`: what may be read
    /// already, by any session. `refused`: what this session may not.
    void begin(const QString& sessionFolder, const QStringList& footage, const QStringList& known,
               const QStringList& refused);
    void begin() { *this = {}; } ///< everything may be read

    bool mayRead(const QString& folder) const { return !m_waiting.contains(folder) && !m_refused.contains(folder); }
    const QStringList& toAskFor() const { return m_waiting; } ///< nobody has said anything about these
    const QStringList& refused() const { return m_refused; }
    void answer(bool yes);
    void askAgain(); ///< about those that are refused

private:
    QStringList m_waiting, m_refused;
};

} // namespace ui
