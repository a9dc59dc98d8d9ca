#include "core/session/edit_steps.h"
#include <algorithm>
#include <map>

namespace session {

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
    const EarlierSession& was = need(document, id);
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
    EditBuilder builder(document, "stop showing " + named(need(document, id)));
    builder.remove(id);
    return std::move(builder).finish();
}

Edit setBridge(const Document& document, EarlierSessionId id, ConfigurationId here, ConfigurationId there)
{
    EarlierSession earlier = need(document, id);
    earlier.here = there ? here : ConfigurationId{};
    earlier.there = here ? there : ConfigurationId{};
    return changing(document, earlier.here ? "say what both sessions measured" : "take back what both measured",
                    earlier);
}

} // namespace session
