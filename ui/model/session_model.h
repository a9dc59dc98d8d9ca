#pragma once
#include "core/session/edits.h"
#include "core/session/open_session.h"
#include <QObject>
#include <functional>
#include <memory>

namespace ui {

/// The window's side of the one door. Views read `document()` and listen to `changed()`; whoever wants to change
/// something calls `edit()`. A new, unsaved session lives in the drafts folder, so its edits are safe as well.
class SessionModel : public QObject {
    Q_OBJECT
public:
    explicit SessionModel(QObject* parent = nullptr);
    ~SessionModel() override;

    /// Each closes what is open (after saving it). On failure `problem` is emitted, false returned, the old one stays.
    bool newDraft();
    bool open(const QString& path);
    bool save();
    bool saveAs(const QString& path);

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

    QString title() const;     ///< file name without folder, or "New session"
    QString path() const;
    QString folder() const;    ///< capture paths are relative to it
    QString evidenceFolder() const;
    bool isDraft() const;
    bool readOnly() const;
    bool pending() const;      ///< an edit is submitted and not yet accepted
    QString state() const;     ///< "every change is saved", "read-only: ...", "not saved yet"

signals:
    void changed();            ///< another snapshot is accepted, or another session is open
    void sessionReplaced();    ///< another session is open
    void stateChanged();
    void problem(const QString& sentence);

private:
    class Impl;
    std::unique_ptr<Impl> m_impl;
    std::shared_ptr<const session::Document> m_document;
};

} // namespace ui
