#include "core/report/session_check.h"
#include "core/error.h"
#include "core/analysis/figures.h"
#include "core/report/capture_words.h"
#include "core/analysis/results.h"
#include "core/analysis/phrases.h"
#include "core/session/place.h"

#include <algorithm>
#include <cassert>
#include <map>
#include <set>

namespace report {
namespace {

using Findings = std::vector<Finding>;

std::string placeOf(const session::Capture& capture) { return "capture " + session::inQuotes(capture.name); }
std::string placeOf(const session::Clock& clock) { return "clock " + session::inQuotes(clock.name); }
std::string placeOf(const session::Configuration& configuration)
{
    return "configuration " + session::inQuotes(configuration.name);
}

void checkFootage(Findings& findings, const session::Capture& capture, const FootageFacts* facts)
{
    const auto add = [&](Severity severity, std::string sentence) {
        findings.push_back({severity, placeOf(capture), std::move(sentence)});
    };
    if (capture.sha256.empty())
        add(Severity::Undone, "The session holds no checksum of its footage yet; open the session and let it finish.");
    if (!facts)
        return add(Severity::Notice, "Its footage wasn't looked at.");
    if (!facts->found)
        return add(Severity::AtOdds,
                   "Its footage isn't at " + session::inQuotes(capture.path) + "; put it back or relink the capture.");
    if (!facts->problem.empty())
        return add(Severity::AtOdds, session::asSentence(facts->problem));
    if (facts->sha256.empty() && !capture.sha256.empty())
        add(Severity::Notice, "The checksum of its footage wasn't compared.");
    if (!facts->sha256.empty() && !capture.sha256.empty() && facts->sha256 != capture.sha256)
        add(Severity::AtOdds, "Its footage isn't the file it was marked in: the checksum is "
                                  + facts->sha256.substr(0, 12) + "…, not " + capture.sha256.substr(0, 12)
                                  + "…; find the original and relink the capture.");
}

void checkCaptures(Findings& findings, const session::Document& document, const std::vector<FootageFacts>& facts,
                   const analysis::Results& results)
{
    std::set<session::CaptureId> read;
    for (const analysis::TrialOutcome& outcome : results.trials)
        read.insert(outcome.capture);
    for (const session::Capture* capture : inOrder(document.captures)) {
        const auto found = std::ranges::find(facts, capture->id, &FootageFacts::capture);
        checkFootage(findings, *capture, found == facts.end() ? nullptr : &*found);
        const auto add = [&](Severity severity, std::string sentence) {
            findings.push_back({severity, placeOf(*capture), std::move(sentence)});
        };
        const Severity severity = read.contains(capture->id) ? Severity::Undone : Severity::Notice;
        if (clocksOf(*capture).empty())
            add(severity, "It has no clock, so its trials have no ms; give it one.");
        if (capture->pictures && timing::isPattern(capture->pictures->verdict))
            add(Severity::Notice, pictureWords(*capture->pictures, std::nullopt));
        if (!capture->pieces.empty())
            add(Severity::Notice,
                "It is in pieces of different speed: " + analysis::listed(pieceWords(document, *capture)) + ".");
        if (!firstRegion(*capture, session::RegionKind::Lamp))
            add(severity, "It has no lamp region; draw one.");
        if (!firstRegion(*capture, session::RegionKind::Screen))
            add(severity, "It has no screen region; draw one.");
        if (!read.contains(capture->id) && !capture->lampReference)
            add(Severity::Notice, "No trial is read in it.");
        if (const std::size_t unread = unreadPresses(document, capture->id).size(); unread > 0)
            add(Severity::Undone, "It proposes " + analysis::counted(unread, "press", "presses")
                                      + " that nobody has read; read or drop them on the reading desk.");
        for (const std::string& note : capture->notes)
            add(Severity::Notice, session::asSentence(note));
    }
}

void checkClocks(Findings& findings, const session::Document& document)
{
    std::set<session::ClockId> used;
    for (const auto& [id, capture] : document.captures)
        for (const session::ClockId clock : clocksOf(*capture))
            used.insert(clock);
    for (const auto& [id, clock] : document.clocks) {
        if (!used.contains(id))
            continue;
        const auto add = [&](std::string sentence) {
            findings.push_back({Severity::Undone, placeOf(*clock), std::move(sentence)});
        };
        switch (stateOf(*clock)) {
        case session::ClockState::Settled: break;
        case session::ClockState::Unknown:
            add("Nothing is known of its capture rate; declare it and settle the clock.");
            break;
        case session::ClockState::Proposed:
            add("It isn't settled; " + analysis::rateText(proposedEvidence(*clock)->rate)
                + " camera frames a second is proposed.");
            break;
        case session::ClockState::InDispute:
            add("It isn't settled: its evidence is in dispute; decide which holds.");
            break;
        }
    }
}

void checkTrials(Findings& findings, const session::Document& document, const analysis::Results& results)
{
    for (const analysis::TrialOutcome& outcome : results.trials) {
        const session::Trial& trial = *find(document, outcome.trial);
        const std::string where = session::trialName(document, trial.id);
        const auto add = [&](Severity severity, std::string sentence) {
            findings.push_back({severity, where, std::move(sentence)});
        };
        if (outcome.state == analysis::TrialState::NotRead || outcome.state == analysis::TrialState::Untagged
            || outcome.state == analysis::TrialState::NoDelay)
            add(Severity::Undone, outcome.sentence);
        if (outcome.state == analysis::TrialState::Rejected)
            continue;
        if (outcome.open)
            add(Severity::Undone, "Its readings differ and none is chosen; choose one at the reading desk.");
        if (!trial.lamp || !trial.screen)
            add(Severity::Undone,
                std::string("It has no ") + (trial.lamp ? "screen" : "lamp") + " region; choose one.");
        if (outcome.doubtful)
            add(Severity::Notice, "The reader wasn't sure of a mark.");
        if (!trial.run)
            add(Severity::Notice, "Its run isn't known.");
    }
}

/// Whether each crop is there, asked once; a crop that can't be trusted says why.
class CropChecks {
public:
    explicit CropChecks(const std::function<bool(const std::string&)>& cropIsThere) : m_cropIsThere(cropIsThere) {}

