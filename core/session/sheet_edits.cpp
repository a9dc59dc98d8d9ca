#include "core/session/edit_steps.h"
#include <algorithm>

namespace session {
namespace {

const RunSheet& needSheet(const Document& document, std::size_t line)
{
    if (!document.settings.runSheet)
        refuse("this session has no run sheet; draw one on the plan page first");
    if (line >= document.settings.runSheet->lines.size())
        refuse("the run sheet has no line " + std::to_string(line + 1));
    return *document.settings.runSheet;
}

} // namespace

RunId putNewRun(EditBuilder& builder, const std::string& name)
{
    const Table<Run>& runs = builder.document().runs;
    Run run;
    run.id = builder.nextId<RunId>();
    run.name = freeName(name, [&](const std::string& wanted) { return findNamed(runs, wanted); });
    builder.put(run);
    return run.id;
}

Edit setRunSheet(const Document& document, std::optional<RunSheet> sheet)
{
    const char* label = sheet ? "draw the run sheet" : "drop the run sheet";
    Settings settings = document.settings;
    if (sheet && settings.runSheet) {
        const auto filmed = std::ranges::count_if(settings.runSheet->lines,
                                                  [](const SheetLine& line) { return line.run || line.ticked; });
        if (filmed > 0)
            refuse(counted(filmed, "line") + " of the run sheet " + (filmed == 1 ? "is" : "are")
                   + " filmed already, so another order would not be the one that was kept to; drop the sheet first");
    }
    if (sheet) {
        sheet->time = timeNow();
        sheet->since = document.nextId;
    }
    settings.runSheet = std::move(sheet);
    return changing(document, label, settings);
}

Edit tickSheetLine(const Document& document, std::size_t line, bool ticked)
{
    needSheet(document, line);
    Settings settings = document.settings;
    settings.runSheet->lines[line].ticked = ticked;
    return changing(document,
                    std::string(ticked ? "tick" : "take the tick off") + " line " + std::to_string(line + 1)
                        + " of the run sheet",
                    settings);
}

RunId runOfLine(EditBuilder& builder, std::size_t line)
{
    needSheet(builder.document(), line);
    Settings settings = builder.document().settings;
    RunId& run = settings.runSheet->lines[line].run;
    if (!run) {
        run = putNewRun(builder, "run " + std::to_string(line + 1));
        builder.put(settings);
    }
    return run;
}

Edit takeSheetLines(const Document& document, const std::vector<FilmedFor>& filmed)
{
    EditBuilder builder(document, "tag " + counted(filmed.size(), "capture") + " by the run sheet");
    if (filmed.size() == 1)
        builder.setLabel("tag " + named(need(document, filmed.front().capture)) + " by the run sheet");
    for (const FilmedFor& one : filmed) {
        const RunId run = runOfLine(builder, one.line);
        tagWithTrials(builder, need(builder.document(), one.capture),
                      document.settings.runSheet->lines[one.line].configuration, run);
    }
    return std::move(builder).finish();
}

} // namespace session
