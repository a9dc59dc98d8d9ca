#pragma once // not public: the kinds of things in a session, one line each
#include "core/session/edit.h"
#include "core/session/limits.h"
#include <tuple>

namespace session {

template <class T> struct EntityKind {
    const char* list; ///< in the file
    const char* one;  ///< in sentences
    const char* many;
    std::size_t most;
    Table<T> Document::*table;
    /// Texts of earlier times lack the list of such things.
    static constexpr bool isNew = std::is_same_v<T, Publication> || std::is_same_v<T, EarlierSession>;
};

/// In the order of the alternatives of Entity, after Settings.
inline constexpr std::tuple tableKinds{
    EntityKind<Configuration>{"configurations", "configuration", "configurations", limits::configurations,
                              &Document::configurations},
    EntityKind<Run>{"runs", "run", "runs", limits::runs, &Document::runs},
    EntityKind<ErrorSource>{"errorSources", "error source", "error sources", limits::errorSources,
                            &Document::errorSources},
    EntityKind<Clock>{"clocks", "clock", "clocks", limits::clocks, &Document::clocks},
    EntityKind<Capture>{"captures", "capture", "captures", limits::captures, &Document::captures},
    EntityKind<Trial>{"trials", "trial", "trials", limits::trials, &Document::trials},
    EntityKind<Publication>{"publications", "publication", "publications", limits::publications,
                            &Document::publications},
    EntityKind<EarlierSession>{"earlierSessions", "earlier session", "earlier sessions", limits::earlierSessions,
                               &Document::earlierSessions},
};

/// Names of the alternatives of Entity in the file.
inline constexpr const char* entityKinds[] = {"settings", "configuration", "run",         "errorSource",   "clock",
                                              "capture",  "trial",         "publication", "earlierSession"};
static_assert(std::size(entityKinds) == std::variant_size_v<Entity>);
static_assert(std::tuple_size_v<decltype(tableKinds)> + 1 == std::variant_size_v<Entity>);

template <class T> constexpr const EntityKind<T>& kindOf() { return std::get<EntityKind<T>>(tableKinds); }
template <class T> const Table<T>& tableOf(const Document& document) { return document.*kindOf<T>().table; }
template <class T> Table<T>& tableOf(Document& document) { return document.*kindOf<T>().table; }

/// 0 for the settings.
inline std::int64_t numberOf(const Settings&) { return 0; }
template <class T> std::int64_t numberOf(const T& thing) { return thing.id.value; }
/// The thing of that kind and number as the document has it; null when it isn't there.
inline const Settings* thingIn(const Document& document, const Settings&) { return &document.settings; }
template <class T> const T* thingIn(const Document& document, const T& like) { return find(document, like.id); }

/// visit(kind) for every kind with a table.
template <class Visit> void forKinds(Visit visit)
{
    std::apply([&](const auto&... kind) { (visit(kind), ...); }, tableKinds);
}

} // namespace session
