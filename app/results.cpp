#include "app/arguments.h"
#include "app/commands.h"
#include "core/report/results_json.h"
#include "core/report/tables.h"
#include "core/session/open_session.h"
#include "core/session/text.h"

namespace app {
namespace {

/// By name, or by place in the plan from 1 where no name is that number.
session::ConfigurationId configurationOf(const session::Document& document, const QString& asked)
{
    const auto all = inOrder(document.configurations);
    for (const session::Configuration* configuration : all)
        if (QString::fromStdString(configuration->name) == asked)
            return configuration->id;
    bool isNumber = false;
    const int place = asked.toInt(&isNumber);
    if (isNumber && place >= 1 && place <= static_cast<int>(all.size()))
        return all[static_cast<std::size_t>(place - 1)]->id;
    std::string names;
    for (const session::Configuration* configuration : all)
        names += (names.empty() ? "" : ", ") + session::inQuotes(configuration->name);
    throw UsageError("there is no configuration \"" + asked.toStdString() + "\" in this session; "
                     + (all.empty()
                            ? "it has none"
                            : "give a name or a place from 1 to " + std::to_string(all.size()) + " of: " + names));
}

analysis::Results asked(const session::Document& document, const Arguments& given)
{
    constexpr const char *pair = "pair", *against = "against";
    if (given.has(pair) != given.has(against))
        throw UsageError("--pair and --against go together, each with a configuration");
    if (!given.has(pair))
        return analysis::compute(document);
    const session::ConfigurationId first = configurationOf(document, given.value(pair)),
                                   second = configurationOf(document, given.value(against));
    if (first == second)
        throw UsageError(
            "--pair and --against name the same configuration; a configuration is compared with another one");
    return analysis::pairOf(document, first, second);
}

} // namespace

int results(const Arguments& given)
{
    const session::Document document = session::readSession(given.onlyOperand("session").toStdString());
    const analysis::Results results = asked(document, given);
    if (given.has("json"))
        printLine(QString::fromUtf8(report::resultsJson(document, results, TALLYFRAME_VERSION)).trimmed());
    else
        printLine(QString::fromStdString(report::resultsText(document, results)).trimmed());
    return Fine;
}

} // namespace app
