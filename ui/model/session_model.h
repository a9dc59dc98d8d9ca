#pragma once
#include <QObject> // first: moc of Qt 6.4 can't parse <compare> before any other standard header
#include <QStringList>
#include "core/session/edits.h"
#include "core/session/open_session.h"
#include <functional>
#include <memory>

namespace ui {

/// The window's side of the one door. Views read `document()` and listen to `changed()`; whoever wants to change
/// something calls `edit()`. A new, unsaved session lives in the drafts folder, so its edits are safe as well.
class SessionModel : public QObject {
    Q_OBJECT
public:
    explicit SessionModel(QObject* parent = nullptr);
    ~SessionModel() override; ///< saves as close() does

    /// Each closes what is open (after saving it). On failure `problem` is emitted, false returned, the old one stays.
    bool newDraft();
    bool resumeDraft(); ///< the newest draft that holds anything and isn't open elsewhere, else a new one
    bool open(const QString& path);
    bool save(); ///< begins it; `problem` tells if it fails. A draft stays one; it gets a name by saveAs()
    /// Begins it; `savedAs` or `problem` tells the end. Changes made meanwhile wait and go to the new file.
    bool saveAs(const QString& path);
    bool close();        ///< saves and lets go; an empty draft goes. document() is empty from then on
    bool discardDraft(); ///< the draft that is open goes for good, a new one takes its place; refused for a named
                         ///< session
    QStringList drafts() const; ///< paths of the drafts that wait, newest first, without the one that is open

    /// Last accepted snapshot; never null.
    std::shared_ptr<const session::Document> document() const { return m_document; }
    /// Makes an edit against the latest document and sends it through the door.
    /// False (and `problem`) when it is refused.
    using MakeEdit = std::function<session::Edit(const session::Document&)>;
    bool edit(const MakeEdit& make);

    void undo();
    void redo();
    QString undoLabel() const; ///< empty when there is nothing
    QString redoLabel() const;

    QString title() const; ///< file name without folder, or "New session"
    QString path() const;
    QString folder() const; ///< capture paths are relative to it
    QString evidenceFolder() const;
    QString footagePath(const session::Capture&) const;      ///< absolute
    QStringList furtherParts(const session::Capture&) const; ///< the same for the files that go on its recording
    QString pathInSession(const QString& absolute) const;    ///< relative to folder() where it lies below it
    bool isDraft() const;
    bool readOnly() const;
    bool pending() const;  ///< an edit is submitted and not yet accepted, or saveAs() is under way
    QString state() const; ///< "every change is saved", "read-only", "not saved yet"

signals:
    void changed();         ///< another snapshot is accepted, or another session is open
    void sessionReplaced(); ///< another session is open
    void stateChanged();
    void savedAs(const QString& path); ///< path() is this from now on
    void problem(const QString& sentence);

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
    std::shared_ptr<const session::Document> m_document;
};

} // namespace ui
