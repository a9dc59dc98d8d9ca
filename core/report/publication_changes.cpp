#include "core/report/publication_changes.h"
#include "core/analysis/figures.h"
#include "core/analysis/phrases.h"
#include "core/report/correction_words.h"
#include "core/report/earlier_session.h"
#include "core/report/sentences.h"

#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <algorithm>
#include <map>
#include <set>

namespace report {
namespace {

constexpr std::size_t mostCauses = 8; ///< named one by one
constexpr const char* stateFormat = "tallyframe publication";

std::string exactly(double value) { return QByteArray::number(value, 'g', 17).toStdString(); }

std::string lowerFirst(std::string words)
{
    if (!words.empty() && words.front() >= 'A' && words.front() <= 'Z')
        words.front() = static_cast<char>(words.front() - 'A' + 'a');
    return words;
}

// Figures

PublishedValue meanOf(const analysis::ConfigurationResult& result)
{
    const std::int64_t id = result.configuration.value;
    PublishedValue value{"mean " + std::to_string(id), result.name, {}, {}, {id}, false};
    const std::optional<analysis::Figure> figure = analysis::meanFigure(result);
    value.words = figure ? plusMinus(*figure) + " ms, " + analysis::counted(result.n, "trial") : noMeanWords(result);
    if (const stats::MeanOnBasis* mean = result.mean.shown()) {
        value.exact = std::to_string(result.n) + ' ' + exactly(mean->estimateMs);
        if (mean->interval)
            value.exact += ' ' + exactly(mean->interval->low()) + ' ' + exactly(mean->interval->high());
    }
    return value;
}

PublishedValue differenceOf(const analysis::Results& results, const analysis::ConfigurationResult& result)
{
    PublishedValue value{"difference " + std::to_string(result.configuration.value),
                         result.name + " against " + find(results, results.baseline)->name,
                         lowerFirst(verdictWords(results, result)),
                         {},
                         {result.configuration.value, results.baseline.value},
                         false};
    if (const auto figure = analysis::differenceFigure(results, result); figure && !figure->low.empty())
        value.words += " (" + figure->low + " to " + figure->high + " ms)";
    const stats::Comparison& comparison = *result.comparison;
    value.exact = "verdict " + std::to_string(static_cast<int>(comparison.verdict));
    if (comparison.differenceMs)
        value.exact += ' ' + exactly(*comparison.differenceMs);
    if (comparison.interval)
        value.exact += ' ' + exactly(comparison.interval->low()) + ' ' + exactly(comparison.interval->high());
    return value;
}

// Inputs

std::string listed(const session::Texts& texts)
{
    std::string words;
    for (const auto& [key, text] : texts)
        analysis::join(words, key + ": " + analysis::oneLine(text), "; ");
    return words;
}

PublishedValue configurationOf(const session::Configuration& configuration)
{
    const std::string name = analysis::oneLine(configuration.name);
    const std::int64_t id = configuration.id.value;
    PublishedValue value{"configuration " + std::to_string(id), "The set-up of " + name, name, {}, {id}, false};
    if (!configuration.group.empty())
        value.words += ", in the group " + analysis::oneLine(configuration.group);
    const auto number = [&](const std::optional<double>& one, const char* before, const char* after) {
        if (one)
            value.words += before + analysis::plain(*one) + after;
    };
    number(configuration.refreshHz, ", ", " refresh intervals a second");
    number(configuration.gameFrameRate, ", ", " game frames a second");
    number(configuration.reactionHeight, ", reaction at height ", "");
    analysis::join(value.words, listed(configuration.texts), "; ");
    return value;
}

std::string readoutWords(const session::Readout& readout)
{
    switch (readout.kind) {
    case session::ReadoutKind::AllAtOnce: return "all rows at once";
    case session::ReadoutKind::Unknown: return "line time not known";
    case session::ReadoutKind::LineTime: break;
    }
    return "line time " + analysis::plain(readout.lineTimeSeconds * 1e6) + " µs known to "
           + analysis::plain(readout.uncertaintySeconds * 1e6) + " µs"
           + (readout.direction == session::ReadoutDirection::Unknown         ? ", direction not known"
              : readout.direction == session::ReadoutDirection::FirstRowFirst ? ", first row first"
                                                                              : ", last row first");
}

PublishedValue clockOf(const session::Clock& clock, const analysis::Results& results)
{
    PublishedValue value{
        "clock " + std::to_string(clock.id.value), "The clock " + analysis::oneLine(clock.name), {}, {}, {}, false};
    std::set<std::int64_t> read;
    for (const analysis::TrialOutcome& outcome : results.trials)
        if (outcome.clock == clock.id && outcome.configuration)
            read.insert(outcome.configuration.value);
    value.configurations.assign(read.begin(), read.end());
    if (read.empty())
        value.configurations = {0}; // in no figure
    if (const session::ClockEvidence* settled = settledEvidence(clock)) {
        value.words = analysis::rateText(settled->rate) + " camera frames a second, "
                      + timing::label(settled->rate.origin) + ", known to "
                      + analysis::plain(100 * settled->rate.relativeUncertainty) + " %";
        const session::Readout& readout = clock.readout;
        value.exact = exactly(settled->rate.rate) + ' ' + exactly(settled->rate.relativeUncertainty) + ' '
                      + std::to_string(static_cast<int>(settled->rate.origin)) + ' '
                      + (clock.stamped ? exactly(clock.slowDown) : std::string("-")) + ' '
                      + std::to_string(static_cast<int>(readout.kind)) + ' ' + exactly(readout.lineTimeSeconds) + ' '
                      + exactly(readout.uncertaintySeconds) + ' ' + std::to_string(static_cast<int>(readout.direction));
    } else {
        value.words = "not settled";
    }
    if (clock.stamped)
        value.words += ", by stamps times " + analysis::plain(clock.slowDown);
    value.words += ", " + readoutWords(clock.readout);
    return value;
}

/// Names as session::trialName() gives them, of all at once.
std::map<session::TrialId, std::string> trialNames(const session::Document& document)
{
    std::map<session::TrialId, std::string> names;
    for (const auto& [id, trials] : session::trialsByCapture(document))
        for (int number = 0; const session::Trial* trial : trials)
            names[trial->id] =
                "Trial " + std::to_string(++number) + " of " + analysis::oneLine(find(document, id)->name);
    return names;
}

PublishedValue trialOf(const session::Document& document, const analysis::TrialOutcome& outcome,
                       const std::string& name)
{
    const session::Trial& trial = *find(document, outcome.trial);
    PublishedValue value{
        "trial " + std::to_string(outcome.trial.value), name, {}, {}, {outcome.configuration.value}, false};
    std::string& words = value.words;
    if (outcome.press)
        words = "press at camera frame " + std::to_string(outcome.press->value);
    if (outcome.response)
        analysis::join(words, "response at camera frame " + std::to_string(outcome.response->value));
    if (outcome.missing && outcome.missing->value != 0)
        analysis::join(words, std::to_string(outcome.missing->value) + " missing between");
    analysis::join(words, correctionWords(outcome.corrections));
    if (const session::Configuration* configuration = find(document, outcome.configuration))
        analysis::join(words, analysis::oneLine(configuration->name));
    if (const session::Run* run = find(document, outcome.run))
        analysis::join(words, analysis::oneLine(run->name));
    analysis::join(words, label(outcome.state));
    const auto frame = [](const std::optional<timing::FrameNumber>& number) {
        return number ? std::to_string(number->value) : std::string("-");
    };
    const timing::Correction added = outcome.corrections.all();
    value.exact = frame(outcome.press) + ' ' + frame(outcome.response) + ' '
                  + std::to_string(outcome.missing ? outcome.missing->value : 0) + ' '
                  + std::to_string(outcome.configuration.value) + ' ' + std::to_string(outcome.run.value) + ' '
                  + std::to_string(static_cast<int>(outcome.state)) + ' ' + exactly(added.add.count()) + ' '
                  + exactly(added.halfWidth.count()) + ' '
                  + (trial.reject ? std::to_string(static_cast<int>(trial.reject->reason)) : std::string("-"));
    if (trial.reject)
        words += std::string(": ") + label(trial.reject->reason);
    return value;
}

PublishedValue earlierInput(const session::EarlierSession& earlier, const analysis::Results& results,
                            const analysis::EarlierResults& shown)
{
    const std::string key = "earlier session " + std::to_string(earlier.id.value);
    const analysis::ConfigurationResult *here = find(results, shown.here), *there = findAnywhere(results, shown.there);
    return {key,
            "The earlier session " + analysis::oneLine(earlier.title),
            "as read " + earlier.time
                + (here && there ? ", by way of " + here->name + " (" + there->name + " there)" : ""),
            earlier.sha256 + ' ' + earlier.time + ' ' + std::to_string(shown.here.value) + ' '
                + std::to_string(shown.there.value),
            {},
            false};
}

void addSettings(std::vector<PublishedValue>& inputs, const session::Document& document,
                 const analysis::Results& results)
{
    const session::Settings& settings = document.settings;
    const session::EventDefinition& event = settings.event;
    const auto add = [&](const char* what, std::string words, bool look = false) {
        inputs.push_back({what, what, words.empty() ? std::string("none") : std::move(words), {}, {}, look});
    };
    const auto ms = [](const std::optional<double>& value) {
        return value ? analysis::plain(*value) + " ms" : std::string();
    };
    add("The lamp's event", event.lamp == session::LampEvent::Lights ? "it lights" : "it goes out");
    add("The limit for a reaction", ms(event.limitMs));
    add("The lamp's lead", ms(event.lampLeadMs) + ", known within " + ms(event.lampLeadWidthMs));
    add("What the onset rule leaves uncertain", ms(event.onsetWidthMs));
    add("The common height on the display", event.commonHeight
                                                ? analysis::plain(*event.commonHeight) + ", known to "
                                                      + analysis::percent(event.scanOutTolerance) + " of the scan-out"
                                                : std::string());
    const analysis::ConfigurationResult* baseline = find(results, results.baseline);
    add("The baseline", baseline ? baseline->name : std::string());
    add("The margin", ms(results.marginMs));
    add("The level of the intervals", analysis::percent(results.level));
    add("The number of comparisons", std::to_string(results.comparisons));
    add("The planned trials", results.plannedTrials ? std::to_string(*results.plannedTrials) : std::string());
    add("The run sheet",
        settings.runSheet ? "drawn with the seed " + std::to_string(settings.runSheet->seed) : std::string());

    const session::PublishSettings& publish = settings.publish;
    const bool look = true;
    add("Your own sentences", analysis::oneLine(publish.sentences), look);
    add("The reaction in words", analysis::oneLine(event.reaction), look);
    add("The question", analysis::oneLine(settings.plan.question), look);
    add("The session's title", analysis::oneLine(settings.title), look);
    add("The chart's title", analysis::oneLine(publish.title), look);
    add("The chart's subtitle", analysis::oneLine(publish.subtitle), look);
    add("The chart's footnote", analysis::oneLine(publish.footnote), look);
    const char* const forms[] = {"bars with dots", "dots with boxes", "differences"};
    add("The chart's form", forms[static_cast<int>(publish.form)], look);
    add("The chart's order", publish.order == session::ChartOrder::Plan ? "by plan" : "by value", look);
    add("The chart's groups", publish.groupBy.empty() ? "as in the plan" : publish.groupBy, look);
    add("The size",
        std::to_string(publish.width) + " × " + std::to_string(publish.height) + " pixels"
            + (publish.transparent ? ", nothing behind" : ""),
        look);
    add("The theme",
        !publish.ownTheme.empty()                    ? analysis::oneLine(publish.ownTheme)
        : publish.theme == session::ChartTheme::Dark ? "dark"
                                                     : "light",
        look);
    add("Where the method stands", publish.notesApart ? "on its own picture" : "on the chart", look);
    add("The trials shown",
        (publish.shownTrials.empty() ? "typical ones" : analysis::oneLine(publish.shownTrials))
            + std::string(publish.sideBySide ? ", side by side" : ""),
        look);
}

// What is read back

QJsonObject written(const PublishedValue& value)
{
    QJsonArray configurations;
    for (const std::int64_t id : value.configurations)
        configurations.append(static_cast<qint64>(id));
    QJsonObject object{{"key", QString::fromStdString(value.key)},
                       {"what", QString::fromStdString(value.what)},
                       {"words", QString::fromStdString(value.words)}};
    if (!value.exact.empty())
        object["exact"] = QString::fromStdString(value.exact);
    if (!value.configurations.empty())
        object["configurations"] = configurations;
    if (value.look)
        object["look"] = true;
    return object;
}

QJsonArray written(const std::vector<PublishedValue>& values)
{
    QJsonArray array;
    for (const PublishedValue& value : values)
        array.append(written(value));
    return array;
}

std::string text(const QJsonValue& value) { return value.toString().toStdString(); }

std::vector<PublishedValue> valuesIn(const QJsonValue& array)
{
    std::vector<PublishedValue> values;
    for (const auto item : array.toArray()) {
        const QJsonValue each = item;
        PublishedValue value{text(each["key"]),    text(each["what"]), text(each["words"]), text(each["exact"]), {},
                             each["look"].toBool()};
        for (const auto id : each["configurations"].toArray())
            value.configurations.push_back(id.toInteger());
        values.push_back(std::move(value));
    }
    return values;
}

// What moved

struct Change {
    Moved moved;
    std::set<std::int64_t> configurations; ///< empty: all
    bool look = false, cause = false;
};

/// Leaves out what both say at their beginnings and ends, so that what changed is seen.
void shorten(Moved& moved)
{
    std::vector<std::string> was = analysis::parts(moved.was, ", "), is = analysis::parts(moved.is, ", ");
    while (was.size() > 1 && is.size() > 1 && was.back() == is.back()) {
        was.pop_back();
        is.pop_back();
    }
    while (was.size() > 1 && is.size() > 1 && was.front() == is.front()) {
        was.erase(was.begin());
        is.erase(is.begin());
    }
    moved.was = moved.is = {};
    for (const std::string& part : was)
        analysis::join(moved.was, part);
    for (const std::string& part : is)
        analysis::join(moved.is, part);
}

/// In the order they are now, what is gone last.
std::vector<Change> changedIn(const std::vector<PublishedValue>& was, const std::vector<PublishedValue>& is)
{
    std::vector<Change> changed;
    std::map<std::string, const PublishedValue*> earlier;
    for (const PublishedValue& value : was)
        earlier[value.key] = &value;
    const auto add = [&](const PublishedValue* before, const PublishedValue* now) {
        Change change;
        const bool wordsMoved = !before || !now || before->words != now->words;
        change.moved = {now ? now->what : before->what, before ? before->words : std::string(),
                        now ? now->words : std::string(), !wordsMoved};
        bool all = false;
        for (const PublishedValue* one : {before, now})
            if (one) {
                all = all || one->configurations.empty();
                change.configurations.insert(one->configurations.begin(), one->configurations.end());
                change.look = one->look;
            }
        if (all)
            change.configurations.clear();
        changed.push_back(std::move(change));
    };
    for (const PublishedValue& value : is) {
        const auto found = earlier.find(value.key);
        const PublishedValue* before = found == earlier.end() ? nullptr : found->second;
        // Words alone may be another version's.
        const auto same = [&] {
            return before->exact.empty() || value.exact.empty() ? before->words == value.words
                                                                : before->exact == value.exact;
        };
        if (!before || !same())
            add(before, &value);
        if (before)
            earlier.erase(found);
    }
    for (const PublishedValue& value : was)
        if (earlier.contains(value.key))
            add(&value, nullptr);
    return changed;
}

bool concerns(const Change& input, const Change& figure)
{
    if (input.look)
        return false;
    return input.configurations.empty() || std::ranges::any_of(figure.configurations, [&](std::int64_t id) {
               return input.configurations.contains(id);
           });
}

void addCapped(std::vector<std::string>& lines, const std::string& before, const std::vector<Moved>& moved)
{
    for (std::size_t i = 0; i < std::min(moved.size(), mostCauses); ++i)
        lines.push_back(before + moved[i].what + ": " + wasAndIs(moved[i]));
    if (moved.size() > mostCauses)
        lines.push_back(before + "and " + std::to_string(moved.size() - mostCauses) + " more");
}

} // namespace

PublishedState publishedState(const session::Document& document, const analysis::Results& results,
                              const std::string& session, const std::string& programVersion)
{
    PublishedState state{session, programVersion, {}, {}, {}};
    for (const analysis::ConfigurationResult& result : results.configurations)
        state.figures.push_back(meanOf(result));
    if (find(results, results.baseline))
        for (const analysis::ConfigurationResult& result : results.configurations)
            if (!result.baseline)
                state.figures.push_back(differenceOf(results, result));
    for (const analysis::EarlierResults& earlier : results.earlier) {
        const auto addEarlier = [&](const analysis::ConfigurationResult& result, PublishedValue value) {
            value.what.replace(0, result.name.size(), earlierName(earlier, result));
            state.figures.push_back(std::move(value));
        };
        PublishedValue input = earlierInput(*find(document, earlier.session), results, earlier);
        for (const analysis::ConfigurationResult& result : earlier.configurations) {
            input.configurations.push_back(result.configuration.value);
            addEarlier(result, meanOf(result));
            if (result.comparison) {
                addEarlier(result, differenceOf(results, result));
                state.figures.back().configurations.push_back(earlier.here.value);
                state.figures.back().configurations.push_back(earlier.there.value);
            }
        }
        state.inputs.push_back(std::move(input));
    }
    state.inputs.push_back({"program", "The program's version", programVersion, {}, {}, false});
    for (const auto& [id, clock] : document.clocks)
        state.inputs.push_back(clockOf(*clock, results));
    addSettings(state.inputs, document, results);
    for (const session::Configuration* configuration : inOrder(document.configurations))
        state.inputs.push_back(configurationOf(*configuration));
    const auto names = trialNames(document);
    for (const analysis::TrialOutcome& outcome : results.trials)
        state.inputs.push_back(trialOf(document, outcome, names.at(outcome.trial)));
    return state;
}

QByteArray toJson(const PublishedState& state)
{
    QJsonArray changes;
    for (const PublishedChange& change : state.changes) {
        QJsonArray lines;
        for (const std::string& line : change.lines)
            lines.append(QString::fromStdString(line));
        changes.append(QJsonObject{{"time", QString::fromStdString(change.time)},
                                   {"program", QString::fromStdString(change.programVersion)},
                                   {"lines", lines}});
    }
    return QJsonDocument(QJsonObject{{"format", stateFormat},
                                     {"session", QString::fromStdString(state.session)},
                                     {"program", QString::fromStdString(state.programVersion)},
                                     {"figures", written(state.figures)},
                                     {"inputs", written(state.inputs)},
                                     {"changes", changes}})
        .toJson(QJsonDocument::Compact);
}

std::optional<PublishedState> publishedStateFrom(const QByteArray& bytes)
{
    const QJsonDocument json = QJsonDocument::fromJson(bytes);
    if (text(json["format"]) != stateFormat)
        return std::nullopt;
    PublishedState state{
        text(json["session"]), text(json["program"]), valuesIn(json["figures"]), valuesIn(json["inputs"]), {}};
    for (const auto item : json["changes"].toArray()) {
        const QJsonValue each = item;
        PublishedChange change{text(each["time"]), text(each["program"]), {}};
        for (const auto line : each["lines"].toArray())
            change.lines.push_back(text(line));
        state.changes.push_back(std::move(change));
    }
    return state;
}

Changes changesBetween(const PublishedState& was, const PublishedState& is)
{
    std::vector<Change> inputs = changedIn(was.inputs, is.inputs);
    for (Change& input : inputs)
        if (!input.moved.barely && !input.moved.was.empty() && !input.moved.is.empty())
            shorten(input.moved);
    Changes changes;
    for (const Change& figure : changedIn(was.figures, is.figures)) {
        MovedFigure moved{figure.moved, {}};
        const bool any = std::ranges::any_of(inputs, [&](const Change& input) { return concerns(input, figure); });
        for (Change& input : inputs)
            if (any ? concerns(input, figure) : !input.look) {
                input.cause = true;
                moved.because.push_back(input.moved);
            }
        changes.figures.push_back(std::move(moved));
    }
    for (const Change& input : inputs)
        if (!input.cause)
            changes.further.push_back(input.moved);
    return changes;
}

std::string wasAndIs(const Moved& moved)
{
    if (moved.barely)
        return "moved by less than is shown, is still " + moved.is;
    if (moved.was.empty())
        return "is new: " + moved.is;
    return moved.is.empty() ? "is gone, was " + moved.was : "was " + moved.was + "; is " + moved.is;
}

std::vector<std::string> changeLines(const Changes& changes)
{
    std::vector<std::string> lines, barely;
    const MovedFigure* last = nullptr;
    for (const MovedFigure& figure : changes.figures) {
        if (figure.barely) {
            barely.push_back(figure.what);
            continue;
        }
        // Several figures often rest on the same: it is said once, after them.
        if (last && last->because != figure.because)
            addCapped(lines, "  because: ", last->because);
        lines.push_back(figure.what + ": " + wasAndIs(figure) + '.');
        last = &figure;
    }
    if (last)
        addCapped(lines, "  because: ", last->because);
    if (!barely.empty()) {
        lines.push_back("Moved by less than is shown: " + analysis::listed(barely) + '.');
        if (lines.size() == 1)
            addCapped(lines, "  because: ", changes.figures.front().because);
    }
    addCapped(lines, changes.figures.empty() ? "" : "No figure rests on it: ", changes.further);
    return lines;
}

std::string changesText(const PublishedState& state)
{
    std::string text =
        "What moved from one publication of \"" + analysis::oneLine(state.session) + "\" to the next, newest first.\n";
    for (auto change = state.changes.rbegin(); change != state.changes.rend(); ++change) {
        text += '\n' + change->time + ", Tallyframe " + change->programVersion + '\n';
        for (const std::string& line : change->lines)
            text += line + '\n';
    }
    return text;
}

} // namespace report
