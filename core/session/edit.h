#pragma once
#include "core/session/document.h"
#include <cassert>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace session {

using Entity =
    std::variant<Settings, Configuration, Run, ErrorSource, Clock, Capture, Trial, Publication, EarlierSession>;

/// One thing as it was and as it is to be. Empty before: it is new; empty after: it goes.
struct Change {
    std::optional<Entity> before;
    std::optional<Entity> after;
    bool operator==(const Change&) const = default;
};

/// Who does it and what becomes of it when the analyst undoes. Text is for people; this is what the program goes by.
enum class EditKind {
    Analysts,        ///< what the analyst did
    PicturesFound,   ///< the program saw repeated pictures and told so at once: undone like what the analyst did
    FramesFollowed,  ///< numbers as decoded: undone and done again along with what the analyst did before it
    OnRecord,        ///< an early look or a publishing: stays, whatever is undone
    ChecksumLearned, ///< of a capture that was added before its bytes were read: stays as well
    PressesProposed, ///< what the lamp's trace proposes: stays as well
};
constexpr bool isPassedOver(EditKind kind)
{
    return kind == EditKind::OnRecord || kind == EditKind::ChecksumLearned || kind == EditKind::PressesProposed;
}
constexpr bool goesAlong(EditKind kind) { return kind == EditKind::FramesFollowed; }

/// One change of the session, as whole things before and after, so that undoing is applying it backwards.
struct Edit {
    std::string label; ///< what undo says: "mark press of trial 7"
    std::string time;  ///< ISO 8601 with offset
    std::vector<Change> changes;
    std::int64_t nextId = 1; ///< at least this from here on; undoing never lowers it, so that no number is given twice
    EditKind kind = EditKind::Analysts;
    bool operator==(const Edit&) const = default;
};

/// Throws core::Error (Refused) with one sentence when what the edit says was before isn't there,
/// or when the result would contradict itself; the document given stays as it was.
Document apply(const Document&, const Edit&);
/// The same on a document of one's own, which stays as it was when this throws.
void applyInPlace(Document&, const Edit&);
/// The way back; label, time and kind stay. What is on record and was learned stays as well, whatever is undone.
Edit reversed(const Edit&);

/// Collects changes against a document and gives out numbers; `finish` makes the edit.
/// The functions in edits.h say what the analyst can do; this is their tool.
class EditBuilder {
public:
    EditBuilder(const Document& document, std::string label, EditKind kind = EditKind::Analysts);
    const Document& document() const { return m_document; } ///< with the changes so far
    void setLabel(std::string label) { m_edit.label = std::move(label); }

    void put(const Entity&); ///< new or changed, by its number
    /// Precondition: it is there.
    template <class IdType> void remove(IdType id)
    {
        const auto* there = find(m_document, id);
        assert(there);
        drop(*there);
    }
    template <class IdType> IdType nextId()
    {
        m_edit.nextId = ++m_document.nextId;
        return IdType{m_document.nextId - 1};
    }

    /// Changes to the same thing become one, those that change nothing go.
    /// Throws core::Error (Refused) when the document would contradict itself.
    Edit finish() &&;

private:
    void drop(const Entity&);
    Change& changeOf(const Entity&);

    Document m_document;
    Edit m_edit;
    std::map<std::pair<std::size_t, std::int64_t>, std::size_t> m_touched; ///< kind and number to index in changes
};

} // namespace session