    /// Empty where the crop is as it should be.
    const std::string& problemOf(const std::string& sha256)
    {
        const auto [known, isNew] = m_problems.try_emplace(sha256);
        if (!isNew)
            return known->second;
        try {
            if (!m_cropIsThere(sha256))
                known->second = "missing";
        } catch (const core::Error& error) { // becomes a finding, like everything else that is wrong with evidence
            known->second = error.what();
        }
        return known->second;
    }

private:
    const std::function<bool(const std::string&)>& m_cropIsThere;
    std::map<std::string, std::string> m_problems;
};

void checkEvidence(Findings& findings, const session::Document& document, CropChecks& crops)
{
    for (const auto& [id, trial] : document.trials) {
        const auto add = [&](Severity severity, std::string sentence) {
            findings.push_back({severity, session::trialName(document, id), std::move(sentence)});
        };
        int missing = 0;
        int bare = 0;
        for (const session::Reading& reading : trial->readings)
            for (const std::optional<session::Mark>* mark : {&reading.press, &reading.response}) {
                if (!*mark)
                    continue;
                const session::Crops& kept = (*mark)->crops;
                bare += (*mark)->pictureHash.empty() || (trial->lamp && kept.lampAt.empty())
                        || (trial->screen && kept.screenAt.empty());
                for (const std::string* crop : {&kept.lampBefore, &kept.lampAt, &kept.screenBefore, &kept.screenAt}) {
                    const std::string& problem = crop->empty() ? *crop : crops.problemOf(*crop);
                    if (problem == "missing")
                        ++missing;
                    else if (!problem.empty())
                        add(Severity::AtOdds, session::asSentence(problem));
                }
            }
        if (missing > 0)
            add(Severity::AtOdds, analysis::counted(missing, "crop of its marks isn't", "crops of its marks aren't")
                                      + " in the session; restore it from a copy that has it.");
        if (bare > 0)
            add(Severity::Notice,
                analysis::counted(bare, "mark keeps", "marks keep") + " no picture evidence; mark again to add it.");
    }
}

void checkPlan(Findings& findings, const session::Document& document, const analysis::Results& results)
{
    const auto notice = [&](const std::string& place, std::string sentence) {
        findings.push_back({Severity::Notice, place, std::move(sentence)});
    };
    if (results.configurations.size() > 1 && !results.baseline)
        notice("session", "No baseline is chosen, so nothing is compared.");
    if (results.baseline && !results.marginMs)
        notice("session", "No margin is set, so nothing can be called the same.");
    for (const analysis::ConfigurationResult& result : results.configurations) {
        const std::string place = placeOf(*find(document, result.configuration));
        if (result.trials == 0)
            findings.push_back({Severity::Undone, place, "It has no trials yet."});
        else if (result.planned && result.n < *result.planned)
            notice(place, std::to_string(result.n) + " of " + std::to_string(*result.planned)
                              + " planned trials count; its comparisons are interim.");
    }
}

} // namespace

const char* label(Severity severity)
{
    switch (severity) {
    case Severity::AtOdds: return "at odds";
    case Severity::Undone: return "not done";
    case Severity::Notice: return "notice";
    }
    assert(false);
    return "";
}

std::vector<Finding> check(const session::Document& document, const std::vector<FootageFacts>& facts,
                           const std::function<bool(const std::string& sha256)>& cropIsThere)
{
    const analysis::Results results = analysis::compute(document);
    Findings findings;
    CropChecks crops(cropIsThere);
    checkCaptures(findings, document, facts, results);
    checkClocks(findings, document);
    checkTrials(findings, document, results);
    checkEvidence(findings, document, crops);
    checkPlan(findings, document, results);
    std::ranges::stable_sort(findings, {}, &Finding::severity);
    return findings;
}

} // namespace report
