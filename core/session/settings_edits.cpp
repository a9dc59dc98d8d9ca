#include "core/session/edit_steps.h"
#include "core/session/limits.h"
#include <algorithm>

namespace session {

namespace {

/// Margin and planned n are stored with the time of the decision, however they were changed.
void stampDecisions(const Plan& before, Plan& after)
{
    if (after.marginMs != before.marginMs)
        after.marginTime = timeNow();
    if (after.trialsPerConfiguration != before.trialsPerConfiguration
        || after.runsPerConfiguration != before.runsPerConfiguration || after.baselineTrials != before.baselineTrials
        || after.baselineRuns != before.baselineRuns)
        after.planTime = timeNow();
}

/// Positions become 0, 1, 2, ... in the order given.
void number(EditBuilder& builder, const std::vector<const Configuration*>& ordered)
{
    int position = 0;
    for (const Configuration* configuration : ordered) {
        Configuration moved = *configuration;
        moved.position = position++;
        builder.put(moved);
    }
}

Edit changedPlan(const Document& document, const Plan& plan, std::string label)
{
    Settings settings = document.settings;
    settings.plan = plan;
    return setSettings(document, settings, std::move(label));
}

} // namespace

Edit setSettings(const Document& document, const Settings& wanted, std::string label)
{
    Settings settings = wanted;
    stampDecisions(document.settings.plan, settings.plan);
    dropEmpty(settings.rig);
    return changing(document, std::move(label), settings);
}

Edit addConfiguration(const Document& document, Configuration configuration)
{
    EditBuilder builder(document, "add " + named(configuration));
    configuration.id = builder.nextId<ConfigurationId>();
    dropEmpty(configuration.texts);
    const auto ordered = inOrder(document.configurations);
    configuration.position = ordered.empty() ? 0 : ordered.back()->position + 1;
    builder.put(configuration);
    return std::move(builder).finish();
}

Edit setConfiguration(const Document& document, const Configuration& wanted)
{
    need(document, wanted.id);
    Configuration configuration = wanted;
    dropEmpty(configuration.texts);
    return changing(document, "change " + named(wanted), configuration);
}

Edit removeConfiguration(const Document& document, ConfigurationId id)
{
    const Configuration& configuration = need(document, id);
    const auto uses = [&](const auto& entity) { return entity.configuration == id; };
    const std::size_t trials = countOf(document.trials, uses), captures = countOf(document.captures, uses);
    if (trials + captures > 0)
        refuse(named(configuration) + " can't be removed while " + counted(captures, "capture") + " and "
               + counted(trials, "trial") + " are tagged with it; tag them otherwise first");
    EditBuilder builder(document, "remove " + named(configuration));
    Settings settings = document.settings;
    if (settings.plan.baseline == id)
        settings.plan.baseline = {};
    if (settings.runSheet)
        std::erase_if(settings.runSheet->lines, [&](const SheetLine& line) { return line.configuration == id; });
    builder.put(settings);
    for (const auto& [number, there] : document.earlierSessions)
        if (there->here == id) {
            EarlierSession earlier = *there;
            earlier.here = earlier.there = {};
            builder.put(earlier);
        }
    builder.remove(id);
    const Document& after = builder.document();
    number(builder, inOrder(after.configurations));
    return std::move(builder).finish();
}

Edit moveConfiguration(const Document& document, ConfigurationId id, int newPosition)
{
    const Configuration& configuration = need(document, id);
    auto ordered = inOrder(document.configurations);
    std::erase(ordered, &configuration);
    const auto place = std::clamp<std::ptrdiff_t>(newPosition, 0, std::ssize(ordered));
    ordered.insert(ordered.begin() + place, &configuration);
    EditBuilder builder(document, "move " + named(configuration));
    number(builder, ordered);
    return std::move(builder).finish();
}

Edit setBaseline(const Document& document, ConfigurationId id)
{
    Plan plan = document.settings.plan;
    plan.baseline = id;
    return changedPlan(document, plan,
                       id ? "make " + named(need(document, id)) + " the baseline" : "clear the baseline");
}

Edit setMargin(const Document& document, std::optional<double> ms)
{
    Plan plan = document.settings.plan;
    plan.marginMs = ms;
    return changedPlan(document, plan, ms ? "set the margin" : "clear the margin");
}

Edit recordPublication(const Document& document, Publication publication)
{
    EditBuilder builder(document, "publish", EditKind::OnRecord);
    if (document.publications.size() >= limits::publications)
        builder.remove(document.publications.begin()->first);
    publication.id = builder.nextId<PublicationId>();
    publication.time = timeNow();
    builder.put(publication);
    return std::move(builder).finish();
}

Edit recordEarlyLook(const Document& document, std::string what)
{
    Settings settings = document.settings;
    settings.earlyLooks.push_back({timeNow(), settings.reader, what});
    return changing(document, "look at " + what, settings, EditKind::OnRecord);
}

} // namespace session
