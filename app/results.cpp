#include "app/arguments.h"
#include "app/commands.h"
#include "core/report/results_json.h"
#include "core/report/tables.h"
#include "core/session/open_session.h"

namespace app {

int results(const QStringList& arguments)
{
    const Arguments given(arguments, {QStringLiteral("json")});
    const session::ReadSession read = session::readSession(given.onlyOperand(QStringLiteral("session")).toStdString());
    for (const std::string& report : read.reports)
        printProblem(report);
    const report::Results results = report::compute(read.document);
    if (given.has(QStringLiteral("json")))
        printLine(QString::fromUtf8(report::resultsJson(read.document, results, TALLYFRAME_VERSION)).trimmed());
    else
        printLine(QString::fromStdString(report::resultsText(read.document, results)).trimmed());
    return Fine;
}

} // namespace app
