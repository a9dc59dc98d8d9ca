#include "core/session/earlier.h"
#include "core/session/edit_steps.h"
#include "core/session/edits.h"
#include "core/session/text.h"

#include <algorithm>

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

void numberAll(EditBuilder& builder, EarlierSession& earlier)
{
    for (EarlierConfiguration& configuration : earlier.configurations)
        configuration.id = builder.nextId<ConfigurationId>();
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
    numberAll(builder, earlier);
    builder.put(earlier);
    return std::move(builder).finish();
}

Edit readEarlierAgain(const Document& document, EarlierSessionId id, EarlierSession read)
{
    const EarlierSession& was = needEarlier(document, id);
    EditBuilder builder(document, "read " + named(was) + " again");
    const EarlierConfiguration* bridge = findEarlier(was, was.there);
    read.id = id;
    read.time = timeNow();
    numberAll(builder, read);
    read.here = read.there = {};
    if (bridge)
        for (const EarlierConfiguration& configuration : read.configurations)
            if (configuration.name == bridge->name) {
                read.here = was.here;
                read.there = configuration.id;
            }
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
