#pragma once
#include "core/session/document.h"
#include "core/session/edits.h"
#include <cstdint>
#include <string>
#include <vector>

/// What a second reader on another machine gets, and how his readings come back.
namespace analysis {

/// Footage of the session as the packet calls it.
struct PacketFootage {
    session::CaptureId from; ///< of the session
    session::CaptureId to;   ///< of the packet
    std::string name;        ///< "capture 3": where its files are copied they are named so
};

/// A session of its own: captures and regions under other names in shuffled order, trials without marks, each with the
/// frames to look at; no configurations, runs, clocks or notes, so that there is nothing to expect and no delay to see.
struct BlindPacket {
    session::Document
        document;           ///< paths of captures are their names; the one who writes it puts in where the footage is
    session::Packet record; ///< what the session has to keep
    std::vector<PacketFootage> footage;
};
/// `share`, `seed` and precondition as drawReread(); `token` 32 hex digits that no other packet has.
BlindPacket blindPacket(const session::Document&, double share, std::int64_t seed, const std::string& token);

/// A mark of a reading that is to come in, whose picture is still to be compared.
struct PictureToCheck {
    std::size_t reading = 0;    ///< index in IncomingReadings::readings
    session::CaptureId capture; ///< of the session
    timing::FrameNumber frame;
    std::string md5;
};

struct IncomingReadings {
    std::string reader;
    std::vector<session::BroughtIn> readings; ///< as session::bringInReadings() takes them
    std::vector<PictureToCheck> pictures;
    std::vector<std::string> refused; ///< one sentence for each reading or trial that doesn't fit
    std::vector<session::BroughtReject>
        rejects; ///< trials that the reader rejects and the session doesn't: for the analyst to decide
    std::vector<std::string> notes; ///< what else the reader says: trials he would reject
    int notRead = 0, alreadyHere = 0;
};

/// Readings of a packet that has come back, matched with the session's trials by the packet's token and each capture's
/// checksum, and by the picture's hash where the session has a mark on the same frame. Throws core::Error (AtOdds) with
/// one sentence when it is no packet, or none of this session's.
IncomingReadings incomingReadings(const session::Document&, const session::Document& packet);

/// Takes out the readings of those indices, with a sentence for each.
void refuseReadings(IncomingReadings&, const std::vector<std::pair<std::size_t, std::string>>& why);

} // namespace analysis
