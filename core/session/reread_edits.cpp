#include "core/session/edit_steps.h"
#include <algorithm>

namespace session {
Edit beginReread(const Document& document, Reread reread)
{
    const std::string label = "draw " + counted(std::ssize(reread.places), "trial") + " to read blind";
    reread.time = timeNow();
    reread.since = document.nextId;
    Settings settings = document.settings;
    settings.reread = std::move(reread);
    return changing(document, label, settings);
}

const Reading* blindReading(const Reread& reread, const Trial& trial)
{
    for (auto reading = trial.readings.rbegin(); reading != trial.readings.rend(); ++reading)
        if (reading->blind && reading->id.value >= reread.since)
            return &*reading;
    return nullptr;
}

Edit markBlind(const Document& document, TrialId id, MarkKind kind, const Mark& mark, std::string view)
{
    if (!document.settings.reread)
        refuse("no blind reading is under way");
    Trial trial = need(document, id);
    const Reading* begun = blindReading(*document.settings.reread, trial);
    EditBuilder builder(document, std::string("mark ") + (kind == MarkKind::Press ? "press" : "response")
                                      + " in the blind reading");
    const ReadingId reading = begun ? begun->id : beginReading(builder, trial, true).id;
    putMark(*std::ranges::find(trial.readings, reading, &Reading::id), kind, mark, std::move(view));
    builder.put(trial);
    return std::move(builder).finish();
}

Edit handOutPacket(const Document& document, const Packet& packet)
{
    Settings settings = document.settings;
    settings.packets.push_back(packet);
    return changing(document, "hand out a blind packet of " + counted(std::ssize(packet.trials), "trial"), settings);
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
