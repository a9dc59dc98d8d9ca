#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QDateTime>
#include <QStringList>
#include "core/session/edits.h"
#include "core/session/open_session.h"
#include "ui/model/footage_folders.h"
#include <functional>
#include <memory>

namespace ui {

/// How session files are opened and written: by the core. Called off the window's thread; may take as long as the disk
/// does.
struct SessionFiles {
    using Open = std::function<std::unique_ptr<session::OpenSession>(const std::filesystem::path&,
                                                                     session::OpenSession::Notices)>;
    Open open = session::OpenSession::open;
    Open create = session::OpenSession::create;
    std::function<void(session::OpenSession&)> save = [](session::OpenSession& session) { session.save(); };
};

/// A session without a name that waits to be gone on with.
struct WaitingDraft {
    QString path;
    QDateTime changed;
};

/// The window's side of the one door. Views read `document()` and listen to `changed()`; whoever wants to change
/// something calls `edit()`. A new, unsaved session lives in the drafts folder, so its edits are safe as well.
///
/// Nothing here waits for a disk: what has to do with files is begun, and told by signals when it has come to its end.
/// While a session is on its way in the one that is open stays in use; another can be asked for, which drops it.
class SessionModel : public QObject {
    Q_OBJECT
public:
    enum class Phase {
        Nothing, ///< no session is open
        Opening, ///< one is on its way; the one before, if any, stays in use until then
        Open,
        Closing, ///< asked for by close(); no more edits
    };

    explicit SessionModel(SessionFiles files = {}, QObject* parent = nullptr);
    /// Saves as close() does and waits for it some seconds at most, unless leave() was called.
    ~SessionModel() override;

    /// Each has the session that is open saved and let go of once the other is there. `opened` tells the end, or
    /// `problem` and `notOpened` do and the old one stays. Refused while closing.
    void newDraft();
    void resumeDraft(); ///< the newest draft that holds anything and isn't open elsewhere, else a new one
    void open(const QString& path);
    void stopOpening();  ///< what is on its way is let go of when it comes
    void discardDraft(); ///< the draft that is open goes for good, a new one takes its place; nothing for a named
                         ///< session
    /// Saves and lets go; an empty draft goes. `closed` tells the end; when the file can't be written `notClosed` does,
    /// after `problem`, and the session is open as before.
    void close();
    void leave(); ///< the program is about to end: what is under way isn't waited for
    bool save();  ///< begins it; `problem` tells if it fails. A draft stays one; it gets a name by saveAs()
    /// Begins it; `savedAs` or `problem` tells the end. Changes made meanwhile wait and go to the new file.
    bool saveAs(const QString& path);
    void findDrafts(); ///< `draftsFound` tells those that wait, newest first, without the one that is open

    Phase phase() const;
    bool slow() const; ///< opening or closing has taken so long already that the disk may never answer

    /// Last accepted snapshot; never null.
    std::shared_ptr<const session::Document> document() const { return m_document; }
    /// Makes an edit against the latest document and sends it through the door.
    /// False (and `problem`) when it is refused.
    using MakeEdit = std::function<session::Edit(const session::Document&)>;
    bool edit(const MakeEdit& make);
    /// The same of the session's settings; `label` is what undo calls it.
    bool changeSettings(const QString& label, const std::function<void(session::Settings&)>& change);

    void undo();
    void redo();
    QString undoLabel() const; ///< empty when there is nothing
    QString redoLabel() const;

    QString title() const; ///< file name without folder, or "New session"
    QString path() const;
    QString folder() const;                                   ///< capture paths are relative to it
    std::shared_ptr<session::EvidenceStore> evidence() const; ///< crops; null while no session is open
    QString footagePath(const session::Capture&) const;       ///< absolute
    QStringList furtherParts(const session::Capture&) const;  ///< the same for the files that go on its recording
    QString pathInSession(const QString& absolute) const;     ///< relative to folder() where it lies below it

    void setFootageMemory(FootageMemory memory);
    /// False while the capture's footage lies outside the session's folder, the analyst didn't take it in himself, and
    /// hasn't said that it may be read. It isn't opened then.
    bool mayRead(const session::Capture&) const;
    std::set<session::CaptureId> notToBeRead() const; ///< captures that mayRead() is false for
    QStringList footageToAskFor() const;              ///< folders that wait for answerFootage()
    void answerFootage(bool mayBeRead);               ///< remembered in the user's settings
    void askForFootageAgain();                        ///< where he said no
    bool isDraft() const;
    bool readOnly() const;
    bool pending() const;  ///< an edit is submitted and not yet accepted, or saveAs() is under way
    QString state() const; ///< "every change is saved", "read-only", "not saved yet", "opening evening.tallyframe"

signals:
    void changed();         ///< another snapshot is accepted, or another session is open
    void sessionReplaced(); ///< another session is open, or none
    void stateChanged();
    void opened();    ///< what was asked for is open, if only because it was already
    void notOpened(); ///< after `problem`; what was open before still is
    void closed();
    void notClosed();
    void savedAs(const QString& path); ///< path() is this from now on
    void footageAsked();               ///< there is something in footageToAskFor()
    void draftsFound(const QVector<ui::WaitingDraft>& drafts);
    void problem(const QString& sentence);

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
    std::shared_ptr<const session::Document> m_document;
};

} // namespace ui
