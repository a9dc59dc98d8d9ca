#include "core/error.h"
#include "core/analysis/blind_packet.h"
#include "core/analysis/phrases.h"

#include <algorithm>
#include <set>

namespace analysis {
namespace {

[[noreturn]] void atOdds(const std::string& sentence) { throw core::Error(core::ErrorKind::AtOdds, sentence); }

/// What keeps a reading out; empty when nothing does.
std::string fault(const session::Document& document, const session::Trial& trial, const session::Capture& there,
                  const session::Reading& reading)
{
    const session::Capture& here = *find(document, trial.capture);
    if (there.frames != here.frames)
        return "its footage has " + std::to_string(there.frames.value) + " frames there and "
               + std::to_string(here.frames.value) + " here";
    if (here.sha256.empty())
        return "the checksum of " + oneLine(here.name) + " isn't taken yet here; open the session and let it finish";
    if (there.sha256.empty() || there.sha256 != here.sha256)
        return "its footage has another checksum than " + oneLine(here.name) + " here";
    if (reading.response && reading.response->frame < reading.press->frame)
        return "its response lies before its press";
    for (const auto* mark : {&reading.press, &reading.response})
        for (const session::Reading& own : trial.readings)
            for (const auto* known : {&own.press, &own.response})
                if (*mark && *known && (*mark)->frame == (*known)->frame
                    && (*mark)->pictureHash != (*known)->pictureHash)
                    return "frame " + std::to_string((*mark)->frame.value) + " shows another picture there than here";
    return {};
}

} // namespace

IncomingReadings incomingReadings(const session::Document& document, const session::Document& packet)
{
    const auto& reread = packet.settings.reread;
    if (!reread || reread->packet.empty())
        atOdds("That session isn't a blind packet; choose the packet that the second reader has sent back.");
    const auto record = std::ranges::find(document.settings.packets, reread->packet, &session::Packet::token);
    if (record == document.settings.packets.end())
        atOdds("That packet wasn't handed out by this session, or its handing out was undone; open the session it "
               "belongs to.");
    if (record->trials.size() != reread->places.size())
        atOdds("That packet was changed: it has " + std::to_string(reread->places.size()) + " trials, and "
               + std::to_string(record->trials.size()) + " were handed out.");

    IncomingReadings incoming;
    std::set<std::string> readers;
    for (std::size_t i = 0; i < reread->places.size(); ++i) {
        const std::string place = "Trial " + std::to_string(i + 1) + " of the packet wasn't brought in: ";
        const session::Trial* there = find(packet, reread->places[i].trial);
        if (!there) {
            incoming.refused.push_back(place + "it isn't in the packet any more.");
            continue;
        }
        const session::Trial* trial = find(document, record->trials[i]);
        if (there->reject)
            incoming.notes.push_back((trial ? "The reader rejects " + oneLine(trialName(document, trial->id))
                                            : "The reader rejects trial " + std::to_string(i + 1) + " of the packet")
                                     + ": " + session::label(there->reject->reason)
                                     + (there->reject->note.empty() ? "" : ", " + oneLine(there->reject->note)) + '.');
        if (there->reject && trial && !trial->reject)
            incoming.rejects.push_back({trial->id, *there->reject});
        const session::Reading* reading = session::blindReading(*reread, *there);
        if (!reading || !reading->accepted || !session::isComplete(*reading)) {
            ++incoming.notRead;
            continue;
        }
        if (!trial) {
            incoming.refused.push_back(place + "its trial has gone from this session.");
            continue;
        }
        if (reading->reader.empty()) {
            incoming.refused.push_back(place + "it has no reader's name; he has to give one in the packet.");
            continue;
        }
        const bool here = std::ranges::any_of(trial->readings, [&](const session::Reading& own) {
            return own.reader == reading->reader && own.time == reading->time;
        });
        if (here) {
            ++incoming.alreadyHere;
            continue;
        }
        if (const std::string why = fault(document, *trial, *find(packet, there->capture), *reading); !why.empty()) {
            incoming.refused.push_back(place + why + '.');
            continue;
        }
        readers.insert(oneLine(reading->reader));
        for (const auto* mark : {&reading->press, &reading->response})
            if (*mark)
                incoming.pictures.push_back(
                    {incoming.readings.size(), trial->capture, (*mark)->frame, (*mark)->pictureHash});
        incoming.readings.push_back({trial->id, *reading});
    }
    if (readers.empty() && !packet.settings.reader.empty())
        readers.insert(oneLine(packet.settings.reader)); // who rejects without reading
    incoming.reader = listed({readers.begin(), readers.end()});
    return incoming;
}

void refuseReadings(IncomingReadings& incoming, const std::vector<std::pair<std::size_t, std::string>>& why)
{
    std::set<std::size_t> out;
    for (const auto& [reading, sentence] : why)
        if (out.insert(reading).second)
            incoming.refused.push_back(sentence);
    std::vector<session::BroughtIn> kept;
    for (std::size_t i = 0; i < incoming.readings.size(); ++i)
        if (!out.contains(i))
            kept.push_back(std::move(incoming.readings[i]));
    incoming.readings = std::move(kept);
    incoming.pictures.clear(); // their indices hold no longer
}

} // namespace analysis
