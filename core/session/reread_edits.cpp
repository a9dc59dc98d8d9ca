#include "core/session/edit_steps.h"
#include "core/session/edits.h"
#include "core/session/text.h"
#include <algorithm>

namespace session {
namespace {

bool belongsTo(const Reread& reread, const Reading& reading)
{
    return reading.blind && reading.id.value >= reread.since;
}

} // namespace

Edit beginReread(const Document& document, Reread reread)
{
    EditBuilder builder(document, "draw " + counted(reread.places.size(), "trial") + " to read blind");
    reread.time = timeNow();
    reread.since = document.nextId;
    Settings settings = document.settings;
    settings.reread = std::move(reread);
    builder.put(settings);
    return std::move(builder).finish();
}

const Reading* blindReading(const Reread& reread, const Trial& trial)
{
    for (auto reading = trial.readings.rbegin(); reading != trial.readings.rend(); ++reading)
        if (belongsTo(reread, *reading))
            return &*reading;
    return nullptr;
}

Edit markBlind(const Document& document, TrialId id, MarkKind kind, const Mark& mark, std::string view)
{
    if (!document.settings.reread)
        refuse("no blind reading is under way");
    const Reread& reread = *document.settings.reread;
    Trial trial = need(document, id);
    const Reading* begun = blindReading(reread, trial);
    EditBuilder builder(document, std::string("mark ") + (kind == MarkKind::Press ? "press" : "response")
                                      + " in the blind reading");
    if (!begun) {
        if (!std::ranges::all_of(trial.readings, &Reading::accepted))
            refuse("this trial has a reading that isn't finished; accept or drop it first");
        Reading reading;
        reading.id = builder.nextId<ReadingId>();
        reading.reader = document.settings.reader;
        reading.blind = true;
        trial.readings.push_back(std::move(reading));
    }
    const ReadingId wanted = begun ? begun->id : trial.readings.back().id;
    Reading& reading = *std::ranges::find(trial.readings, wanted, &Reading::id);
    (kind == MarkKind::Press ? reading.press : reading.response) = mark;
    if (kind == MarkKind::Response)
        reading.noReaction = false;
    reading.time = timeNow();
    reading.view = std::move(view);
    reading.accepted = reading.accepted && isComplete(reading)
                       && !(reading.response && reading.press->frame > reading.response->frame);
    builder.put(trial);
    return std::move(builder).finish();
}

Edit handOutPacket(const Document& document, const Packet& packet)
{
    EditBuilder builder(document, "hand out a blind packet of " + counted(packet.trials.size(), "trial"));
    Settings settings = document.settings;
    settings.packets.push_back(packet);
    builder.put(settings);
    return std::move(builder).finish();
}

Edit bringInReadings(const Document& document, const std::vector<BroughtIn>& brought, const std::string& from)
{
    EditBuilder builder(document, "bring in " + counted(brought.size(), "reading")
                                      + (from.empty() ? "" : " by " + std::string(shortened(from))));
    for (const BroughtIn& one : brought) {
        Trial trial = need(builder.document(), one.trial);
        if (!one.reading.accepted || !isComplete(one.reading))
            refuse("a reading of " + trialName(document, one.trial) + " isn't finished, so it can't be brought in");
        trial.readings.push_back(one.reading);
        trial.readings.back().id = builder.nextId<ReadingId>();
        builder.put(trial);
    }
    return std::move(builder).finish();
}

Edit takeRejects(const Document& document, const std::vector<BroughtReject>& brought, const std::string& from)
{
    const std::string by = from.empty() ? "the second reader" : std::string(shortened(from));
    EditBuilder builder(document, "reject " + counted(brought.size(), "trial") + " as " + by + " does");
    for (const BroughtReject& one : brought) {
        Trial trial = need(builder.document(), one.trial);
        if (trial.reject)
            continue;
        trial.reject = one.reject;
        trial.reject->note += (trial.reject->note.empty() ? "read blind by " : "; read blind by ") + by;
        trial.reject->time = timeNow();
        builder.put(trial);
    }
    return std::move(builder).finish();
}

} // namespace session
