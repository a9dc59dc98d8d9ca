#include "core/report/run_sheet.h"
#include "core/report/csv.h"
#include "core/report/figures.h"
#include "core/report/shuffled.h"
#include "core/report/words.h"
#include "core/session/limits.h"
#include "core/session/text.h"

#include <QString>
#include <algorithm>
#include <cassert>
#include <random>

namespace report {
namespace {

std::string padded(std::string text, std::size_t columns)
{
    const std::size_t length = session::charactersIn(text).value_or(text.size());
    return text + std::string(columns > length ? columns - length : 0, ' ');
}

std::string title(const session::Document& document)
{
    return document.settings.title.empty() ? "Run sheet" : "Run sheet: " + oneLine(document.settings.title);
}

std::string instructions(const session::RunSheet& sheet)
{
    return counted(std::ssize(sheet.lines), "run", "runs") + " in this order, seed " + std::to_string(sheet.seed)
        + ".\nSet up anew before each run. Between presses wait at random, at least one refresh interval.";
}

std::string filmed(const session::Document& document, const session::SheetLine& line)
{
    const std::vector<std::string> captures = capturesOf(document, line);
    return captures.empty() ? line.ticked ? "filmed" : "" : listed(captures);
}

std::string html(const std::string& text)
{
    return QString::fromStdString(text).toHtmlEscaped().toStdString();
}

std::string nameOf(const session::Document& document, session::ConfigurationId id)
{
    return oneLine(find(document, id)->name);
}

} // namespace

std::string runSheetProblem(const session::Document& document)
{
    const session::Plan& plan = document.settings.plan;
    if (document.configurations.empty())
        return "The session has no configurations yet; name them on the plan page.";
    if (!plan.trialsPerConfiguration || !plan.runsPerConfiguration)
        return "The plan doesn't say how many runs and trials each configuration gets; set both on the plan page.";
    std::int64_t total = 0;
    for (const auto& [id, configuration] : document.configurations) {
        const int runs = *plannedRuns(plan, id), trials = *plannedTrials(plan, id);
        if (runs > trials)
            return "The plan has " + counted(runs, "run", "runs") + " for " + counted(trials, "trial", "trials") + " of "
                + (id == plan.baseline && (plan.baselineRuns || plan.baselineTrials) ? "the baseline" : "each configuration") + "; plan at least one trial a run.";
        total += runs;
    }
    if (total > static_cast<std::int64_t>(session::limits::sheetLines)) // more than anyone could film
        return "The plan comes to more than " + std::to_string(session::limits::sheetLines) + " runs; plan fewer runs with more trials each.";
    return {};
}

session::RunSheet drawRunSheet(const session::Document& document, std::int64_t seed)
{
    assert(runSheetProblem(document).empty());
    const session::Plan& plan = document.settings.plan;
    const int blocks = *plan.runsPerConfiguration;
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    session::RunSheet sheet;
    sheet.seed = seed;
    for (int block = 0; block < blocks; ++block) {
        std::vector<session::SheetLine> order;
        for (const session::Configuration* configuration : inOrder(document.configurations)) {
            const std::int64_t runs = *plannedRuns(plan, configuration->id), trials = *plannedTrials(plan, configuration->id);
            for (std::int64_t run = runs * block / blocks; run < runs * (block + 1) / blocks; ++run)
                order.push_back({block + 1, configuration->id, static_cast<int>(trials / runs + (run < trials % runs ? 1 : 0)), {}, false});
        }
        shuffle(order, random);
        sheet.lines.insert(sheet.lines.end(), order.begin(), order.end());
    }
    return sheet;
}

std::vector<std::string> capturesOf(const session::Document& document, const session::SheetLine& line)
{
    std::vector<std::string> names;
    if (line.run)
        for (const session::Capture* capture : inOrder(document.captures))
            if (capture->run == line.run)
                names.push_back(oneLine(capture->name));
    return names;
}

std::string runSheetText(const session::Document& document, const session::RunSheet& sheet)
{
    std::size_t widest = 13; // "Configuration"
    for (const auto& [id, configuration] : document.configurations)
        widest = std::max(widest, session::charactersIn(configuration->name).value_or(configuration->name.size()));
    std::string text = title(document) + '\n' + instructions(sheet) + '\n';
    int block = 0, place = 0;
    for (const session::SheetLine& line : sheet.lines) {
        if (line.block != block) {
            block = line.block;
            text += "\nBlock " + std::to_string(block) + '\n' + padded("", 6) + padded("Configuration", widest) + "  Trials  Capture\n";
        }
        const std::string trials = std::to_string(line.trials), done = filmed(document, line);
        text += padded(std::to_string(++place) + '.', 6) + padded(nameOf(document, line.configuration), widest) + "  "
            + std::string(trials.size() < 6 ? 6 - trials.size() : 0, ' ') + trials + "  " + (done.empty() ? "____________________" : done) + '\n';
    }
    return text;
}

std::string runSheetCsv(const session::Document& document, const session::RunSheet& sheet)
{
    Csv csv;
    for (const char* name : {"place", "block", "configuration", "group", "trials", "run", "captures", "ticked"})
        csv.text(name);
    csv.endRow();
    int place = 0;
    for (const session::SheetLine& line : sheet.lines) {
        const session::Configuration& configuration = *find(document, line.configuration);
        csv.whole(++place).whole(line.block).text(configuration.name).text(configuration.group).whole(line.trials);
        const session::Run* run = find(document, line.run);
        csv.text(run ? run->name : std::string()).text(listed(capturesOf(document, line))).yes(line.ticked);
        csv.endRow();
    }
    return csv.str();
}

std::string runSheetHtml(const session::Document& document, const session::RunSheet& sheet)
{
    std::string page = "<html><body><h2>" + html(title(document)) + "</h2><p>" + html(instructions(sheet)) + "</p>"
        "<table border=\"1\" cellspacing=\"0\" cellpadding=\"4\" width=\"100%\"><thead><tr><th>Run</th><th>Block</th>"
        "<th align=\"left\">Configuration</th><th>Trials</th><th width=\"45%\" align=\"left\">Capture</th></tr></thead>";
    int place = 0;
    for (const session::SheetLine& line : sheet.lines)
        page += "<tr><td align=\"right\">" + std::to_string(++place) + "</td><td align=\"right\">" + std::to_string(line.block) + "</td><td>"
            + html(nameOf(document, line.configuration)) + "</td><td align=\"right\">" + std::to_string(line.trials) + "</td><td>"
            + html(filmed(document, line)) + "</td></tr>";
    return page + "</table></body></html>";
}

} // namespace report
