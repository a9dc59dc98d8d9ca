#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/report/run_sheet_text.h"
#include "core/session/open_session.h"

#include <optional>
#include <random>

namespace app {
namespace {

/// The sheet that the session has, unless a seed asks for another order.
session::RunSheet sheetOf(const session::Document& document, std::optional<std::int64_t> seed)
{
    const auto& kept = document.settings.runSheet;
    if (kept && (!seed || *seed == kept->seed))
        return *kept;
    if (const std::string problem = analysis::runSheetProblem(document); !problem.empty())
        throw core::Error(core::ErrorKind::AtOdds, problem);
    if (kept)
        printProblem("the session's own run sheet has seed " + std::to_string(kept->seed) + "; this is another order.");
    return analysis::drawRunSheet(
        document, seed ? *seed : std::int64_t{std::random_device()()}); // printed, so that it can be had again
}

} // namespace

int runSheet(const Arguments& given)
{
    const session::Document document = session::readSession(given.onlyOperand("session").toStdString());
    const session::RunSheet sheet = sheetOf(document, given.seed());
    std::string text = given.has("csv") ? report::runSheetCsv(document, sheet) : report::runSheetText(document, sheet);
    text.pop_back(); // its own line feed, which printing adds
    printLine(QString::fromStdString(text));
    return Fine;
}

} // namespace app
