#include "core/session/entity_kinds.h"
#include "core/session/field_tables.h"
#include <algorithm>
#include <cmath>
#include <iterator>
#include <unordered_map>
#include <unordered_set>

namespace session {

namespace {

std::string numbered(const char* what, std::int64_t id) { return std::string(what) + " " + std::to_string(id); }

template <class IdType>
void requireThere(const Document& document, IdType id, const Place& place, const char* what, const std::string& user)
{
    require(!id || find(document, id), place,
            [&] { return user + " refers to " + numbered(what, id.value) + ", which isn't in the session"; });
}

void checkReferences(const Document& document, const Settings& settings, const Place& place)
{
    const Place plan(place, "plan");
    requireThere(document, settings.plan.baseline, {plan, "baseline"}, "configuration", "the baseline");
    if (!settings.runSheet)
        return;
    const Place sheet(place, "runSheet");
    std::unordered_set<std::int64_t> runs;
    std::int64_t number = 0;
    forItems(settings.runSheet->lines, {sheet, "lines"}, [&](const SheetLine& line, const Place& at) {
        const std::string user = numbered("line", ++number) + " of the run sheet";
        requireThere(document, line.configuration, {at, "configuration"}, "configuration", user);
        requireThere(document, line.run, {at, "run"}, "run", user);
        require(!line.run || runs.insert(line.run.value).second, {at, "run"},
                [&] { return user + " has the run of another line"; });
    });
}

void checkReferences(const Document& document, const Clock& clock, const Place& place)
{
    forItems(clock.evidence, {place, "evidence"}, [&](const ClockEvidence& evidence, const Place& at) {
        double squares = 0;
        forItems(evidence.errorSources, {at, "errorSources"}, [&](ErrorSourceId id, const Place& source) {
            require(static_cast<bool>(id), source, [] { return std::string("an error source has no number"); });
            requireThere(document, id, source, "error source", "clock " + inQuotes(clock.name));
            squares += std::pow(find(document, id)->relativeUncertainty, 2);
        });
        // Budgets take the sources, the clock page shows the sum: they must not say different things.
        const double stated = evidence.rate.relativeUncertainty;
        require(std::abs(std::sqrt(squares) - stated) <= 1e-6 * stated + 1e-15, {at, "relativeUncertainty"}, [&] {
            return "a capture rate of clock " + inQuotes(clock.name)
                   + " states an uncertainty that isn't the root sum of squares of its error sources";
        });
    });
}

void checkReferences(const Document& document, const Capture& capture, const Place& place)
{
    const std::string user = "capture " + inQuotes(capture.name);
    requireThere(document, capture.clock, {place, "clock"}, "clock", user);
    forItems(capture.pieces, {place, "pieces"}, [&](const Piece& piece, const Place& at) {
        requireThere(document, piece.clock, {at, "clock"}, "clock", user);
    });
    requireThere(document, capture.configuration, {place, "configuration"}, "configuration", user);
    requireThere(document, capture.run, {place, "run"}, "run", user);
}

void checkReferences(const Document& document, const EarlierSession& earlier, const Place& place)
{
    requireThere(document, earlier.here, {place, "here"}, "configuration",
                 "earlier session " + inQuotes(earlier.title));
}

void checkRegion(const Capture& capture, RegionId id, RegionKind kind, const Trial& trial, const Place& place)
{
    if (!id)
        return;
    const Region* region = findRegion(capture, id);
    require(region && region->kind == kind, place, [&] {
        return numbered("trial", trial.id.value) + " refers to " + (kind == RegionKind::Lamp ? "lamp" : "screen")
               + numbered(" region", id.value) + ", which isn't in capture " + inQuotes(capture.name);
    });
}

void checkMark(const Capture& capture, const std::optional<Mark>& mark, const Trial& trial, const Place& reading,
               const char* which)
{
    if (!mark)
        return;
    const Place place(reading, which);
    require(mark->frame <= lastFrame(capture), {place, "frame"}, [&] {
        return std::string("the ") + which + " of " + numbered("trial", trial.id.value) + " is on frame "
               + std::to_string(mark->frame.value) + ", but the last frame of " + inQuotes(capture.name) + " is "
               + std::to_string(lastFrame(capture).value);
    });
}

void checkReferences(const Document& document, const Trial& trial, const Place& place)
{
    const std::string user = numbered("trial", trial.id.value);
    requireThere(document, trial.capture, {place, "capture"}, "capture", user);
    requireThere(document, trial.configuration, {place, "configuration"}, "configuration", user);
    requireThere(document, trial.run, {place, "run"}, "run", user);
    const Capture& capture = *find(document, trial.capture);
    require(!capture.lampReference, {place, "capture"}, [&] {
        return user + " is in capture " + inQuotes(capture.name) + ", which is a lamp reference and has no trials";
    });
    checkRegion(capture, trial.lamp, RegionKind::Lamp, trial, {place, "lamp"});
    checkRegion(capture, trial.screen, RegionKind::Screen, trial, {place, "screen"});
    forItems(trial.readings, {place, "readings"}, [&](const Reading& reading, const Place& at) {
        checkMark(capture, reading.press, trial, at, "press");
        checkMark(capture, reading.response, trial, at, "response");
    });
}

template <class T> void checkPositions(const Table<T>& table, const Place& place, const char* what)
{
    std::unordered_set<int> taken;
    forItems(table, place, [&](const auto& item, const Place& at) {
        const T& entity = *item.second;
        require(taken.insert(entity.position).second, {at, "position"}, [&] {
            return "two " + std::string(what) + " stand at position " + std::to_string(entity.position) + "; "
                   + inQuotes(entity.name) + " is one of them";
        });
    });
}

void checkConfigurationNames(const Document& document, const Place& place)
{
    std::unordered_set<std::string_view> taken;
    forItems(document.configurations, place, [&](const auto& item, const Place& at) {
        const std::string& name = item.second->name;
        require(taken.insert(name).second, {at, "name"}, [&] {
            return "two configurations are named " + inQuotes(name)
                   + ", so a chart couldn't tell them apart; choose another name";
        });
    });
}

/// Everything that doesn't concern single trials.
void checkSets(const Document& document, const Place& file)
{
    forKinds([&](const auto& kind) {
        checkCount((document.*kind.table).size(), 0, kind.most, kind.many, {file, kind.list});
    });
    checkPositions(document.configurations, {file, "configurations"}, "configurations");
    checkPositions(document.captures, {file, "captures"}, "captures");
    checkConfigurationNames(document, {file, "configurations"});
}

/// Calls visit(number, place) for every number given to something in it.
template <class T, class Visit> void visitNumbers(const T& entity, const Place& place, Visit visit)
{
    visit(entity.id.value, Place(place, "id"));
    const auto visitAll = [&](const auto& parts, const char* key) {
        forItems(parts, {place, key},
                 [&](const auto& part, const Place& at) { visit(part.id.value, Place(at, "id")); });
    };
    if constexpr (std::is_same_v<T, Clock>)
        visitAll(entity.evidence, "evidence");
    if constexpr (std::is_same_v<T, Capture>)
        visitAll(entity.regions, "regions");
    if constexpr (std::is_same_v<T, Trial>)
        visitAll(entity.readings, "readings");
    if constexpr (std::is_same_v<T, EarlierSession>)
        visitAll(entity.configurations, "configurations");
}

/// Calls visit(entity, place) for all things with a number.
template <class Visit> void visitEntities(const Document& document, const Place& file, Visit visit)
{
    forKinds([&](const auto& kind) {
        forItems(document.*kind.table, {file, kind.list},
                 [&](const auto& item, const Place& at) { visit(*item.second, at); });
    });
}

void requireGivenOut(std::int64_t number, const Document& document, const Place& place)
{
    require(number < document.nextId, place, [&] {
        return "number " + std::to_string(number) + " isn't below the session's next number "
               + std::to_string(document.nextId);
    });
}

void requireUnique(bool unique, std::int64_t number, const Place& place)
{
    require(unique, place,
            [&] { return "number " + std::to_string(number) + " is given to two things of the session"; });
}

void checkNextNumber(const Document& document, const Place& file)
{
    require(document.nextId >= 1 && document.nextId <= limits::number, {file, "nextId"}, [&] {
        return "the session's next number " + std::to_string(document.nextId)
               + " is out of range (1 to 9007199254740991)";
    });
}

void checkNumbers(const Document& document, const Place& file)
{
    std::unordered_set<std::int64_t> seen;
    visitEntities(document, file, [&](const auto& entity, const Place& at) {
        visitNumbers(entity, at, [&](std::int64_t number, const Place& place) {
            requireGivenOut(number, document, place);
            requireUnique(seen.insert(number).second, number, place);
        });
    });
}

/// Ascending, as often as they are there.
std::vector<std::int64_t> numbersIn(const std::optional<Entity>& entity)
{
    std::vector<std::int64_t> numbers;
    if (entity)
        std::visit(
            [&]<class T>(const T& value) {
                if constexpr (!std::is_same_v<T, Settings>)
                    visitNumbers(value, Place(), [&](std::int64_t number, const Place&) { numbers.push_back(number); });
            },
            *entity);
    std::ranges::sort(numbers);
    return numbers;
}

/// Numbers that the edit brings into a thing must not be there already; all others were unique before it.
void checkNewNumbers(const Document& document, const Edit& edit, const Place& file)
{
    std::unordered_map<std::int64_t, int> introduced; // to how often they were seen
    for (const Change& change : edit.changes) {
        const auto before = numbersIn(change.before), after = numbersIn(change.after);
        std::vector<std::int64_t> added;
        std::ranges::set_difference(after, before, std::back_inserter(added));
        for (const std::int64_t number : added)
            introduced.emplace(number, 0);
    }
    if (introduced.empty())
        return;
    visitEntities(document, file, [&](const auto& entity, const Place& at) {
        visitNumbers(entity, at, [&](std::int64_t number, const Place& place) {
            const auto found = introduced.find(number);
            if (found == introduced.end())
                return;
            requireGivenOut(number, document, place);
            requireUnique(++found->second == 1, number, place);
        });
    });
}

template <class T> std::size_t indexOf(const Document& document, decltype(T::id) id)
{
    const Table<T>& table = tableOf<T>(document);
    return static_cast<std::size_t>(std::distance(table.begin(), table.find(id)));
}

void requireAllReferences(const Document& document, const Place& file)
{
    checkReferences(document, document.settings, {file, "settings"});
    visitEntities(document, file, [&]<class T>(const T& entity, const Place& at) {
        if constexpr (requires { checkReferences(document, entity, at); })
            checkReferences(document, entity, at);
    });
}

} // namespace

void requireConsistent(const Document& document)
{
    const Place file;
    checkNextNumber(document, file);
    checkFields(document.settings, {file, "settings"});
    visitEntities(document, file, [](const auto& entity, const Place& at) { checkFields(entity, at); });
    checkSets(document, file);
    checkNumbers(document, file);
    requireAllReferences(document, file);
}

void requireConsistentAfter(const Document& document, const Edit& edit)
{
    const Place file;
    checkNextNumber(document, file);
    bool trialsOnly = true; // or settings, to which nothing refers
    for (const Change& change : edit.changes) {
        const Entity& entity = change.after ? *change.after : *change.before;
        trialsOnly = trialsOnly && (std::holds_alternative<Trial>(entity) || std::holds_alternative<Settings>(entity));
        if (!change.after)
            continue;
        std::visit(
            [&]<class T>(const T& value) {
                if constexpr (std::is_same_v<T, Settings>) {
                    checkFields(value, {file, "settings"});
                    checkReferences(document, value, {file, "settings"});
                } else {
                    const Place list(file, kindOf<T>().list);
                    const Place at(list, indexOf<T>(document, value.id));
                    checkFields(value, at);
                    if constexpr (std::is_same_v<T, Trial>)
                        checkReferences(document, value, at);
                }
            },
            entity);
    }
    checkNewNumbers(document, edit, file);
    if (trialsOnly)
        checkCount(document.trials.size(), 0, limits::trials, "trials", {file, "trials"});
    else {
        checkSets(document, file);
        requireAllReferences(document, file);
    }
}

} // namespace session
