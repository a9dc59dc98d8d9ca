#pragma once
#include "core/session/edits.h"
#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>
#include <vector>

/// The files of a blind packet: one folder with a session of its own.
namespace session {

class EvidenceStore;

/// Footage to be copied into it: a file, or a folder of pictures.
struct PacketFile {
    std::filesystem::path from; ///< absolute
    std::string to;             ///< relative to the packet's folder, with '/'
};

/// The session in a packet's folder.
std::filesystem::path packetSession(const std::filesystem::path& folder);

/// Makes the folder with the session and the copies in it. It comes into being whole or not at all: written beside it
/// first. Throws core::Error (WriteFailed where there is something of that name already, too; NotFound, Unreadable for
/// footage), core::Cancelled. `progress` counts bytes.
void writePacket(const std::filesystem::path& folder, const Document& packet, const std::vector<PacketFile>& copies,
                 std::stop_token stop = {},
                 const std::function<void(std::int64_t done, std::int64_t total)>& progress = {});

/// Takes the crops that belong to the readings from the packet to those of the session; crops that aren't there or
/// aren't what they should be are left out of the readings. Returns how many. Throws core::Error as EvidenceStore.
int takeCrops(const std::filesystem::path& packetSession, EvidenceStore& evidence, std::vector<BroughtIn>& readings);

} // namespace session
