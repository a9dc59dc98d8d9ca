#pragma once
#include "core/analysis/blind_packet.h"
#include <cstdint>
#include <filesystem>
#include <functional>
#include <set>
#include <stop_token>
#include <string>
#include <vector>

namespace session {
class EvidenceStore;
}

/// Blind packets on the disk: trials handed out to a second reader on another machine, and his readings coming back.
namespace packets {

struct Order {
    double share = 0.1;                            ///< above 0, at most 1
    std::int64_t seed = 0;                         ///< 0 to session::limits::number
    bool copies = true;                            ///< footage goes along; else the packet says where it is
    std::set<session::CaptureId> notToBeRead = {}; ///< whose footage nobody has let be read
};
struct HandedOut {
    session::Packet record;         ///< goes into the session by session::handOutPacket()
    std::vector<std::string> notes; ///< footage that wasn't copied, one sentence each
};
/// Writes the packet's folder. Footage is copied where it is what the session was read from, by its checksum: whatever
/// else lies at its path stays here. Throws core::Error (AtOdds where nothing can be drawn), core::Cancelled.
HandedOut handOut(const session::Document&, const std::filesystem::path& sessionFolder,
                  const std::filesystem::path& packetFolder, const Order&, std::stop_token stop = {},
                  const std::function<void(std::int64_t, std::int64_t)>& progress = {});

/// Readings of a packet (its folder or its session file) that fit, marks compared with the pictures of the footage that
/// is here, crops taken into the session's evidence. Throws core::Error, core::Cancelled.
analysis::IncomingReadings bringIn(const session::Document&, const std::filesystem::path& sessionFolder,
                                   session::EvidenceStore& evidence, const std::filesystem::path& packet,
                                   const std::set<session::CaptureId>& notToBeRead = {}, std::stop_token stop = {});

} // namespace packets
