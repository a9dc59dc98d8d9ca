#include "core/session/earlier.h"
#include "core/session/edit_steps.h"
#include "core/session/edits.h"
#include "core/session/text.h"

#include <algorithm>
#include <map>

namespace session {
namespace {

std::string named(const EarlierSession& earlier) { return "earlier session " + inQuotes(earlier.title); }

const EarlierSession& needEarlier(const Document& document, EarlierSessionId id)
{
    const EarlierSession* found = find(document, id);
    if (!found)
        refuse("there is no earlier session " + std::to_string(id.value) + " in this session");
    return *found;
}

} // namespace

const EarlierConfiguration* findEarlier(const EarlierSession& earlier, ConfigurationId id)
{
    const auto found = std::ranges::find(earlier.configurations, id, &EarlierConfiguration::id);
    return found == earlier.configurations.end() ? nullptr : &*found;
}

Edit addEarlierSession(const Document& document, EarlierSession earlier)
{
    for (const auto& [id, there] : document.earlierSessions)
        if (there->sha256 == earlier.sha256)
            refuse(named(*there) + " is shown already");
    EditBuilder builder(document, "show " + named(earlier));
    earlier.id = builder.nextId<EarlierSessionId>();
    earlier.time = timeNow();
    earlier.here = earlier.there = {};
    for (EarlierConfiguration& configuration : earlier.configurations)
        configuration.id = builder.nextId<ConfigurationId>();
    builder.put(earlier);
    return std::move(builder).finish();
}

Edit readEarlierAgain(const Document& document, EarlierSessionId id, EarlierSession read)
{
    const EarlierSession& was = needEarlier(document, id);
    EditBuilder builder(document, "read " + named(was) + " again");
    read.id = id;
    read.time = was.time;
    read.here = was.here;
    read.there = was.there;
    // What is still there keeps its number, so that publishing tells what moved; names are taken once each.
    std::map<std::string, ConfigurationId> known;
    for (const EarlierConfiguration& configuration : was.configurations)
        known.emplace(configuration.name, configuration.id);
    for (EarlierConfiguration& configuration : read.configurations) {
        const auto found = known.extract(configuration.name);
        configuration.id = found ? found.mapped() : builder.nextId<ConfigurationId>();
    }
    if (!findEarlier(read, read.there))
        read.here = read.there = {};
    if (read != was)
        read.time = timeNow();
    builder.put(read);
    return std::move(builder).finish();
}

Edit removeEarlierSession(const Document& document, EarlierSessionId id)
{
    EditBuilder builder(document, "stop showing " + named(needEarlier(document, id)));
    builder.remove(id);
    return std::move(builder).finish();
}

Edit setBridge(const Document& document, EarlierSessionId id, ConfigurationId here, ConfigurationId there)
{
    EarlierSession earlier = needEarlier(document, id);
    earlier.here = here && there ? here : ConfigurationId{};
    earlier.there = here && there ? there : ConfigurationId{};
    EditBuilder builder(document, earlier.here ? "say what both sessions measured" : "take back what both measured");
    builder.put(earlier);
    return std::move(builder).finish();
}

} // namespace session
