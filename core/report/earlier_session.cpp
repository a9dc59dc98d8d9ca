#include "core/report/earlier_session.h"
#include "core/analysis/earlier_results.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/error.h"
#include "core/report/chart_model.h"
#include "core/report/correction_words.h"
#include "core/report/sentences.h"
#include "core/session/open_session.h"
#include "core/session/text.h"

#include <QCryptographicHash>
#include <QFile>
#include <algorithm>
#include <cmath>

namespace report {
namespace {

constexpr std::size_t dayLength = 10; ///< of ISO 8601

std::string sha256Of(const std::filesystem::path& path)
{
    QFile file(QString::fromStdString(path.string()));
    QCryptographicHash hash(QCryptographicHash::Sha256);
    if (!file.open(QIODevice::ReadOnly) || !hash.addData(&file))
        throw core::Error(core::ErrorKind::Unreadable,
                          "“" + path.string() + "” can't be read: " + file.errorString().toStdString() + ".");
    return hash.result().toHex().toStdString();
}

std::string firstReading(const session::Document& document)
{
    std::string first;
    for (const auto& [id, trial] : document.trials)
        for (const session::Reading& reading : trial->readings)
            if (!reading.time.empty() && (first.empty() || reading.time < first))
                first = reading.time;
    return first;
}

session::EarlierConfiguration keptOf(const session::Document& document, const analysis::ConfigurationResult& result)
{
    session::EarlierConfiguration kept;
    kept.name = result.name;
    kept.display = analysis::displayOf(*find(document, result.configuration));
    kept.rejected = result.rejected;
    kept.notRead = result.notRead;
    kept.noReaction = result.noReaction;
    kept.clockNotSettled = result.clockNotSettled;
    kept.noDelay = result.noDelay;
    kept.runs = result.mean.runs;
    kept.captures = result.mean.captures;
    kept.delaysMs = result.delaysMs;
    if (const stats::MeanOnBasis* mean = result.mean.shown()) {
        kept.meanMs = mean->estimateMs;
        kept.overRuns = mean->basis == stats::Basis::Runs;
        for (const stats::BudgetLine& line : mean->lines)
            kept.lines.push_back({static_cast<std::int64_t>(line.kind), line.label, line.source, line.u, line.weight,
                                  std::isinf(line.dof) ? std::nullopt : std::optional(line.dof)});
    }
    return kept;
}

} // namespace

session::EarlierSession readEarlierSession(const std::filesystem::path& file, const std::filesystem::path& own)
{
    std::error_code gone; // then opening says so
    if (!own.empty() && std::filesystem::equivalent(file, own, gone))
        throw core::Error(core::ErrorKind::Refused,
                          "“" + file.filename().string() + "” is this session itself. Choose the file of another one.");
    const session::Document document = session::readSession(file);
    const analysis::Results results = analysis::compute(document);
    session::EarlierSession kept;
    kept.sha256 = sha256Of(file);
    kept.title = session::shortened(document.settings.title.empty() ? file.stem().string()
                                                                    : analysis::oneLine(document.settings.title));
    kept.firstRead = firstReading(document);
    kept.rates = captureRates(document, results);
    kept.onset = analysis::onsetWords(document.settings.event);
    kept.corrections = correctionFooter(document, results);
    kept.cameras = analysis::camerasOf(document, results);
    for (const analysis::ConfigurationResult& result : results.configurations)
        if (result.trials > 0)
            kept.configurations.push_back(keptOf(document, result));
    if (kept.configurations.empty())
        throw core::Error(core::ErrorKind::Refused, "“" + file.filename().string()
                                                        + "” has no trial that is tagged to a configuration, so there "
                                                          "is nothing to show.");
    return kept;
}

std::string earlierMethod(const session::EarlierSession& earlier)
{
    std::string words = session::inQuotes(earlier.title);
    if (!earlier.firstRead.empty())
        words += " of " + earlier.firstRead.substr(0, dayLength);
    return words + ": " + (earlier.rates.empty() ? std::string() : earlier.rates + ", ") + earlier.onset + "."
           + (earlier.corrections.empty() ? std::string() : " " + earlier.corrections);
}

std::string bridgeSentence(const analysis::Results& results, const analysis::EarlierResults& earlier)
{
    const analysis::ConfigurationResult* here = find(results, earlier.here);
    const analysis::ConfigurationResult* there = findAnywhere(results, earlier.there);
    if (!here || !there)
        return "Not compared: no set-up is named that both sessions measured.";
    const auto meanHere = analysis::meanFigure(*here), meanThere = analysis::meanFigure(*there);
    if (!meanHere || !meanThere)
        return "Not compared: " + here->name + ", measured in both, has no mean.";
    return "Compared by way of " + here->name + ", measured in both (" + meanHere->value + " ms here, "
           + meanThere->value + " ms there), each by itself at " + analysis::percent(results.level) + ".";
}

std::string earlierName(const analysis::EarlierResults& earlier, const analysis::ConfigurationResult& result)
{
    return result.name + " (earlier, " + session::inQuotes(earlier.title) + ")";
}

} // namespace report
