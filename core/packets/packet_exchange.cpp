#include "core/packets/packet_exchange.h"
#include "core/analysis/blind_reading.h"
#include "core/error.h"
#include "core/media/index/parts.h"
#include "core/reading/same_footage.h"
#include "core/session/packet_files.h"
#include "core/session/open_session.h"

#include <algorithm>
#include <map>
#include <random>

namespace packets {
namespace {

namespace fs = std::filesystem;

std::string token()
{
    std::random_device chance;
    std::string hex;
    for (int i = 0; i < 32; ++i)
        hex += "0123456789abcdef"[chance() % 16];
    return hex;
}

/// Why footage isn't to leave this machine; empty where it is what the session was read from, or isn't there at all,
/// which copying says.
std::string whyNotCopied(const session::Capture& capture, const std::vector<fs::path>& sources, const Order& order,
                         const std::stop_token& stop)
{
    if (order.notToBeRead.contains(capture.id))
        return reading::notAskedSentence(capture.name);
    const auto isThere = [](const fs::path& path) {
        std::error_code ignored;
        return fs::exists(path, ignored);
    };
    const std::string begin = "The footage of " + capture.name + " isn't in the packet: ";
    if (!std::ranges::all_of(sources, isThere))
        return {};
    if (capture.sha256.empty())
        return begin + "its checksum isn't known yet; open the session and let it finish.";
    if (media::partsSha256(sources, stop) == capture.sha256)
        return {};
    return begin + "what lies at " + sources.front().string() + " isn't what was read, by its checksum.";
}

/// Where the packet finds its footage; fills in what is to be copied and what isn't.
session::Document placed(const analysis::BlindPacket& packet, const session::Document& document, const fs::path& folder,
                         const Order& order, const std::stop_token& stop, std::vector<session::PacketFile>& files,
                         std::vector<std::string>& notes)
{
    session::Document placed = packet.document;
    for (const analysis::PacketFootage& footage : packet.footage) {
        const session::Capture& source = *session::find(document, footage.from);
        const std::vector<fs::path> sources = reading::footageOf(source, folder);
        const std::string why = order.copies ? whyNotCopied(source, sources, order, stop) : std::string();
        if (!why.empty())
            notes.push_back(why);
        std::vector<std::string> paths;
        for (std::size_t i = 0; i < sources.size(); ++i) {
            const fs::path& absolute = sources[i];
            // The checksum of a recording in parts goes by the names of its files, so those stay.
            std::string path =
                "footage/" + footage.name
                + (sources.size() > 1 ? "/" + absolute.filename().string() : absolute.extension().string());
            if (order.copies && why.empty())
                files.push_back({absolute, path});
            else if (!order.copies)
                path = absolute.string();
            paths.push_back(std::move(path));
        }
        session::Capture capture = *session::find(placed, footage.to);
        capture.path = paths.front();
        for (std::size_t i = 1; i < paths.size(); ++i)
            capture.furtherParts[i - 1].path = paths[i];
        placed.captures[footage.to] = std::make_shared<const session::Capture>(std::move(capture));
    }
    return placed;
}

/// Compares marks with the pictures themselves. Footage that isn't here can't be asked; its checksum and the marks that
/// are here have to do.
void comparePictures(analysis::IncomingReadings& incoming, const session::Document& document, const fs::path& folder,
                     const std::set<session::CaptureId>& notToBeRead, std::stop_token stop)
{
    std::map<session::CaptureId, std::set<session::MarkedPicture>> marked;
    for (const analysis::PictureToCheck& picture : incoming.pictures)
        marked[picture.capture].emplace(picture.frame, picture.md5);
    std::vector<std::pair<std::size_t, std::string>> wrong;
    for (const auto& [id, pictures] : marked) {
        const session::Capture& capture = *session::find(document, id);
        const auto others =
            notToBeRead.contains(id) ? std::nullopt : reading::notShown(pictures, capture, folder, stop);
        if (!others)
            incoming.notes.push_back("The footage of " + capture.name
                                     + " isn't here, so its marks were compared by checksum only.");
        for (const analysis::PictureToCheck& picture : incoming.pictures)
            if (others && picture.capture == id && others->contains({picture.frame, picture.md5}))
                wrong.emplace_back(picture.reading,
                                   "A reading of "
                                       + session::trialName(document, incoming.readings[picture.reading].trial)
                                       + " wasn't brought in: frame " + std::to_string(picture.frame.value)
                                       + " of its footage here shows another picture than was marked.");
    }
    analysis::refuseReadings(incoming, wrong);
}

} // namespace

HandedOut handOut(const session::Document& asSaved, const fs::path& sessionFolder, const fs::path& packetFolder,
                  const Order& order, std::stop_token stop,
                  const std::function<void(std::int64_t, std::int64_t)>& progress)
{
    const session::Document document = reading::withChecksums(asSaved, sessionFolder, order.notToBeRead, stop);
    if (document.settings.reread && !document.settings.reread->packet.empty())
        throw core::Error(core::ErrorKind::AtOdds,
                          "This session is a blind packet itself; hand out packets from the session it came from.");
    if (const std::string problem = analysis::rereadProblem(document); !problem.empty())
        throw core::Error(core::ErrorKind::AtOdds, problem);
    const analysis::BlindPacket packet = analysis::blindPacket(document, order.share, order.seed, token());
    HandedOut written{packet.record, {}};
    std::vector<session::PacketFile> files;
    const session::Document there = placed(packet, document, sessionFolder, order, stop, files, written.notes);
    session::writePacket(packetFolder, there, files, stop, progress);
    return written;
}

analysis::IncomingReadings bringIn(const session::Document& asSaved, const fs::path& sessionFolder,
                                   session::EvidenceStore& evidence, const fs::path& packet,
                                   const std::set<session::CaptureId>& notToBeRead, std::stop_token stop)
{
    std::error_code ignored;
    const fs::path file = fs::is_directory(packet, ignored) ? session::packetSession(packet) : packet;
    const session::Document read = session::readSession(file);
    const session::Document document = reading::withChecksums(asSaved, sessionFolder, notToBeRead, stop);
    analysis::IncomingReadings incoming = analysis::incomingReadings(document, read);
    comparePictures(incoming, document, sessionFolder, notToBeRead, stop);
    if (const int left = session::takeCrops(file, evidence, incoming.readings); left > 0)
        incoming.notes.push_back(
            std::to_string(left)
            + " of the packet's evidence pictures aren't there or were changed; the marks came in without them.");
    return incoming;
}

} // namespace packets
