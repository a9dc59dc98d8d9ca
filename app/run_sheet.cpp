#include "app/arguments.h"
#include "app/commands.h"
#include "core/error.h"
#include "core/report/run_sheet.h"
#include "core/session/open_session.h"

#include <random>

namespace app {
namespace {

std::uint64_t seedFrom(const Arguments& given)
{
    if (!given.has(QStringLiteral("seed")))
        return std::random_device()(); // printed on the sheet, so that it can be had again
    bool isNumber = false;
    const std::uint64_t seed = given.value(QStringLiteral("seed")).toULongLong(&isNumber);
    if (!isNumber)
        throw UsageError("--seed takes a whole number from 0, \"" + given.value(QStringLiteral("seed")).toStdString() + "\" isn't one");
    return seed;
}

} // namespace

int runSheet(const QStringList& arguments)
{
    const Arguments given(arguments, {QStringLiteral("csv")}, {QStringLiteral("seed")});
    const std::uint64_t seed = seedFrom(given);
    const session::ReadSession read = session::readSession(given.onlyOperand(QStringLiteral("session")).toStdString());
    for (const std::string& report : read.reports)
        printProblem(report);
    if (const std::string problem = report::runSheetProblem(read.document); !problem.empty())
        throw core::Error(core::ErrorKind::AtOdds, problem);
    const report::RunSheet sheet = report::runSheet(read.document, seed);
    std::string text = given.has(QStringLiteral("csv")) ? report::runSheetCsv(read.document, sheet) : report::runSheetText(read.document, sheet);
    text.pop_back(); // its own line feed, which printing adds
    printLine(QString::fromStdString(text));
    return Fine;
}

} // namespace app
