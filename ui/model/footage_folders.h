#pragma once
#include <QStringList>
#include "core/session/capture.h"

namespace ui {

/// Absolute, of the files of a capture's footage; `folder` is the session's.
QStringList foldersOf(const session::Capture& capture, const QString& folder);

/// Why footage isn't read: a sentence.
std::string notAskedSentence(const std::string& capture);

/// Which folders a session may read footage in. What lies below its own folder, what the analyst let it read and what
/// he took in himself is read; a session of somebody else may name any file, and others wait for his word.
class FootageFolders {
public:
    /// Of a session that was opened just now: the folders of all its footage, absolute. `known`: what may be read
    /// already, by any session. `refused`: what this session may not.
    void begin(const QString& sessionFolder, const QStringList& footage, const QStringList& known,
               const QStringList& refused);
    void begin() { *this = {}; } ///< everything may be read

    bool mayRead(const QStringList& folders) const;           ///< in all of them
    const QStringList& toAskFor() const { return m_waiting; } ///< nobody has said anything about these
    const QStringList& refused() const { return m_refused; }
    void answer(bool yes);
    void askAgain(); ///< about those that are refused

private:
    QStringList m_waiting, m_refused;
};

} // namespace ui
