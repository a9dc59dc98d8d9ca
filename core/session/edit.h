#pragma once
#include "core/session/document.h"
#include <variant>
#include <vector>

namespace session {

using Entity = std::variant<Settings, Configuration, Run, ErrorSource, Clock, Capture, Trial>;

/// One thing as it was and as it is to be. Empty before: it is new; empty after: it goes.
struct Change {
    std::optional<Entity> before;
    std::optional<Entity> after;
    bool operator==(const Change&) const = default;
};

/// Something the analyst did, as whole things before and after, so that undoing is applying it backwards.
struct Edit {
    std::string label; ///< what undo says: "mark press of trial 7"
    std::string time;  ///< ISO 8601 with offset
    std::vector<Change> changes;
    std::int64_t nextIdBefore = 1, nextIdAfter = 1;
    bool operator==(const Edit&) const = default;
};

/// Throws core::Error (Refused) with one sentence when what the edit says was before isn't there,
/// or when the result would contradict itself; the document given stays as it was.
Document apply(const Document&, const Edit&);
Edit reversed(const Edit&);

/// Collects changes against a document and gives out numbers; `finish` makes the edit.
/// The functions in edits.h say what the analyst can do; this is their tool.
class EditBuilder {
public:
    EditBuilder(const Document& document, std::string label);
    const Document& document() const { return m_document; } ///< with the changes so far

    template <class T> void put(T entity) { change(std::move(entity)); }
    void remove(ConfigurationId);
    void remove(RunId);
    void remove(ErrorSourceId);
    void remove(ClockId);
    void remove(CaptureId);
    void remove(TrialId);
    template <class IdType> IdType nextId() { return IdType{takeId()}; }

    Edit finish() &&; ///< changes to the same thing become one

private:
    void change(Entity after);
    std::int64_t takeId();

    Document m_document;
    Edit m_edit;
};

} // namespace session
