#include "core/report/method_note.h"
#include "core/report/agreement_words.h"
#include "core/report/results_json.h"
#include "core/report/tables.h"
#include "small_session.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <catch2/catch.hpp>
#include <cmath>

using Catch::Contains;
using Catch::WithinRel;

namespace {

/// Reads a trial again, with both marks moved.
void readAgain(small::Session& s, session::TrialId id, const std::string& reader, int pressMoved, int responseMoved,
               bool blind = false)
{
    session::Trial trial = *find(s.document, id);
    session::Reading second = trial.readings.front();
    second.id = session::ReadingId{s.document.nextId++};
    second.reader = reader;
    second.blind = blind;
    second.press->frame.value += pressMoved;
    second.response->frame.value += responseMoved;
    trial.readings.push_back(second);
    small::put(s.document, trial);
}

std::vector<session::TrialId> readOf(const small::Session& s, session::CaptureId capture)
{
    std::vector<session::TrialId> ids;
    for (const session::Trial* trial : trialsOf(s.document, capture))
        if (!trial->reject && trial->readings.front().response)
            ids.push_back(trial->id);
    return ids;
}

analysis::ReadingAgreement of(const small::Session& s)
{
    return analysis::readingAgreement(s.document, analysis::compute(s.document));
}

std::string text(const small::Session& s)
{
    std::string all;
    for (const std::string& sentence : report::agreementSentences(s.document, analysis::compute(s.document)))
        all += sentence + '\n';
    return all;
}

} // namespace

TEST_CASE("a session read once has no agreement and nothing to settle", "[report]")
{
    const small::Session s = small::session();
    const analysis::ReadingAgreement agreement = of(s);
    CHECK(agreement.readAgain == 0);
    CHECK(agreement.pairs.empty());
    CHECK(agreement.toSettle.empty());
    CHECK(text(s) == "No trial was read a second time.\n");
    CHECK(text({}) == "No trial was read a second time.\n");
}

TEST_CASE("readings are compared within a reader and between readers", "[report]")
{
    small::Session s = small::session();
    const auto wired = readOf(s, s.wiredCapture); // 1000 camera frames a second, five trials
    REQUIRE(wired.size() == 5);
    const int late[] = {1, 0, 1, 2, 1};
    for (std::size_t i = 0; i < 5; ++i)
        readAgain(s, wired[i], "R. Two", 0, late[i], true);
    readAgain(s, wired[0], "R. One", 1, 0);

    const analysis::ReadingAgreement agreement = of(s);
    CHECK(agreement.readAgain == 5);
    CHECK(agreement.readAgainBlind == 5);
    CHECK(agreement.first.equal == 1);
    CHECK(agreement.first.withinOne == 4);
    REQUIRE(agreement.pairs.size() == 2);
    CHECK(agreement.pairs[0].first == "R. One");
    CHECK(agreement.pairs[0].second == "R. One");
    CHECK(agreement.pairs[0].count.n == 1);
    CHECK(agreement.pairs[0].count.bias == -1); // press a frame later, the same response
    CHECK(agreement.pairs[0].blind == 0);
    CHECK(agreement.pairs[1].second == "R. Two");
    CHECK(agreement.pairs[1].blind == 5);
    CHECK(agreement.pairs[1].count.bias == 1);
    CHECK(agreement.pairs[1].press.bias == 0);
    CHECK(agreement.pairs[1].response.bias == 1);
    CHECK_THAT(agreement.pairs[1].count.spread->sd, WithinRel(std::sqrt(0.5), 1e-14)); // by hand; rounding of a root

    // 1 ms a camera frame: sqrt((1 + 0 + 1 + 4 + 1) / 10)
    CHECK(agreement.inMs == 5);
    CHECK_THAT(agreement.readingSdMs, WithinRel(std::sqrt(0.7), 1e-12)); // times come from a rate
    REQUIRE(agreement.trialSdMs);

    CHECK_THAT(
        text(s),
        Contains(
            "5 trials were read a second time, 5 of them blind: 1 with the same count, 4 within one camera frame.\n"));
    CHECK_THAT(text(s), Contains("R. One, own readings: 1 trial, 0 blind; 0 with the same count, 1 within one camera "
                                 "frame; fewer than 5 tell no more.\n"));
    CHECK_THAT(text(s), Contains("R. Two less R. One, camera frames at 95 %: count +1.00 (+0.12 to +1.88), press 0 "
                                 "each time, response +1.00"));
    CHECK_THAT(text(s), Contains("One reading scatters by 0.84 ms (SD, from 5 trials read again)"));
}

