#include "core/report/run_sheet_text.h"
#include "core/analysis/phrases.h"
#include "core/report/csv.h"
#include "core/report/markup.h"
#include "core/session/text.h"

#include <algorithm>

namespace report {
namespace {

std::string padded(std::string text, std::size_t columns)
{
    const std::size_t length = session::charactersIn(text).value_or(text.size());
    return text + std::string(columns > length ? columns - length : 0, ' ');
}

std::string title(const session::Document& document)
{
    return document.settings.title.empty() ? "Run sheet" : "Run sheet: " + analysis::oneLine(document.settings.title);
}

std::string instructions(const session::RunSheet& sheet)
{
    return analysis::counted(std::ssize(sheet.lines), "run") + " in this order, seed " + std::to_string(sheet.seed)
           + ".\nSet up anew before each run. Between presses wait at random, at least one refresh interval.";
}

std::string filmed(const session::Document& document, const session::SheetLine& line)
{
    const std::vector<std::string> captures = analysis::capturesOf(document, line);
    return captures.empty() ? line.ticked ? "filmed" : "" : analysis::listed(captures);
}

std::string html(const std::string& text) { return asMarkup(QString::fromStdString(text)).toStdString(); }

std::string nameOf(const session::Document& document, session::ConfigurationId id)
{
    return analysis::oneLine(find(document, id)->name);
}

struct SheetRow {
    const session::Document& document;
    const session::SheetLine& line;
    int place = 0; ///< from 1
    const session::Configuration& configuration = *find(document, line.configuration);
};

constexpr csv::Column<SheetRow> sheetColumns[] = {
    {"place", [](auto& r) { return csv::whole(r.place); }},
    {"block", [](auto& r) { return csv::whole(r.line.block); }},
    {"configuration", [](auto& r) { return csv::text(r.configuration.name); }},
    {"group", [](auto& r) { return csv::text(r.configuration.group); }},
    {"trials", [](auto& r) { return csv::whole(r.line.trials); }},
    {"run", [](auto& r) { return r.line.run ? csv::text(find(r.document, r.line.run)->name) : ""; }},
    {"captures", [](auto& r) { return csv::text(analysis::listed(analysis::capturesOf(r.document, r.line))); }},
    {"ticked", [](auto& r) { return csv::yes(r.line.ticked); }},
};

} // namespace

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
            text += "\nBlock " + std::to_string(block) + '\n' + padded("", 6) + padded("Configuration", widest)
                    + "  Trials  Capture\n";
        }
        const std::string trials = std::to_string(line.trials), done = filmed(document, line);
        text += padded(std::to_string(++place) + '.', 6) + padded(nameOf(document, line.configuration), widest) + "  "
                + std::string(trials.size() < 6 ? 6 - trials.size() : 0, ' ') + trials + "  "
                + (done.empty() ? "____________________" : done) + '\n';
    }
    return text;
}

std::string runSheetCsv(const session::Document& document, const session::RunSheet& sheet)
{
    std::vector<SheetRow> rows;
    for (const session::SheetLine& line : sheet.lines)
        rows.push_back({document, line, static_cast<int>(rows.size()) + 1});
    return csv::table(sheetColumns, rows);
}

std::string runSheetHtml(const session::Document& document, const session::RunSheet& sheet)
{
    std::string page =
        "<html><body><h2>" + html(title(document)) + "</h2><p>" + html(instructions(sheet))
        + "</p>"
          "<table border=\"1\" cellspacing=\"0\" cellpadding=\"4\" width=\"100%\"><thead><tr><th>Run</th><th>Block</th>"
          "<th align=\"left\">Configuration</th><th>Trials</th><th width=\"45%\" "
          "align=\"left\">Capture</th></tr></thead>";
    int place = 0;
    for (const session::SheetLine& line : sheet.lines)
        page += "<tr><td align=\"right\">" + std::to_string(++place) + "</td><td align=\"right\">"
                + std::to_string(line.block) + "</td><td>" + html(nameOf(document, line.configuration))
                + "</td><td align=\"right\">" + std::to_string(line.trials) + "</td><td>" + html(filmed(document, line))
                + "</td></tr>";
    return page + "</table></body></html>";
}

} // namespace report
