// The states of a capture's footage: every way between two of them is in the table, or refused.
#include "ui/footage/known_footage.h"
#include <algorithm>
#include <catch2/catch.hpp>
#include <set>
#include <utility>

using State = ui::FootageState;

namespace {

constexpr State allStates[] = {State::Found,  State::Scanned, State::Viewable, State::Confirmed,
                               State::Absent, State::Changed, State::Failed};

/// The table of known_footage.h.
const std::set<std::pair<State, State>> table{
    {State::Found, State::Scanned},      {State::Found, State::Absent},      {State::Found, State::Failed},
    {State::Scanned, State::Viewable},   {State::Scanned, State::Confirmed}, {State::Scanned, State::Changed},
    {State::Viewable, State::Confirmed}, {State::Viewable, State::Scanned},  {State::Viewable, State::Changed},
    {State::Confirmed, State::Scanned},  {State::Confirmed, State::Changed}, {State::Changed, State::Scanned},
    {State::Scanned, State::Found},      {State::Viewable, State::Found},    {State::Confirmed, State::Found},
    {State::Absent, State::Found},       {State::Changed, State::Found},     {State::Failed, State::Found},
};

/// One in that state, by the shortest way.
ui::KnownFootage in(State state)
{
    ui::KnownFootage known(QStringLiteral("/films/run.mp4"), {}, 1);
    if (state == State::Found)
        return known;
    if (state == State::Absent || state == State::Failed) {
        known.become(state, QStringLiteral("There is no such file."));
        return known;
    }
    known.become(State::Scanned);
    if (state != State::Scanned)
        known.become(state);
    return known;
}

} // namespace

TEST_CASE("footage passes from state to state as the table says, and in no other way", "[known]")
{
    for (const State from : allStates)
        for (const State to : allStates) {
            CAPTURE(int(from), int(to));
            CHECK(ui::KnownFootage::mayBecome(from, to) == table.contains({from, to}));
        }
}

TEST_CASE("every way of the table can be gone, with the sentence that belongs to it", "[known]")
{
    for (const auto& [from, to] : table) {
        CAPTURE(int(from), int(to));
        ui::KnownFootage known = in(from);
        REQUIRE(known.state() == from);
        if (to == State::Found) {
            known.inSession.isComparing = true;
            known.progress = 1;
            known.openAnew({{}, 2}, 7);
            CHECK(known.source.stream == 2);
            CHECK(known.serial == 7);
            CHECK(known.progress == 0); // nothing is known of it any more
            CHECK_FALSE(known.inSession.isComparing);
        } else {
            known.become(to, QStringLiteral("because"));
            CHECK(known.sentence == QStringLiteral("because"));
        }
        CHECK(known.state() == to);
        CHECK(known.path == QStringLiteral("/films/run.mp4"));
    }
}

TEST_CASE("every state can be come to and gone from", "[known]")
{
    for (const State state : allStates) {
        CAPTURE(int(state));
        CHECK(std::any_of(table.begin(), table.end(), [&](const auto& way) { return way.first == state; }));
        CHECK(std::any_of(table.begin(), table.end(), [&](const auto& way) { return way.second == state; }));
    }
}