TEST_CASE("trials whose readings differ wait to be settled, by name, until one is chosen", "[report]")
{
    small::Session s = small::session();
    const auto hub = readOf(s, s.hubCapture);
    readAgain(s, hub[0], "R. Two", 0, 2);
    readAgain(s, hub[1], "R. Two", 1, 1);
    readAgain(s, hub[2], "R. Two", 0, 0);
    auto noReaction = *find(s.document, hub[3]);
    session::Reading none = noReaction.readings.front();
    none.id = session::ReadingId{s.document.nextId++};
    none.response.reset();
    none.noReaction = true;
    noReaction.readings.push_back(none);
    small::put(s.document, noReaction);

    const analysis::ReadingAgreement agreement = of(s);
    CHECK(agreement.reactionDiffers == 1);
    REQUIRE(agreement.toSettle.size() == 3);
    CHECK(agreement.toSettle[0].trial == hub[0]);
    CHECK(agreement.toSettle[0].why == "counts 16 and 18");
    CHECK(agreement.toSettle[1].why == "the same count from different frames");
    CHECK(agreement.toSettle[2].why == "counts 16 and no reaction");
    CHECK_THAT(text(s),
               Contains("To settle by looking again: trial 1 of hub.mp4 (counts 16 and 18), trial 2 of hub.mp4"));

    session::Trial chosen = *find(s.document, hub[0]);
    chosen.settled = chosen.readings.back().id;
    small::put(s.document, chosen);
    CHECK(of(s).toSettle.size() == 2);

    session::Trial sure = *find(s.document, hub[4]);
    sure.readings.front().doubtful = true;
    small::put(s.document, sure);
    CHECK(of(s).toSettle.back().why == "not sure of a mark");
}

TEST_CASE("rejected trials and half-done readings don't enter agreement", "[report]")
{
    small::Session s = small::session();
    readAgain(s, s.rejected, "R. Two", 0, 5);
    const auto wired = readOf(s, s.wiredCapture);
    readAgain(s, wired[0], "R. Two", 0, 5);
    session::Trial half = *find(s.document, wired[0]);
    half.readings.back().accepted = false;
    small::put(s.document, half);
    CHECK(of(s).readAgain == 0);
}

TEST_CASE("readings that agree to the frame show no scatter, and say from how many", "[report]")
{
    small::Session s = small::session();
    for (const session::TrialId id : readOf(s, s.wiredCapture))
        readAgain(s, id, "R. One", 0, 0);
    CHECK_THAT(text(s), Contains("count 0 each time, press 0 each time, response 0 each time."));
    CHECK_THAT(text(s), Contains("Reading adds no scatter that 5 trials read again could show.\n"));
}

TEST_CASE("agreement stands in the method note, on the terminal and in the JSON", "[report]")
{
    small::Session s = small::session();
    const analysis::Results once = analysis::compute(s.document);
    CHECK_THAT(report::resultsText(s.document, once), !Contains("Readings:"));

    const auto wired = readOf(s, s.wiredCapture);
    readAgain(s, wired[0], "R. Two", 0, 3, true);
    const analysis::Results results = analysis::compute(s.document);
    const std::string sentence = "To settle by looking again: trial 1 of wired.mp4 (counts 30 and 33).\n";
    CHECK_THAT(report::resultsText(s.document, results),
               Contains("\nReadings:\n  1 trial was read a second time, 1 of them blind"));
    CHECK_THAT(report::resultsText(s.document, results), Contains("  " + sentence));
    CHECK_THAT(report::methodNote(s.document, results, "1.2.3"), Contains(sentence));

    const QJsonObject readings =
        QJsonDocument::fromJson(report::resultsJson(s.document, results, "1.2.3")).object()["readings"].toObject();
    CHECK(readings["readAgain"].toInt() == 1);
    CHECK(readings["toSettle"].toArray().at(0).toObject()["why"].toString() == "counts 30 and 33");
    const QJsonObject pair = readings["pairs"].toArray().at(0).toObject();
    CHECK(pair["second"].toString() == "R. Two");
    CHECK(pair["count"].toObject()["bias"].toDouble() == 3);
    CHECK(pair["count"].toObject()["sd"].isNull()); // one pair has none
}
