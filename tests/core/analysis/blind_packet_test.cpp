#include "core/analysis/blind_packet.h"
#include "core/error.h"
#include "core/analysis/blind_reading.h"
#include "core/session/file_format.h"
#include "small_session.h"

#include "tests/core/session/refusals.h"
#include <catch2/catch.hpp>
#include <QByteArray>
#include <map>
#include <set>

using Catch::Contains;
using namespace analysis;

namespace {

const std::string token(32, 'a');

/// Two configurations with 30 trials each, filmed in two captures with checksums; one trial rejected.
session::Document readOnce()
{
    small::Builder made;
    const auto wired = made.configuration("Wired pedal"), radio = made.configuration("Secret radio");
    const auto clock = made.clock("camera", 1000, {made.source("rate", 1e-4)});
    for (const auto id : {wired, radio}) {
        const auto run = made.run(id == wired ? "wired run" : "secret run");
        const auto capture = made.capture(id == wired ? "wired_1" : "secret_1", clock);
        session::Capture with = *find(made.document, capture);
        with.sha256 = std::string(64, id == wired ? '1' : '2');
        with.frames = {40'000};
        made.put(with);
        for (int i = 0; i < 30; ++i)
            made.trial(capture, id, run, 500 + 1000 * i, 500 + 1000 * i + (id == wired ? 31 : 47) + i % 3);
    }
    made.document.settings.plan.baseline = wired;
    made.document.settings.reader = "R. One";
    return made.document;
}

session::Mark markAt(std::int64_t frame)
{
    return {frame, std::string(31, 'c') + static_cast<char>('0' + frame % 10), {}};
}

/// A packet whose trials are read by "B. Two": `off` camera frames later than the first reading.
struct Sent {
    session::Document document, packet;

    explicit Sent(int off = 1, std::size_t read = 1000)
    {
        document = readOnce();
        const BlindPacket made = blindPacket(document, 0.4, 9, token);
        document = apply(document, handOutPacket(document, made.record));
        packet = made.document;
        packet.settings.reader = "B. Two";
        for (std::size_t i = 0; i < packet.settings.reread->places.size() && i < read; ++i) {
            const session::TrialId trial = packet.settings.reread->places[i].trial;
            const session::Reading& first = find(document, made.record.trials[i])->readings.front();
            packet = apply(packet, markBlind(packet, trial, session::MarkKind::Press,
                                             markAt(first.press->frame.value + off), "zoom 2"));
            packet = apply(packet, markBlind(packet, trial, session::MarkKind::Response,
                                             markAt(first.response->frame.value + off), "zoom 2"));
            packet = apply(packet, acceptReading(packet, trial, find(packet, trial)->readings.front().id));
        }
    }
};

std::string refused(const session::Document& document, const session::Document& packet)
{
    const auto error = errorOf([&] { incomingReadings(document, packet); });
    return error ? error->what() : std::string();
}

} // namespace

TEST_CASE("a blind reading draws at least a share and twenty, evenly from the configurations", "[report]")
{
    const session::Document document = readOnce();
    CHECK(rereadCount(0.1, 60) == 20);
    CHECK(rereadCount(0.5, 60) == 30);
    CHECK(rereadCount(0.1, 12) == 12);
    CHECK(rereadCount(0.1, 201) == 21);
    const session::Reread drawn = drawReread(document, 0.4, 5);
    REQUIRE(drawn.places.size() == 24);
    std::map<session::ConfigurationId, int> of;
    std::set<session::TrialId> trials;
    for (const session::RereadPlace& place : drawn.places) {
        ++of[find(document, place.trial)->configuration];
        trials.insert(place.trial);
    }
    CHECK(trials.size() == 24);
    for (const auto& [id, count] : of)
        CHECK(count == 12);
    CHECK(drawReread(document, 0.4, 5) == drawn);
    CHECK_FALSE(drawReread(document, 0.4, 6) == drawn);
    CHECK_FALSE(std::ranges::is_sorted(drawn.places, {}, &session::RereadPlace::trial)); // 1 in 24! by chance
    CHECK(rereadProblem({}).find("read and accept") != std::string::npos);
}

TEST_CASE("the frames shown hold the trial and don't give the press away", "[report]")
{
    const session::Document document = readOnce();
    std::set<std::int64_t> places, lengths;
    for (const session::RereadPlace& place : drawReread(document, 1, 11).places) {
        const session::Reading& reading = find(document, place.trial)->readings.front();
        CHECK(place.first <= reading.press->frame - timing::FrameCount{24});
        CHECK(place.last >= reading.response->frame);
        places.insert((reading.press->frame - place.first).value);
        lengths.insert((place.last - place.first).value);
    }
    CHECK(lengths.size() == 1);
    CHECK(places.size() > 20); // of 60 draws among 60 places about 38 differ
}

TEST_CASE("what is shown of a trial ends before the next press", "[report]")
{
    small::Builder made;
    const auto wired = made.configuration("wired");
    const auto clock = made.clock("camera", 1000, {made.source("rate", 1e-4)});
    made.trials(made.capture("close", clock), wired, {}, {30, 30, 30, 30, 30, 30}); // 100 camera frames apart
    for (const session::RereadPlace& place : drawReread(made.document, 1, 3).places) {
        const session::Reading& reading = find(made.document, place.trial)->readings.front();
        for (const auto& [id, other] : made.document.trials)
            if (id != place.trial)
                CHECK((other->readings.front().press->frame < place.first
                       || other->readings.front().press->frame > place.last));
        CHECK(place.first <= reading.press->frame);
        CHECK(place.last >= reading.response->frame);
    }
}

TEST_CASE("a packet holds no marks, names, delays or order", "[report]")
{
    const session::Document document = readOnce();
    const BlindPacket packet = blindPacket(document, 0.4, 9, token);
    CHECK(contradiction(packet.document) == "");
    CHECK(packet.document.configurations.empty());
    CHECK(packet.document.runs.empty());
    CHECK(packet.document.clocks.empty());
    REQUIRE(packet.document.trials.size() == 24);
    for (const auto& [id, trial] : packet.document.trials) {
        CHECK(trial->readings.empty());
        CHECK_FALSE(trial->configuration);
    }
    const std::string written = session::toJson(packet.document).toStdString();
    for (const char* secret : {"radio", "Wired", "wired", "secret", "R. One", "pressFrame"})
        CHECK(written.find(secret) == std::string::npos);
    CHECK(packet.document.settings.reread->packet == token);
    CHECK(packet.record.trials.size() == 24);
    CHECK(session::fromJson(session::toJson(packet.document)) == packet.document);
}

TEST_CASE("readings of a packet find their trials again", "[report]")
{
    const Sent sent;
    const IncomingReadings incoming = incomingReadings(sent.document, sent.packet);
    CHECK(incoming.reader == "B. Two");
    CHECK(incoming.refused.empty());
    CHECK(incoming.notRead == 0);
    REQUIRE(incoming.readings.size() == 24);
    CHECK(incoming.pictures.size() == 48);
    const session::Document after =
        apply(sent.document, bringInReadings(sent.document, incoming.readings, incoming.reader));
    for (const session::BroughtIn& one : incoming.readings) {
        const session::Trial& trial = *find(after, one.trial);
        REQUIRE(trial.readings.size() == 2);
        CHECK(trial.readings[1].press->frame == trial.readings[0].press->frame + timing::FrameCount{1});
        CHECK(trial.readings[1].response->frame == trial.readings[0].response->frame + timing::FrameCount{1});
        CHECK(trial.readings[1].reader == "B. Two");
        CHECK(trial.readings[1].blind);
    }
    const IncomingReadings again = incomingReadings(after, sent.packet);
    CHECK(again.readings.empty());
    CHECK(again.alreadyHere == 24);
}

TEST_CASE("what isn't read yet stays out, and what the reader rejects is told", "[report]")
{
    Sent sent(1, 5);
    const session::TrialId last = sent.packet.settings.reread->places.back().trial;
    sent.packet = apply(sent.packet, rejectTrial(sent.packet, last, session::RejectReason::Torn, ""));
    const IncomingReadings incoming = incomingReadings(sent.document, sent.packet);
    CHECK(incoming.readings.size() == 5);
    CHECK(incoming.notRead == 19);
    REQUIRE(incoming.notes.size() == 1);
    CHECK_THAT(incoming.notes.front(), Catch::StartsWith("The reader rejects trial ") && Contains("torn"));

    // It is the analyst's to take over, by one edit that undo takes back.
    REQUIRE(incoming.rejects.size() == 1);
    const session::Edit edit = session::takeRejects(sent.document, incoming.rejects, incoming.reader);
    CHECK(edit.label == "reject 1 trial as B. Two does");
    const session::Document after = apply(sent.document, edit);
    const auto& reject = find(after, incoming.rejects.front().trial)->reject;
    REQUIRE(reject);
    CHECK(reject->reason == session::RejectReason::Torn);
    CHECK(reject->note == "read blind by B. Two");
    CHECK(apply(after, reversed(edit)) == sent.document);
    CHECK(incomingReadings(after, sent.packet).rejects.empty());
}

TEST_CASE("readings that don't fit are refused with a sentence each", "[report]")
{
    Sent sent;
    CHECK_THAT(refused(sent.document, sent.document), Contains("isn't a blind packet"));
    session::Document stranger = sent.packet;
    stranger.settings.reread->packet = std::string(32, 'b');
    CHECK_THAT(refused(sent.document, stranger), Contains("wasn't handed out by this session"));
    session::Document shorter = sent.packet;
    shorter.settings.reread->places.pop_back();
    CHECK_THAT(refused(sent.document, shorter), Contains("was changed: it has 23 trials, and 24 were handed out"));

    session::Document exchanged = sent.packet;
    session::Capture other = *exchanged.captures.begin()->second;
    other.sha256 = std::string(64, '9');
    exchanged.captures[other.id] = std::make_shared<const session::Capture>(other);
    IncomingReadings incoming = incomingReadings(sent.document, exchanged);
    CHECK(incoming.readings.size() == 12);
    REQUIRE(incoming.refused.size() == 12);
    CHECK_THAT(incoming.refused.front(),
               Contains("of the packet wasn't brought in: its footage has another checksum than"));

    session::Document nameless = sent.packet;
    session::Trial trial = *nameless.trials.begin()->second;
    trial.readings.front().reader.clear();
    nameless.trials[trial.id] = std::make_shared<const session::Trial>(trial);
    incoming = incomingReadings(sent.document, nameless);
    CHECK(incoming.readings.size() == 23);
    REQUIRE(incoming.refused.size() == 1);
    CHECK_THAT(incoming.refused.front(), Contains("no reader's name"));

    session::Document gone = sent.document;
    gone.trials.erase(gone.settings.packets.front().trials.front());
    incoming = incomingReadings(gone, sent.packet);
    CHECK(incoming.readings.size() == 23);
    REQUIRE(incoming.refused.size() == 1);
    CHECK(incoming.refused.front() == "Trial 1 of the packet wasn't brought in: its trial has gone from this session.");

    const Sent same(0); // on the very frames of the first reading, with other pictures
    incoming = incomingReadings(same.document, same.packet);
    CHECK(incoming.readings.empty());
    REQUIRE(incoming.refused.size() == 24);
    CHECK_THAT(incoming.refused.front(), Contains("shows another picture there than here"));
}

TEST_CASE("readings taken out later leave the rest", "[report]")
{
    const Sent sent;
    IncomingReadings incoming = incomingReadings(sent.document, sent.packet);
    const session::TrialId first = incoming.readings[1].trial;
    refuseReadings(incoming, {{0, "the first"}, {0, "twice"}, {2, "the third"}});
    CHECK(incoming.readings.size() == 22);
    CHECK(incoming.readings.front().trial == first);
    CHECK(incoming.refused == std::vector<std::string>{"the first", "the third"});
}

TEST_CASE("a blind reading goes from place to place", "[report]")
{
    Sent sent(1, 3);
    const RereadState state = rereadState(sent.packet);
    CHECK(state.total == 24);
    CHECK(state.done == 3);
    CHECK(state.next == std::size_t{3});
    CHECK(nextPlace(sent.packet, 23) == std::size_t{23});
    CHECK(nextPlace(sent.packet, 1) == std::size_t{3});
    const Sent all;
    CHECK_FALSE(nextPlace(all.packet, 0));
    CHECK_FALSE(rereadState(all.packet).next);
}
