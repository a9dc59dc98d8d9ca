#include "core/report/method_note.h"
#include "core/report/earlier_session.h"
#include "core/report/correction_words.h"
#include "core/analysis/figures.h"
#include "core/report/capture_words.h"
#include "core/report/agreement_words.h"
#include "core/report/sentences.h"
#include "core/analysis/phrases.h"
#include "core/session/place.h"
#include "core/stats/rounding.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace report {
namespace {

/// Headings and lines of plain text.
class Note {
public:
    void heading(const std::string& title)
    {
        m_text += (m_text.empty() ? "" : "\n") + title + "\n" + std::string(title.size(), '-') + "\n";
    }
    void line(const std::string& text) { m_text += text + '\n'; }
    const std::string& str() const { return m_text; }

private:
    std::string m_text;
};

std::string when(const std::string& time) { return time.empty() ? "" : ", set " + time; }

std::string checklist(const session::Texts& texts, std::span<const session::TextField> fields)
{
    std::string list;
    for (const session::TextField& field : fields) {
        const auto text = texts.find(field.key);
        if (text != texts.end())
            analysis::join(list, field.label + (": " + analysis::oneLine(text->second)), "; ");
    }
    return list;
}

void writePlan(Note& note, const session::Settings& settings)
{
    const session::Plan& plan = settings.plan;
    if (!plan.question.empty())
        note.line("Question: " + analysis::oneLine(plan.question));
    note.line(plan.marginMs ? "Margin, the smallest difference that matters: " + analysis::plain(*plan.marginMs) + " ms"
                                  + when(plan.marginTime) + "."
                            : "Margin: none was set.");
    std::vector<std::string> planned;
    if (plan.trialsPerConfiguration)
        planned.push_back(analysis::counted(*plan.trialsPerConfiguration, "trial"));
    if (plan.runsPerConfiguration)
        planned.push_back(analysis::counted(*plan.runsPerConfiguration, "run"));
    note.line(planned.empty()
                  ? "Planned: no number of trials was set."
                  : "Planned for each configuration: " + analysis::listed(planned) + when(plan.planTime) + ".");
    std::vector<std::string> own;
    if (plan.baseline && plan.baselineTrials)
        own.push_back(analysis::counted(*plan.baselineTrials, "trial"));
    if (plan.baseline && plan.baselineRuns)
        own.push_back(analysis::counted(*plan.baselineRuns, "run"));
    if (!own.empty())
        note.line("Planned for the baseline, which serves every comparison: " + analysis::listed(own) + '.');
    if (settings.runSheet)
        note.line("Order of the runs: drawn at random in blocks, seed " + std::to_string(settings.runSheet->seed)
                  + when(settings.runSheet->time) + ".");
}

void writeEvent(Note& note, const session::EventDefinition& event)
{
    note.heading("What was measured");
    note.line(std::string("Press frame: the first camera frame in which the lamp ")
              + (event.lamp == session::LampEvent::Lights ? "is lit." : "is out."));
    note.line("Response frame: the first camera frame in which the reaction is visible"
              + (event.reaction.empty() ? "" : " (" + analysis::oneLine(event.reaction) + ")") + ".");
    note.line(event.onset == session::OnsetRule::FirstVisibleChange
                  ? "Onset rule: first visible change, read by eye."
                  : "Onset rule: brightness above the mean of at least 20 camera frames before plus "
                        + analysis::plain(event.thresholdSd) + " times their standard deviation.");
    if (event.limitMs)
        note.line("A trial without a reaction within " + analysis::plain(*event.limitMs) + " ms is “no reaction”.");
    note.line("Delay: capture time of the response frame minus capture time of the press frame, missing camera frames "
              "counted in, and corrections (below).");
}

std::string rateLine(const session::ClockEvidence& settled)
{
    const timing::RateEvidence& rate = settled.rate;
    const double percentage = rate.relativeUncertainty * 100;
    const std::string doubt =
        percentage > 0 ? "standard uncertainty " + stats::formatFixed(percentage, stats::decimalsFor(percentage)) + " %"
                       : std::string("no uncertainty stated");
    return analysis::rateText(rate) + " camera frames a second, " + doubt + ", " + timing::label(rate.origin) + "."
           + (rate.note.empty() ? "" : " " + session::asSentence(analysis::oneLine(rate.note)));
}

void writeClock(Note& note, const session::Clock& clock)
{
    const session::ClockEvidence* settled = settledEvidence(clock);
    if (!settled) {
        note.line(analysis::oneLine(clock.name)
                  + ": not settled, so its trials are counts of camera frames and in no mean.");
    } else {
        note.line(analysis::oneLine(clock.name) + ": " + rateLine(*settled));
        if (clock.stamped)
            note.line("  Time is read from the stamp of each camera frame, times " + analysis::plain(clock.slowDown)
                      + ".");
        const double interval = 1000 / settled->rate.rate;
        note.line("  Camera frames are " + stats::formatFixed(interval, stats::decimalsFor(interval) + 1)
                  + " ms apart; counting alone leaves a single trial uncertain by up to one of them either way.");
        if (!clock.settled->reason.empty())
            note.line("  Why it was settled: " + session::asSentence(analysis::oneLine(clock.settled->reason)));
    }
    const std::string camera = checklist(clock.camera, session::cameraFields());
    if (!camera.empty())
        note.line("  " + camera + ".");
}

void writeClocks(Note& note, const session::Document& document)
{
    note.heading("Camera and clocks");
    std::set<session::ClockId> used;
    for (const auto& [id, capture] : document.captures)
        for (const session::ClockId clock : clocksOf(*capture))
            used.insert(clock);
    for (const auto& [id, clock] : document.clocks)
        if (used.contains(id))
            writeClock(note, *clock);
    for (const session::Capture* capture : inOrder(document.captures))
        if (capture->pictures && timing::isPattern(capture->pictures->verdict))
            note.line(analysis::oneLine(capture->name) + ": " + pictureWords(*capture->pictures, std::nullopt));
    for (const session::Capture* capture : inOrder(document.captures))
        if (!capture->pieces.empty())
            note.line(
                analysis::oneLine(capture->name)
                + " is in pieces of different speed, each read with its own clock and no trial across two of them: "
                + analysis::listed(pieceWords(document, *capture)) + ".");
    const std::string rig = checklist(document.settings.rig, session::rigFields());
    if (!rig.empty())
        note.line("Rig: " + rig + ".");
}

void writeConfiguration(Note& note, const session::Document& document, const analysis::Results& results,
                        const analysis::ConfigurationResult& result)
{
    const session::Configuration& configuration = *find(document, result.configuration);
    note.line(result.name + (result.baseline ? " (baseline)" : ""));
    std::string counts;
    for (const std::string& sentence : countsExplanation(result))
        analysis::join(counts, sentence, " ");
    note.line("  " + counts);
    if (result.n > 0)
        note.line("  "
                  + (result.mean.runs > 0 ? analysis::counted(result.mean.runs, "run") : std::string("Runs not known"))
                  + ", " + analysis::counted(result.mean.captures, "capture") + '.');
    for (const std::string& sentence : checkSentences(document, results, result))
        note.line("  " + sentence);
    std::string list = checklist(configuration.texts, session::configurationFields());
    const auto add = [&](const std::string& before, const std::optional<double>& number, const char* after) {
        if (number)
            analysis::join(list, before + analysis::plain(*number) + after, "; ");
    };
    add("measured refresh: ", configuration.refreshHz, " refresh intervals a second");
    add("game: ", configuration.gameFrameRate, " game frames a second");
    if (!list.empty())
        note.line("  " + list + ".");
}

void writeReading(Note& note, const session::Document& document, const analysis::Results& results)
{
    note.heading("Reading");
    std::map<std::string, int> readers;
    for (const auto& [id, trial] : document.trials) {
        const session::Reading* reading = countingReading(*trial);
        if (reading && reading->accepted)
            ++readers[reading->reader.empty() ? "unnamed" : analysis::oneLine(reading->reader)];
    }
    std::vector<std::string> names;
    for (const auto& [name, trials] : readers)
        names.push_back(name + " (" + analysis::counted(trials, "trial") + ")");
    if (!names.empty())
        note.line("Read by " + analysis::listed(names) + ".");
    for (const std::string& sentence : agreementSentences(document, results))
        note.line(sentence);
    const std::vector<session::EarlyLook>& looks = document.settings.earlyLooks;
    std::map<std::string, int> kinds;
    for (const session::EarlyLook& look : looks)
        ++kinds[analysis::oneLine(look.what)];
    std::vector<std::string> kindList;
    for (const auto& [what, times] : kinds)
        kindList.push_back(what + " " + analysis::counted(times, "time"));
    note.line(
        looks.empty()
            ? "No look at delays or comparisons is on record from before the planned number of trials was reached."
            : "Looked at before the planned number of trials was reached: " + analysis::listed(kindList)
                  + ". Intervals aren't corrected for repeated looks.");
}

std::string dofText(double dof) { return std::isinf(dof) ? "endless" : stats::formatFixed(dof, 1); }

/// What the intervals of differences rest on.
void writeDifferences(Note& note, const session::Document& document, const analysis::Results& results)
{
    if (results.comparisons == 0)
        return;
    std::vector<std::string> dofs, out, own, in, pairs;
    double rho = 0, ownLevel = 0; // one for all: of complete blocks they have as many
    for (const analysis::ConfigurationResult& result : results.configurations) {
        if (!result.comparison || !result.comparison->interval)
            continue;
        rho = result.comparison->rho;
        dofs.push_back(dofText(result.comparison->interval->dof));
        if (result.comparison->pairs)
            pairs.push_back(result.name);
        else if (result.comparison->blocksOut) {
            out.push_back(result.name);
            ownLevel = result.comparison->ownLevel;
            if (result.comparison->ownScatter)
                own.push_back(result.name);
        } else if (!result.blocksLeftIn.empty())
            in.push_back(result.name + " (" + result.blocksLeftIn + ")");
    }
    std::string line = "Differences: configuration minus baseline, of the means shown; "
                       + analysis::counted(results.comparisons, "comparison") + " in the plan, ";
    if (results.comparisons == 1)
        line += "with a " + analysis::percent(results.level) + " interval";
    else
        line += "whose intervals, by Dunnett's factor (k = " + std::to_string(results.comparisons)
                + (dofs.empty() ? "" : ", rho = " + stats::formatFixed(rho, 2)) + "), all " + togetherWords(results);
    if (!dofs.empty())
        line += "; degrees of freedom after Welch and Satterthwaite: " + analysis::listed(dofs);
    note.line(line + ".");
    note.line("Runs are the unit. Each configuration has its own scatter of runs, which need not be another's.");
    if (!pairs.empty())
        note.line("Pair by pair, each trial with the one of the baseline that shares its press: "
                  + analysis::listed(pairs) + ".");
    if (!out.empty()) {
        note.line(
            "Blocks of the run sheet, which interleaved the configurations before filming, are taken out: what moved "
            "a whole block doesn't widen the differences of "
            + analysis::listed(out) + ".");
        note.line("Of two intervals the wider is shown: by what the runs of all configurations together scatter by, "
                  "with Dunnett's factor, and by what those of the two compared scatter by, with Student's at "
                  + analysis::percent(ownLevel)
                  + (own.empty() ? "; here always the first." : "; the second for " + analysis::listed(own) + "."));
    }
    if (!in.empty())
        note.line("Blocks of the run sheet are left in for " + analysis::listed(in) + ".");
    note.line(std::string("This takes that runs are independent of each other")
              + (document.settings.runSheet ? " and that their order within a block is random, as the sheet drew it."
                                            : "; no run sheet with a random order was drawn."));
}

void writeStatistics(Note& note, const session::Document& document, const analysis::Results& results)
{
    note.heading("What the figures mean");
    note.line("Mean: with its " + analysis::percent(results.level)
              + " interval after JCGM 100 (GUM). What its uncertainty holds:");
    note.line("  the scatter of the trials, never taken below what counting camera frames alone gives;");
    note.line("  the phase between camera and display, once for each capture;");
    note.line("  each capture rate, once for all delays read with it;");
    note.line("  what corrections leave uncertain (below), once for all that share a cause.");
    note.line(
        "With 4 or more runs every run weighs alike, and of the intervals by trials and by runs the wider is shown. "
        "With fewer, figures hold for these runs only.");
    writeDifferences(note, document, results);
    note.line("“Not resolved” means that these trials can't tell; it doesn't mean that there is no difference.");
    note.line("Fewer than " + std::to_string(analysis::trialsForVerdict)
              + " trials on either side give no verdict; fewer than 4 runs give one for these runs only.");
    if (results.interim)
        note.line(
            "Interim: not every configuration has its planned number of trials; interim intervals aren't corrected "
            "for repeated looks.");
    note.line("Checks that decide nothing, all as if trials were independent of their runs: the median's interval by "
              "order statistics; trials beyond 1.5 quartile "
              "distances from the quartiles are named");
    note.line("and stay in; trends by Mann and Kendall with Sen's slope; ranks by Mann and Whitney with the shift of "
              "Hodges and Lehmann.");
    note.line(
        "Each rejected trial has its reason on record, and what the mean would be with it stands beside the counts.");
    note.line("Corrections:");
    for (const std::string& sentence : correctionSentences(document, results))
        note.line("  " + sentence);
}

void writeFootage(Note& note, const session::Document& document)
{
    note.heading("Footage");
    for (const session::Capture* capture : inOrder(document.captures)) {
        const std::int64_t missing = timing::MissingFrames(capture->missing).upTo(lastFrame(*capture)).value;
        note.line(analysis::oneLine(capture->name) + ": " + analysis::counted(capture->frames.value, "camera frame")
                  + (missing > 0 ? ", " + std::to_string(missing) + " missing" : "") + ", SHA-256 "
                  + (capture->sha256.empty() ? "not taken yet" : capture->sha256));
    }
}

void writeEarlier(Note& note, const session::Document& document, const analysis::Results& results)
{
    if (results.earlier.empty())
        return;
    note.heading("Earlier sessions");
    for (const analysis::EarlierResults& earlier : results.earlier) {
        const session::EarlierSession& from = *find(document, earlier.session);
        note.line(earlierMethod(from));
        note.line("  " + bridgeSentence(results, earlier));
        if (!from.cameras.empty())
            note.line("  Filmed with " + analysis::listed(from.cameras) + '.');
        for (const analysis::ConfigurationResult& result : earlier.configurations)
            note.line("  " + result.name + ": " + countsOf(result) + '.');
        note.line("  Results of " + from.path + " as they were when it was read, " + from.time + ", SHA-256 "
                  + from.sha256 + '.');
    }
    note.line("Differences across sessions: (earlier configuration - the set-up measured in both, there) - (baseline - "
              "that set-up, here); scatter and phase of all four means are in their interval, and each error source of "
              "a session once, by the difference of its weights. Intervals by Student's t, degrees of freedom after "
              "Welch and Satterthwaite, each by itself.");
    note.line("This takes that the set-up measured in both was the same, and that whatever else differs between the "
              "sessions adds the same to all delays of one.");
}

} // namespace

std::string methodNote(const session::Document& document, const analysis::Results& results,
                       const std::string& programVersion)
{
    Note note;
    note.heading(document.settings.title.empty() ? "Method note"
                                                 : "Method note: " + analysis::oneLine(document.settings.title));
    writePlan(note, document.settings);
    writeEvent(note, document.settings.event);
    writeClocks(note, document);
    note.heading("Configurations");
    for (const analysis::ConfigurationResult& result : results.configurations)
        writeConfiguration(note, document, results, result);
    if (results.untagged > 0)
        note.line(analysis::counted(results.untagged, "trial is", "trials are") + " tagged to no configuration.");
    writeReading(note, document, results);
    writeStatistics(note, document, results);
    writeEarlier(note, document, results);
    if (!results.warnings.empty())
        note.heading("Take note");
    for (const std::string& warning : results.warnings)
        note.line(analysis::oneLine(warning));
    writeFootage(note, document);
    note.line("");
    note.line("Made with Tallyframe " + programVersion + ".");
    return note.str();
}

} // namespace report
