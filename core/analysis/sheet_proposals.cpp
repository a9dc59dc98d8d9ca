#include "core/analysis/run_sheet.h"
#include "core/analysis/phrases.h"

#include <algorithm>

namespace analysis {
namespace {

std::string placed(const session::Document& document, std::size_t line)
{
    const session::SheetLine& at = document.settings.runSheet->lines[line];
    return oneLine(find(document, at.configuration)->name) + " next (line " + std::to_string(line + 1) + ")";
}

} // namespace

std::vector<SheetProposal> sheetProposals(const session::Document& document)
{
    std::vector<SheetProposal> proposals;
    if (!document.settings.runSheet)
        return proposals;
    const session::RunSheet& sheet = *document.settings.runSheet;
    session::RunSheet open = sheet; // lines that are proposed already are ticked here
    for (const session::Capture* capture : inOrder(document.captures)) {
        if (capture->run || capture->lampReference || capture->id.value < sheet.since)
            continue;
        SheetProposal proposal{capture->id, firstOpenLine(open), {}};
        if (proposal.line && capture->configuration
            && sheet.lines[*proposal.line].configuration != capture->configuration) {
            proposal.expected = proposal.line;
            do
                proposal.line = firstOpenLine(open, *proposal.line + 1);
            while (proposal.line && sheet.lines[*proposal.line].configuration != capture->configuration);
        }
        if (!proposal.line && !proposal.expected)
            continue; // all is filmed
        if (proposal.line)
            open.lines[*proposal.line].ticked = true;
        proposals.push_back(proposal);
    }
    return proposals;
}

std::string sheetWarning(const session::Document& document, session::CaptureId id)
{
    const session::Capture* capture = find(document, id);
    if (!document.settings.runSheet || !capture || !capture->configuration)
        return {};
    const std::string tagged =
        oneLine(capture->name) + " is tagged with " + oneLine(find(document, capture->configuration)->name) + '.';
    const auto& lines = document.settings.runSheet->lines;
    if (capture->run) {
        const auto own = std::ranges::find(lines, capture->run, &session::SheetLine::run);
        if (own == lines.end() || own->configuration == capture->configuration)
            return {};
        return "Line " + std::to_string(own - lines.begin() + 1) + " of the sheet is a run of "
               + oneLine(find(document, own->configuration)->name) + "; " + tagged;
    }
    const auto proposals = sheetProposals(document);
    const auto proposal = std::ranges::find(proposals, id, &SheetProposal::capture);
    if (proposal == proposals.end() || !proposal->expected)
        return {};
    return "The sheet expects " + placed(document, *proposal->expected) + "; " + tagged;
}

} // namespace analysis
