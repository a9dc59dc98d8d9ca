#include "core/analysis/slips.h"
#include "core/analysis/phrases.h"
#include "core/analysis/run_sheet.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace analysis {
namespace {

using Sentences = std::vector<std::string>;

/// Trials of the same capture and lamp that are not rejected, less this one.
std::vector<const session::Trial*> othersOf(const session::Document& document, const session::Trial& trial)
{
    std::vector<const session::Trial*> others = session::trialsOf(document, trial.capture);
    std::erase_if(others, [&](const session::Trial* other) {
        return other->id == trial.id || other->lamp != trial.lamp || other->reject;
    });
    return others;
}

void tellOfOrder(Sentences& slips, const session::Document& document, const session::Trial& trial,
                 timing::FrameNumber press, timing::FrameNumber response)
{
    if (response <= press) {
        slips.push_back("The response is at or before the press; mark one of them anew.");
        return;
    }
    const session::Trial* next = nullptr;
    for (const session::Trial* other : othersOf(document, trial))
        if (const auto frame = pressOf(*other); frame && *frame > press && (!next || *frame < *pressOf(*next)))
            next = other;
    if (next && response >= *pressOf(*next))
        slips.push_back("The response is at or after the next press (frame " + std::to_string(pressOf(*next)->value)
                        + "); mark the one that belongs to this press, or reject the trial.");
}

void tellOfStretches(Sentences& slips, const session::Capture& capture, timing::FrameNumber press,
                     timing::FrameNumber response)
{
    const timing::MissingFrames missing(capture.missing);
    const std::int64_t lost = (missing.upTo(response) - missing.upTo(press - timing::FrameCount{1})).value;
    if (lost > 0)
        slips.push_back(counted(lost, "frame is", "frames are")
                        + " missing at the marks or between them; reject the trial with \"frames lost\" where that "
                          "hides a mark.");
    for (const session::UnknownStretch& stretch : capture.unknown)
        if (stretch.first <= response && stretch.last >= press) {
            slips.push_back("No time can be told from frame " + std::to_string(stretch.first.value) + " to "
                            + std::to_string(stretch.last.value) + ", which the trial crosses; reject it.");
            break;
        }
    using Verdict = timing::PictureRepeats::Verdict;
    if (capture.pictures && capture.pictures->verdict != Verdict::CantTell
        && capture.pictures->verdict != Verdict::AllAdd)
        slips.push_back("Pictures of " + oneLine(capture.name)
                        + " repeat or are made up; the Clock page says at what rate it was really filmed.");
}

/// Five times the spread of its run, and three camera intervals, from the run's median: our choice.
void tellOfApart(Sentences& slips, const TrialOutcome& own, const std::vector<TrialOutcome>& outcomes)
{
    constexpr std::size_t fewest = 4;
    constexpr double spreads = 5, toSd = 1.4826, intervals = 3;
    if (!own.delay || !own.run)
        return;
    std::vector<double> delays;
    for (const TrialOutcome& other : thatCount(outcomes))
        if (other.trial != own.trial && other.run == own.run && other.configuration == own.configuration)
            delays.push_back(other.delay->delay.count());
    if (delays.size() < fewest)
        return;
    const auto middle = [](std::vector<double>& values) {
        const auto at = values.begin() + std::ptrdiff_t(values.size() / 2);
        std::nth_element(values.begin(), at, values.end());
        return *at;
    };
    const double median = middle(delays);
    for (double& d : delays)
        d = std::abs(d - median);
    const double limit = std::max(spreads * toSd * middle(delays), intervals * own.delay->responseInterval.count());
    if (std::abs(own.delay->delay.count() - median) > limit)
        slips.push_back("Its delay is far from the others of its run; look at both marks again.");
}

void tellOfSamePress(Sentences& slips, const session::Document& document, const session::Trial& trial,
                     timing::FrameNumber press)
{
    constexpr std::int64_t bounce = 12; // frames within which it's the same press, marked by eye
    for (const session::Trial* other : othersOf(document, trial)) {
        const auto frame = pressOf(*other);
        if (!frame || other->screen != trial.screen)
            continue;
        const std::int64_t apart = std::abs((*frame - press).value);
        if (apart > bounce)
            continue;
        const std::string name = session::trialName(document, other->id);
        slips.push_back(apart == 0
                            ? "Trial " + name.substr(name.find(' ') + 1) + " has the same press; remove one of the two."
                            : "The press of " + name + " is " + counted(apart, "frame")
                                  + " away; remove one of the two if it is the same press.");
        return;
    }
}

void tellOfTag(Sentences& slips, const session::Document& document, const session::Trial& trial)
{
    if (!trial.configuration)
        return;
    if (document.settings.runSheet && trial.run) {
        const auto& lines = document.settings.runSheet->lines;
        const auto line = std::ranges::find(lines, trial.run, &session::SheetLine::run);
        // On a second screen of the run's presses another set-up is seen.
        const auto ofLine = [&](const session::Trial* other) {
            return other->run == trial.run && other->screen != trial.screen
                   && other->configuration == line->configuration;
        };
        if (line != lines.end() && line->configuration != trial.configuration
            && std::ranges::none_of(othersOf(document, trial), ofLine)) {
            slips.push_back("Line " + std::to_string(line - lines.begin() + 1) + " of the run sheet is a run of "
                            + oneLine(find(document, line->configuration)->name) + ", and the trial is tagged with "
                            + oneLine(find(document, trial.configuration)->name) + "; change one of them.");
            return;
        }
    }
    if (const std::string warning = sheetWarning(document, trial.capture); !warning.empty())
        slips.push_back(warning);
}

void tellOfSize(Sentences& slips, const session::Document& document, const session::Capture& capture)
{
    if (!capture.clock)
        return;
    for (const auto& [id, other] : document.captures)
        if (id != capture.id && session::runsOn(*other, capture.clock) && !capture.pictureFolder
            && !other->pictureFolder && (other->width != capture.width || other->height != capture.height)) {
            const auto size = [](const session::Capture& c) {
                return std::to_string(c.width) + " x " + std::to_string(c.height);
            };
            slips.push_back("Its pictures are " + size(capture) + " and those of " + oneLine(other->name) + " "
                            + size(*other)
                            + " with the same clock; another size is another camera mode, which needs a "
                              "clock of its own.");
            return;
        }
}

} // namespace

std::vector<std::string> slipsOf(const session::Document& document, const session::Trial& trial,
                                 const std::vector<TrialOutcome>& outcomes)
{
    Sentences slips;
    const session::Capture* capture = find(document, trial.capture);
    const session::Reading* reading = session::countingReading(trial);
    if (trial.reject || !capture)
        return slips;
    const TrialOutcome own = trialOutcome(document, trial);
    if (reading && reading->press) {
        const timing::FrameNumber press = reading->press->frame;
        const timing::FrameNumber response = reading->response ? reading->response->frame : press;
        if (reading->response)
            tellOfOrder(slips, document, trial, press, response);
        tellOfSamePress(slips, document, trial, press);
        const auto limit = document.settings.event.limitMs;
        if (limit && own.delay && own.delay->delay.count() > *limit)
            slips.push_back("The response is beyond the limit of " + milliseconds(*limit)
                            + "; if it is the first reaction, the trial is \"no reaction\".");
        tellOfStretches(slips, *capture, std::min(press, response), std::max(press, response));
        tellOfApart(slips, own, outcomes);
    }
    tellOfTag(slips, document, trial);
    tellOfSize(slips, document, *capture);
    return slips;
}

} // namespace analysis
