#include "core/analysis/reading_agreement.h"
#include "core/analysis/capture_clock.h"
#include "core/analysis/phrases.h"
#include "core/timing/delay.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace analysis {
namespace {

using Readings = std::vector<const session::Reading*>;

struct Differences {
    std::vector<double> count, press, response;
    int blind = 0;
    void add(const session::Reading& first, const session::Reading& second)
    {
        press.push_back(static_cast<double>((second.press->frame - first.press->frame).value));
        response.push_back(static_cast<double>((second.response->frame - first.response->frame).value));
        count.push_back(response.back() - press.back());
        blind += first.blind || second.blind;
    }
};

std::string readerOf(const session::Reading& reading)
{
    return reading.reader.empty() ? "unnamed" : oneLine(reading.reader);
}

/// Readings of each reader, in the order they were begun.
std::map<std::string, Readings> byReader(const Readings& readings)
{
    std::map<std::string, Readings> found;
    for (const session::Reading* reading : readings)
        found[readerOf(*reading)].push_back(reading);
    return found;
}

std::optional<double> delayMs(const CaptureClock& clock, const session::Reading& reading)
{
    if (!clock.time)
        return std::nullopt;
    const auto result = timing::trialDelay(*clock.time, reading.press->frame, reading.response->frame);
    const auto* delay = std::get_if<timing::TrialDelay>(&result);
    return delay && std::isfinite(delay->delay.count()) ? std::optional(delay->delay.count()) : std::nullopt;
}

std::string whyOpen(const session::Trial& trial)
{
    std::vector<std::string> counts;
    for (const session::Reading& reading : trial.readings)
        if (session::isComplete(reading))
            counts.push_back(reading.noReaction
                                 ? "no reaction"
                                 : std::to_string((reading.response->frame - reading.press->frame).value));
    if (std::ranges::all_of(counts, [&](const std::string& each) { return each == counts.front(); }))
        return "the same count from different frames";
    return "counts " + listed(counts);
}

/// Spread of trials about the mean of their own configuration.
std::optional<double> pooledSd(const Results& results)
{
    double squares = 0, dof = 0;
    for (const ConfigurationResult& result : results.configurations)
        if (result.summary.sd) {
            const double own = static_cast<double>(result.n - 1);
            squares += own * *result.summary.sd * *result.summary.sd;
            dof += own;
        }
    return dof > 0 ? std::optional(std::sqrt(squares / dof)) : std::nullopt;
}

} // namespace

ReadingAgreement readingAgreement(const session::Document& document, const Results& results)
{
    ReadingAgreement agreement;
    std::map<std::pair<std::string, std::string>, Differences> pairs;
    Differences firstTwo;
    std::vector<double> ms;
    std::map<std::pair<session::CaptureId, session::ClockId>, CaptureClock> clocks;
    for (const TrialOutcome& outcome : results.trials) {
        const session::Trial& trial = *find(document, outcome.trial);
        if (trial.reject)
            continue;
        if (outcome.open)
            agreement.toSettle.push_back({trial.id, whyOpen(trial)});
        else if (outcome.doubtful)
            agreement.toSettle.push_back({trial.id, "not sure of a mark"});

        Readings marked;
        bool sawNone = false;
        for (const session::Reading& reading : trial.readings) {
            if (!reading.accepted || !session::isComplete(reading))
                continue;
            sawNone = sawNone || reading.noReaction;
            if (!reading.noReaction)
                marked.push_back(&reading);
        }
        agreement.reactionDiffers += sawNone && !marked.empty();
        if (marked.size() < 2)
            continue;
        ++agreement.readAgain;
        agreement.readAgainBlind += marked[1]->blind;
        firstTwo.add(*marked[0], *marked[1]);
        const std::pair place(trial.capture, outcome.clock);
        auto clock = clocks.find(place);
        if (clock == clocks.end())
            clock =
                clocks.emplace(place, captureClock(document, *find(document, trial.capture), pressFrame(trial))).first;
        const auto one = delayMs(clock->second, *marked[0]), other = delayMs(clock->second, *marked[1]);
        if (one && other)
            ms.push_back(*other - *one);

        const auto readers = byReader(marked);
        for (auto reader = readers.begin(); reader != readers.end(); ++reader) {
            if (reader->second.size() >= 2)
                pairs[{reader->first, reader->first}].add(*reader->second[0], *reader->second[1]);
            for (auto another = std::next(reader); another != readers.end(); ++another)
                pairs[{reader->first, another->first}].add(*reader->second.front(), *another->second.front());
        }
    }

    const auto of = [&](const std::vector<double>& differences) {
        return stats::agreement(differences, results.level);
    };
    agreement.first = of(firstTwo.count);
    for (const auto& [names, differences] : pairs)
        agreement.pairs.push_back({names.first, names.second, differences.blind, of(differences.count),
                                   of(differences.press), of(differences.response)});
    agreement.inMs = static_cast<int>(ms.size());
    agreement.readingSdMs = of(ms).readingSd;
    agreement.trialSdMs = pooledSd(results);
    return agreement;
}

} // namespace analysis
