#include "core/analysis/blind_packet.h"
#include "core/analysis/phrases.h"
#include "core/analysis/blind_reading.h"
#include "core/analysis/shuffled.h"
#include "core/session/text.h"

#include <algorithm>
#include <cassert>
#include <map>
#include <random>
#include <set>

namespace analysis {
namespace {

/// Those of drawn trials, named by their kind; numbered where a capture has several.
std::vector<session::Region> namedAnew(const std::vector<session::Region>& regions, session::EditBuilder& builder,
                                       std::map<session::RegionId, session::RegionId>& numbers)
{
    std::vector<session::Region> renamed;
    std::map<session::RegionKind, int> count;
    for (session::Region region : regions) {
        const int number = ++count[region.kind];
        const session::RegionId before = region.id;
        region.id = numbers[before] = builder.nextId<session::RegionId>();
        region.name = std::string(region.kind == session::RegionKind::Lamp ? "lamp" : "screen")
                      + (number > 1 ? " " + std::to_string(number) : "");
        renamed.push_back(std::move(region));
    }
    return renamed;
}

std::vector<session::Region> regionsOf(const session::Capture& capture, const std::set<session::RegionId>& used)
{
    std::vector<session::Region> regions;
    std::ranges::copy_if(capture.regions, std::back_inserter(regions),
                         [&](const session::Region& region) { return used.contains(region.id); });
    return regions;
}

} // namespace

BlindPacket blindPacket(const session::Document& document, double share, std::int64_t seed, const std::string& token)
{
    const session::Reread drawn = drawReread(document, share, seed);
    std::map<session::CaptureId, std::set<session::RegionId>> used;
    for (const session::RereadPlace& place : drawn.places) {
        const session::Trial& trial = *find(document, place.trial);
        used[trial.capture].insert({trial.lamp, trial.screen});
    }
    std::vector<session::CaptureId> captures;
    for (const auto& [id, regions] : used)
        captures.push_back(id);
    std::mt19937_64 random(static_cast<std::uint64_t>(seed) + 1); // another draw than the trials'
    shuffle(captures, random);

    BlindPacket packet;
    packet.record = {token, session::timeNow(), seed, {}};
    const session::Document nothing;
    session::EditBuilder builder(nothing, "make the packet");
    std::map<session::CaptureId, session::CaptureId> captureNumbers;
    std::map<session::RegionId, session::RegionId> regionNumbers;
    for (const session::CaptureId id : captures) {
        const session::Capture& source = *find(document, id);
        session::Capture capture;
        capture.id = captureNumbers[id] = builder.nextId<session::CaptureId>();
        capture.position = static_cast<int>(packet.footage.size());
        capture.name = "capture " + std::to_string(packet.footage.size() + 1);
        capture.path = capture.name;
        capture.pictureFolder = source.pictureFolder;
        capture.furtherParts = source.furtherParts;
        capture.stream = source.stream;
        capture.sha256 = source.sha256;
        capture.frames = source.frames;
        capture.width = source.width;
        capture.height = source.height;
        capture.regions = namedAnew(regionsOf(source, used.at(id)), builder, regionNumbers);
        builder.put(capture);
        packet.footage.push_back({id, capture.id, capture.name});
    }
    session::Settings settings;
    settings.title = "Blind packet: " + counted(std::ssize(drawn.places), "trial");
    settings.event = document.settings.event;
    session::Reread reread;
    reread.seed = 0; // the seed would tell which trials were drawn, to whoever has the session
    reread.time = packet.record.time;
    reread.packet = token;
    for (const session::RereadPlace& place : drawn.places) {
        const session::Trial& source = *find(document, place.trial);
        session::Trial trial;
        trial.id = builder.nextId<session::TrialId>();
        trial.capture = captureNumbers.at(source.capture);
        trial.lamp = source.lamp ? regionNumbers.at(source.lamp) : session::RegionId{};
        trial.screen = source.screen ? regionNumbers.at(source.screen) : session::RegionId{};
        builder.put(trial);
        reread.places.push_back({trial.id, place.first, place.last});
        packet.record.trials.push_back(place.trial);
    }
    settings.reread = std::move(reread);
    builder.put(settings);
    packet.document = session::apply(nothing, std::move(builder).finish());
    return packet;
}

} // namespace analysis
