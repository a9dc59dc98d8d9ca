#pragma once
#include "core/session/edit.h"
#include <QByteArray>

namespace session {

/// An edit that was done. Those of earlier times are kept as the log holds them and read when asked for: an evening
/// leaves more than anyone will ever undo.
class Step {
public:
    explicit Step(std::shared_ptr<const Edit> edit) : m_edit(std::move(edit)) {}
    explicit Step(QByteArray payload) : m_payload(std::move(payload)) {}

    /// Throws core::Error (Malformed) when the bytes are no edit.
    const Edit& edit() const;

private:
    QByteArray m_payload;
    mutable std::shared_ptr<const Edit> m_edit;
};

/// What can be undone and redone. A value that costs two pointers to copy, so that every state keeps its own.
/// Copies share their links: all stay on one thread.
class History {
public:
    void did(std::shared_ptr<const Step>); ///< what was undone before can't be redone any more
    /// Null when there is nothing.
    const Step* toUndo() const { return m_undo ? m_undo->step.get() : nullptr; }
    const Step* toRedo() const { return m_redo ? m_redo->step.get() : nullptr; }
    /// Of what the analyst did last; what the program did since goes along (EditKind). Empty when there is nothing, or
    /// the log is damaged there: that is as far as one can go back.
    std::optional<std::string> undoLabel() const { return labelIn(m_undo); }
    std::optional<std::string> redoLabel() const { return labelIn(m_redo); } ///< of what he undid last
    void undid() { push(m_redo, pop(m_undo)); } ///< precondition: there is something to undo
    void redid() { push(m_undo, pop(m_redo)); }

private:
    struct Link {
        std::shared_ptr<const Step> step;
        std::shared_ptr<Link> before;
        Link(std::shared_ptr<const Step> s, std::shared_ptr<Link> b) : step(std::move(s)), before(std::move(b)) {}
        ~Link(); ///< link by link: a long chain freed by recursion would overflow the stack
    };
    using Chain = std::shared_ptr<Link>;
    static std::optional<std::string> labelIn(const Chain&);
    static std::shared_ptr<const Step> pop(Chain&);
    static void push(Chain&, std::shared_ptr<const Step>);
    Chain m_undo, m_redo;
};

} // namespace session
