#pragma once
#include <QStringList>
#include "core/session/document.h"
#include <functional>
#include <set>

namespace ui {

/// Absolute, of the files of a capture's footage; `folder` is the session's.
QStringList foldersOf(const session::Capture& capture, const QString& folder);

/// What the analyst let sessions read footage in, and what he said no to, by session file. Without `folders` every
/// session reads what it names, as for a command that is told which session to read.
struct FootageMemory {
    std::function<QStringList()> folders = {};
    std::function<void(const QStringList&)> addFolders = {};
    std::function<QStringList(const QString& session)> refused = {};
    std::function<void(const QString& session, const QStringList&)> setRefused = {};
};

/// Which folders a session may read footage in. What lies below its own folder, what the analyst let it read and what
/// he took in himself is read; a session of somebody else may name any file, and others wait for his word.
class FootageFolders {
public:
    void setMemory(FootageMemory memory) { m_memory = std::move(memory); }
    /// Of a session that was opened just now, `session` its file; an empty name: everything may be read.
    void begin(const QString& session, const session::Document& document, const QString& folder);
    /// What is taken in while the session is open is the analyst's own choice.
    void learn(const session::Document& document, const QString& folder);

    bool mayRead(const QStringList& folders) const;           ///< in all of them
    const QStringList& toAskFor() const { return m_waiting; } ///< nobody has said anything about these
    void answer(bool yes, const QString& session);            ///< remembered; `session`: its file by now
    void askAgain();                                          ///< about those that are refused
    /// Captures whose footage isn't to be read.
    std::set<session::CaptureId> notToBeRead(const session::Document& document, const QString& folder) const;

private:
    FootageMemory m_memory;
    QStringList m_waiting, m_refused;
    std::vector<const session::Capture*> m_captures; ///< when folders were learned last; for comparing alone
};

} // namespace ui
