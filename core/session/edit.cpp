#include "core/session/edit.h"
#include "core/error.h"
#include "core/session/consistency.h"
#include "core/session/entity_kinds.h"
#include "core/session/place.h"
#include "core/session/text.h"
#include <algorithm>
#include <tuple>

namespace session {

namespace {

[[noreturn]] void refuseEdit(const std::string& sentence)
{
    throw core::Error(core::ErrorKind::Refused, asSentence(sentence));
}

std::string describe(const Entity& entity)
{
    return std::visit(
        []<class T>(const T& value) -> std::string {
            if constexpr (std::is_same_v<T, Settings>)
                return "the settings";
            else
                return kindOf<T>().one + (" " + std::to_string(value.id.value));
        },
        entity);
}

std::pair<std::size_t, std::int64_t> keyOf(const Entity& entity)
{
    return {entity.index(), std::visit([](const auto& value) { return numberOf(value); }, entity)};
}

/// The thing of that kind and number as it is now; empty when it isn't there.
std::optional<Entity> current(const Document& document, const Entity& like)
{
    return std::visit(
        [&](const auto& value) {
            const auto* there = thingIn(document, value);
            return there ? std::optional<Entity>(*there) : std::nullopt;
        },
        like);
}

Settings withoutEarlyLooks(const Settings& settings)
{
    Settings others = settings;
    others.earlyLooks.clear();
    return others;
}

/// The same files, so that what was learned of their bytes holds.
bool sameFiles(const Capture& a, const Capture& b)
{
    return a.path == b.path && a.stream == b.stream
           && std::ranges::equal(a.furtherParts, b.furtherParts, {}, &FurtherPart::path, &FurtherPart::path);
}

/// The same lamp, so that the presses that its trace proposes hold.
bool sameLamp(const Capture& a, const Capture& b)
{
    const Region* one = firstRegion(a, RegionKind::Lamp);
    const Region* other = firstRegion(b, RegionKind::Lamp);
    return one && other ? std::tie(one->x, one->y, one->width, one->height)
                              == std::tie(other->x, other->y, other->width, other->height)
                        : !one && !other;
}

/// The capture with what has been learned of its footage since.
Capture withLearned(Capture capture, const Capture& now)
{
    if (!sameFiles(capture, now))
        return capture;
    if (capture.sha256.empty())
        capture.sha256 = now.sha256;
    if (capture.frames == now.frames && sameLamp(capture, now))
        capture.presses = now.presses;
    return capture;
}

/// What is looked at and learned may have come between a change and its undoing; they are no part of it.
bool isCurrent(const Document& document, const Entity& before)
{
    return std::visit(
        [&]<class T>(const T& value) {
            const T* there = thingIn(document, value);
            if constexpr (std::is_same_v<T, Settings>)
                return withoutEarlyLooks(*there) == withoutEarlyLooks(value);
            else if constexpr (std::is_same_v<T, Capture>)
                return there && *there == withLearned(value, *there);
            else
                return there && *there == value;
        },
        before);
}

/// With what was looked at and learned meanwhile, which stays whatever is undone; edits that tell of it say it anew.
Entity withLearned(const Document& document, Entity entity, EditKind kind)
{
    if (isPassedOver(kind))
        return entity;
    if (auto* settings = std::get_if<Settings>(&entity)) {
        if (document.settings.earlyLooks.size() > settings->earlyLooks.size())
            settings->earlyLooks = document.settings.earlyLooks;
    } else if (auto* capture = std::get_if<Capture>(&entity)) {
        if (const Capture* now = find(document, capture->id))
            *capture = withLearned(std::move(*capture), *now);
    }
    return entity;
}

void store(Document& document, const Entity& entity)
{
    std::visit(
        [&]<class T>(const T& value) {
            if constexpr (std::is_same_v<T, Settings>)
                document.settings = value;
            else
                tableOf<T>(document)[value.id] = std::make_shared<const T>(value);
        },
        entity);
}

void erase(Document& document, const Entity& entity)
{
    std::visit(
        [&]<class T>(const T& value) {
            if constexpr (!std::is_same_v<T, Settings>)
                tableOf<T>(document).erase(value.id);
        },
        entity);
}

void putEntity(Document& document, const Change& change, EditKind kind)
{
    if (change.after)
        store(document, withLearned(document, *change.after, kind));
    else
        erase(document, *change.before);
}

void verify(const Document& document, const Change& change)
{
    if (!change.before && !change.after)
        refuseEdit("A change names neither what was before nor what is to be");
    const Entity& entity = change.before ? *change.before : *change.after;
    if (change.before && change.after && keyOf(*change.before) != keyOf(*change.after))
        refuseEdit("A change turns " + describe(*change.before) + " into " + describe(*change.after));
    if (std::holds_alternative<Settings>(entity) && !(change.before && change.after))
        refuseEdit("The settings can be changed, but neither added nor removed");
    if (change.before && !isCurrent(document, *change.before))
        refuseEdit("The change was made for another state of " + describe(entity)
                   + "; look at it again and repeat the change");
    if (!change.before && current(document, entity))
        refuseEdit("There already is " + describe(entity) + ", so it can't be added");
}

} // namespace

void applyInPlace(Document& document, const Edit& edit)
{
    const std::int64_t nextId = document.nextId;
    std::vector<std::optional<Entity>> was; // as it was, not as the edit says
    std::size_t done = 0;
    const auto takeBack = [&] {
        document.nextId = nextId;
        while (done > 0)
            if (const std::optional<Entity>& before = was[--done])
                store(document, *before);
            else
                erase(document, *edit.changes[done].after);
    };
    try {
        for (const Change& change : edit.changes) {
            verify(document, change);
            was.push_back(current(document, change.before ? *change.before : *change.after));
            putEntity(document, change, edit.kind);
            ++done;
        }
        document.nextId = std::max(nextId, edit.nextId);
        requireConsistentAfter(document, edit);
    } catch (const Problem& problem) {
        takeBack();
        refuseEdit(problem.sentence);
    } catch (const core::Error&) {
        takeBack();
        throw;
    }
}

Document apply(const Document& document, const Edit& edit)
{
    Document result = document;
    applyInPlace(result, edit);
    return result;
}

Edit reversed(const Edit& edit)
{
    Edit back{edit.label, edit.time, {}, edit.nextId, edit.kind};
    back.changes.reserve(edit.changes.size());
    for (auto change = edit.changes.rbegin(); change != edit.changes.rend(); ++change)
        back.changes.push_back({change->after, change->before});
    return back;
}

std::string contradiction(const Document& document)
{
    try {
        requireConsistent(document);
        return {};
    } catch (const Problem& problem) {
        return problem.text();
    }
}

EditBuilder::EditBuilder(const Document& document, std::string label, EditKind kind) : m_document(document)
{
    m_edit.kind = kind;
    m_edit.label = std::move(label);
    m_edit.time = timeNow();
    m_edit.nextId = document.nextId;
}

Change& EditBuilder::changeOf(const Entity& entity)
{
    const auto [touched, isNew] = m_touched.try_emplace(keyOf(entity), m_edit.changes.size());
    if (isNew)
        m_edit.changes.push_back({current(m_document, entity), std::nullopt});
    return m_edit.changes[touched->second];
}

void EditBuilder::put(const Entity& after)
{
    const Entity entity = withLearned(m_document, after, m_edit.kind);
    changeOf(entity).after = entity;
    store(m_document, entity);
}

void EditBuilder::drop(const Entity& entity)
{
    changeOf(entity).after.reset();
    erase(m_document, entity);
}

Edit EditBuilder::finish() &&
{
    std::erase_if(m_edit.changes, [](const Change& change) { return change.before == change.after; });
    try {
        requireConsistentAfter(m_document, m_edit);
    } catch (const Problem& problem) {
        refuseEdit(problem.sentence);
    }
    return std::move(m_edit);
}

} // namespace session
