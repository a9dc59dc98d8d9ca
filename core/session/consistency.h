#pragma once
#include "core/session/edit.h"
#include "core/session/place.h"
#include <string>

namespace session {

/// Something that contradicts itself: where (JSON pointer) and one sentence for the analyst.
struct Problem {
    std::string pointer;
    std::string sentence;
    std::string text() const { return pointer + ": " + sentence; }
};

/// `sentence` makes the sentence, only when it is needed.
template <class Sentence> void require(bool holds, const Place& place, Sentence sentence)
{
    if (!holds)
        throw Problem{place.pointer(), sentence()};
}

/// visit(item, its place) for each of a list.
template <class Items, class Visit> void forItems(const Items& items, const Place& list, Visit visit)
{
    std::size_t i = 0;
    for (const auto& item : items)
        visit(item, Place(list, i++));
}

/// What holds between things: everything referred to is there and fits, numbers and positions aren't used twice.
void requireConsistent(const Document&); ///< values, too. Throws Problem.
/// The same for a document that was consistent before `edit` was applied to it, looking only at what can have
/// changed. Throws Problem.
void requireConsistentAfter(const Document&, const Edit& edit);

} // namespace session
