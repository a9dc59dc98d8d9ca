#include "core/analysis/capture_tags.h"
#include "core/analysis/phrases.h"
#include "core/analysis/run_sheet.h"

#include <QRegularExpression>
#include <QStringList>
#include <algorithm>
#include <cmath>
#include <set>

namespace analysis {
namespace {

// ---- names by a pattern

constexpr qsizetype longestPattern = 200;
constexpr auto nameOptions = QRegularExpression::CaseInsensitiveOption | QRegularExpression::DotMatchesEverythingOption
                             | QRegularExpression::UseUnicodePropertiesOption;

/// One way to name a configuration within a capture's name.
struct Naming {
    QString pattern;
    session::ConfigurationId configuration;
};

QStringList wordsOf(const std::string& name)
{
    static const QRegularExpression apart(QStringLiteral("[^\\p{L}\\p{N}]+"),
                                          QRegularExpression::UseUnicodePropertiesOption);
    return QString::fromStdString(name).toLower().split(apart, Qt::SkipEmptyParts);
}

/// Words, however they are set apart.
QString wordPattern(QStringList words)
{
    for (QString& word : words)
        word = QRegularExpression::escape(word);
    return words.join(QStringLiteral("[^\\p{L}\\p{N}]*"));
}

/// Whole names first, then what only one of them begins with, then numbers.
std::vector<Naming> namingsOf(const session::Document& document)
{
    const auto configurations = inOrder(document.configurations);
    std::vector<QStringList> words;
    for (const session::Configuration* one : configurations)
        words.push_back(wordsOf(one->name));
    std::vector<Naming> whole, beginnings, numbers;
    for (std::size_t i = 0; i < configurations.size(); ++i) {
        const session::ConfigurationId id = configurations[i]->id;
        if (!words[i].isEmpty())
            whole.push_back({wordPattern(words[i]), id});
        for (qsizetype count = words[i].size() - 1; count > 0; --count) {
            const QStringList beginning = words[i].mid(0, count);
            if (std::ranges::count(words, beginning, [&](const QStringList& of) { return of.mid(0, count); }) == 1)
                beginnings.push_back({wordPattern(beginning), id});
        }
        numbers.push_back({QString::number(i + 1), id});
    }
    whole.insert(whole.end(), beginnings.begin(), beginnings.end());
    whole.insert(whole.end(), numbers.begin(), numbers.end());
    return whole;
}

/// Longest first, so that "hub 2" isn't read as "hub".
QString anyOf(const std::vector<Naming>& namings)
{
    QStringList patterns;
    for (const Naming& naming : namings)
        patterns << naming.pattern;
    std::ranges::stable_sort(patterns, std::ranges::greater(), &QString::size);
    return patterns.join(QLatin1Char('|'));
}

QRegularExpression whole(const QString& pattern)
{
    return QRegularExpression(QRegularExpression::anchoredPattern(pattern), nameOptions);
}

/// A pattern made ready for many names.
class NameReader {
public:
    NameReader(const session::Document& document, const std::string& text)
    {
        if (text.empty() || !patternProblem(text).empty())
            return;
        const std::vector<Naming> namings = namingsOf(document);
        QString pattern = QRegularExpression::escape(QString::fromStdString(text));
        if (pattern.contains(QLatin1String("\\%c")) && namings.empty())
            return;
        pattern.replace(QLatin1String("\\*"), QLatin1String(".*?"));
        pattern.replace(QLatin1String("\\%r"), QLatin1String("(?<run>.+?)"));
        pattern.replace(QLatin1String("\\%c"), QLatin1String("(?<configuration>") + anyOf(namings) + QLatin1Char(')'));
        m_pattern = whole(pattern);
        for (const Naming& naming : namings)
            m_namings.emplace_back(whole(naming.pattern), naming.configuration);
    }
    std::optional<NameParts> partsOf(const std::string& name) const
    {
        if (!m_pattern)
            return std::nullopt;
        const auto match = m_pattern->match(QString::fromStdString(name));
        if (!match.hasMatch())
            return std::nullopt;
        NameParts parts{{}, match.captured(QStringLiteral("run")).trimmed().toStdString()};
        const QString named = match.captured(QStringLiteral("configuration"));
        const auto configuration =
            std::ranges::find_if(m_namings, [&](const auto& naming) { return naming.first.match(named).hasMatch(); });
        if (!named.isEmpty() && configuration != m_namings.end())
            parts.configuration = configuration->second;
        return parts;
    }

private:
    std::optional<QRegularExpression> m_pattern; ///< empty: no name fits
    std::vector<std::pair<QRegularExpression, session::ConfigurationId>> m_namings;
};

// ---- one camera in one mode

/// Well below 1000/1001, above what rounded stamps of a short film leave open.
constexpr double sameStored = 2e-4;

std::string sizeOf(const session::Capture& capture)
{
    return std::to_string(capture.width) + " x " + std::to_string(capture.height);
}

std::string storedRate(const session::StoredAs& stored)
{
    if (stored.stepSeconds <= 0)
        return "stored at no even rate";
    return "stored at " + plain(std::round(1000 / stored.stepSeconds) / 1000) + " a second";
}

/// A container's rate is an average over the whole file, so it differs where the steps of the stamps don't.
std::vector<session::RateTag> comparedTags(const session::Capture& capture)
{
    std::vector<session::RateTag> tags = capture.rateTags;
    if (capture.stored && capture.stored->stepSeconds > 0)
        std::erase_if(tags, [](const session::RateTag& tag) { return tag.key == "container frame rate"; });
    return tags;
}

std::string tagsOf(const session::Capture& capture)
{
    std::vector<std::string> tags;
    for (const session::RateTag& tag : comparedTags(capture))
        tags.push_back(oneLine(tag.key) + " " + oneLine(tag.value));
    return tags.empty() ? "no tags on the rate" : listed(tags);
}

/// The first statements of either clock that contradict each other.
std::string clockDifference(const session::Clock& a, const session::Clock& b, const std::string& nameOfB)
{
    if (a.stamped != b.stamped || a.slowDown != b.slowDown)
        return "the clocks of both read time from different things";
    for (const session::ClockEvidence& one : a.evidence)
        for (const session::ClockEvidence& other : b.evidence)
            if (!timing::agree(one.rate, other.rate))
                return std::string("its ") + timing::label(one.rate.origin) + " says " + rateText(one.rate)
                       + " a second, the " + timing::label(other.rate.origin) + " of " + nameOfB + " "
                       + rateText(other.rate);
    return {};
}

bool isSettled(const session::Document& document, session::ClockId id)
{
    const session::Clock* clock = find(document, id);
    return clock && clock->settled;
}

// ---- rows of the table

using Choices = std::map<session::CaptureId, TagChoice>;

/// What the analyst or the pattern say, where they do.
struct Said {
    std::optional<session::ConfigurationId> configuration;
    std::optional<std::string> run; ///< empty: none
    bool ownRun = false, sameCamera = false, lampReference = false, fitsPattern = false;
};

Said saidOf(const session::Document& document, const session::Capture& capture, const Choices& choices,
            const NameReader& names)
{
    Said said;
    said.lampReference = capture.lampReference;
    if (const auto parts = names.partsOf(capture.name)) {
        said.fitsPattern = true;
        if (parts->configuration)
            said.configuration = parts->configuration;
        // A run is of one set-up, whatever else is called "run 1".
        if (!parts->run.empty())
            said.run = parts->configuration ? oneLine(find(document, parts->configuration)->name) + " " + parts->run
                                            : parts->run;
    }
    const auto chosen = choices.find(capture.id);
    if (chosen == choices.end())
        return said;
    const TagChoice& choice = chosen->second;
    if (choice.configuration)
        said.configuration = choice.configuration;
    if (choice.run != TagChoice::Run::Proposed)
        said.run.reset();
    said.ownRun = choice.run == TagChoice::Run::Own;
    if (choice.run == TagChoice::Run::Named)
        said.run = choice.runName;
    said.sameCamera = choice.sameCamera;
    said.lampReference = choice.lampReference.value_or(said.lampReference);
    return said;
}

bool sharesRun(const session::Document& document, const session::Capture& capture)
{
    return std::ranges::any_of(document.captures, [&](const auto& item) {
        return item.second->id != capture.id && item.second->run == capture.run;
    });
}

/// The sheet's next lines, as if all that is said were in the session already.
std::map<session::CaptureId, std::size_t> sheetLines(session::Document document,
                                                     const std::map<session::CaptureId, Said>& said)
{
    for (auto& [id, capture] : document.captures) {
        const Said& of = said.at(id);
        session::Capture as = *capture;
        as.lampReference = of.lampReference;
        if (of.configuration)
            as.configuration = *of.configuration;
        if (of.run || of.ownRun || (of.configuration && !*of.configuration))
            as.run = {document.nextId}; // some run: the sheet has nothing to say of it
        capture = std::make_shared<const session::Capture>(as);
    }
    std::map<session::CaptureId, std::size_t> lines;
    for (const SheetProposal& proposal : sheetProposals(document))
        if (proposal.line)
            lines[proposal.capture] = *proposal.line;
    return lines;
}

/// Run names that the table gives out: each to one capture, unless the analyst says otherwise.
class OwnNames {
public:
    explicit OwnNames(const session::Document& document)
    {
        for (const auto& [id, run] : document.runs)
            m_taken.insert(run->name);
    }
    void keep(const std::string& name) { m_taken.insert(name); }
    std::string take(const std::string& name)
    {
        const std::string free =
            session::freeName(name, [&](const std::string& wanted) { return m_taken.contains(wanted); });
        m_taken.insert(free);
        return free;
    }

private:
    std::set<std::string> m_taken;
};

void nameRun(TagRow& row, const session::Document& document, const std::string& name)
{
    row.run = name;
    if (name.empty())
        return;
    if (const session::Run* known = findNamed(document.runs, name))
        row.tags.run = known->id;
    else
        row.tags.newRun = name;
}

} // namespace

Likeness likeness(const session::Document& document, session::CaptureId id, const session::Capture& other)
{
    const session::Capture& capture = *find(document, id);
    const std::string of = " of " + oneLine(other.name);
    const session::Clock *clock = find(document, capture.clock), *others = find(document, other.clock);
    Likeness found;
    if (!capture.stored || !other.stored)
        found.differs = "this session doesn't know how " + oneLine(capture.stored ? other.name : capture.name)
                        + " is stored: it was taken in by an earlier version";
    else if (!capture.pieces.empty() || !other.pieces.empty())
        found.differs = oneLine(capture.pieces.empty() ? other.name : capture.name)
                        + " changes its speed: share its clocks on the clock page";
    else if (capture.width != other.width || capture.height != other.height)
        found.differs = "its picture is " + sizeOf(capture) + ", that" + of + " " + sizeOf(other);
    else if (capture.pictureFolder != other.pictureFolder || capture.stored->codec != other.stored->codec)
        found.differs = "it is stored as " + oneLine(capture.stored->codec) + ", " + oneLine(other.name) + " as "
                        + oneLine(other.stored->codec);
    else if (capture.stored->camera != other.stored->camera)
        found.differs = capture.stored->camera.empty() || other.stored->camera.empty()
                            ? "only one of them and " + oneLine(other.name) + " names its camera"
                            : "its tags name " + oneLine(capture.stored->camera) + ", those" + of + " "
                                  + oneLine(other.stored->camera);
    else if (std::abs(capture.stored->stepSeconds - other.stored->stepSeconds) > sameStored * other.stored->stepSeconds)
        found.differs =
            "it is " + storedRate(*capture.stored) + ", " + oneLine(other.name) + " " + storedRate(*other.stored);
    else if (comparedTags(capture) != comparedTags(other))
        found.differs = "its tags say: " + tagsOf(capture) + "; those" + of + ": " + tagsOf(other);
    else if (clock && others && clock != others)
        found.differs = clockDifference(*clock, *others, oneLine(other.name));
    if (!found.differs.empty())
        return found;
    std::vector<std::string> alike{sizeOf(capture), oneLine(capture.stored->codec)};
    if (!capture.stored->camera.empty())
        alike.push_back(oneLine(capture.stored->camera));
    alike.push_back(storedRate(*capture.stored));
    alike.push_back(tagsOf(capture));
    for (const std::string& one : alike)
        join(found.alike, one);
    return found;
}

std::vector<SameCamera> sameCameras(const session::Document& document)
{
    struct Group {
        const session::Capture* leader; ///< whose clock the others may share
        std::vector<const session::Capture*> members;
    };
    std::vector<Group> groups;
    const auto ordered = inOrder(document.captures);
    for (const session::Capture* capture : ordered) {
        if (!find(document, capture->clock) || !capture->stored || !capture->pieces.empty())
            continue;
        const auto group = std::ranges::find_if(groups, [&](const Group& one) {
            return likeness(document, capture->id, *one.members.front()).differs.empty();
        });
        if (group == groups.end()) {
            groups.push_back({capture, {capture}});
            continue;
        }
        group->members.push_back(capture);
        if (isSettled(document, capture->clock) && !isSettled(document, group->leader->clock))
            group->leader = capture;
    }
    std::vector<SameCamera> same;
    for (const Group& group : groups)
        for (const session::Capture* member : group.members) {
            if (member->clock == group.leader->clock || isSettled(document, member->clock))
                continue;
            const Likeness found = likeness(document, member->id, *group.leader);
            if (found.differs.empty())
                same.push_back({member->id, group.leader->id, group.leader->clock, found.alike});
        }
    std::ranges::stable_sort(same, {}, [&](const SameCamera& one) { return find(document, one.capture)->position; });
    return same;
}

std::string patternProblem(const std::string& text)
{
    const QString pattern = QString::fromStdString(text);
    if (pattern.isEmpty())
        return {};
    if (pattern.size() > longestPattern)
        return "A pattern has at most " + std::to_string(longestPattern) + " characters.";
    const auto configurations = pattern.count(QLatin1String("%c")), runs = pattern.count(QLatin1String("%r"));
    if (configurations > 1 || runs > 1)
        return "A pattern has %c and %r once each at most.";
    if (configurations + runs == 0)
        return "A pattern needs %c where the configuration stands in the name, or %r where the run does.";
    return {};
}

std::optional<NameParts> partsOfName(const session::Document& document, const std::string& pattern,
                                     const std::string& name)
{
    return NameReader(document, pattern).partsOf(name);
}

std::vector<TagRow> tagRows(const session::Document& document, const Choices& choices, const std::string& pattern)
{
    const auto ordered = inOrder(document.captures);
    std::map<session::CaptureId, Said> said;
    const NameReader names(document, pattern);
    for (const session::Capture* capture : ordered)
        said[capture->id] = saidOf(document, *capture, choices, names);
    const auto lines = sheetLines(document, said);
    const std::vector<SameCamera> same = sameCameras(document);
    OwnNames own(document);
    for (const auto& [id, of] : said)
        own.keep(of.run.value_or(std::string()));

    std::vector<TagRow> rows;
    for (const session::Capture* capture : ordered) {
        const Said& of = said[capture->id];
        TagRow row;
        session::CaptureTags& tags = row.tags;
        tags.capture = capture->id;
        tags.lampReference = of.lampReference;
        row.fitsPattern = of.fitsPattern;
        row.isNewKind = of.lampReference != capture->lampReference;
        if (const auto camera = std::ranges::find(same, capture->id, &SameCamera::capture); camera != same.end()) {
            row.camera = *camera;
            if (of.sameCamera)
                tags.clock = camera->clock;
        }
        if (!of.lampReference) {
            tags.configuration = of.configuration.value_or(capture->configuration);
            const auto line = lines.find(capture->id);
            const bool keeps = capture->run && !(of.ownRun && sharesRun(document, *capture));
            if (of.run) {
                nameRun(row, document, *of.run);
            } else if (keeps) {
                tags.run = capture->run;
                row.run = find(document, capture->run)->name;
            } else if (!of.ownRun && line != lines.end()) {
                tags.sheetLine = line->second;
                const session::SheetLine& at = document.settings.runSheet->lines[line->second];
                tags.configuration = at.configuration;
                row.run = at.run ? find(document, at.run)->name : "run " + std::to_string(line->second + 1);
            } else {
                tags.newRun = own.take(capture->name);
                row.run = tags.newRun;
            }
        }
        row.isNewConfiguration = tags.configuration != capture->configuration;
        row.isNewRun = tags.run != capture->run || tags.sheetLine || !tags.newRun.empty();
        rows.push_back(std::move(row));
    }
    return rows;
}

} // namespace analysis
