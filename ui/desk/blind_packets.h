#pragma once
#include <QObject>
#include "core/analysis/blind_packet.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"
#include <filesystem>
#include <set>

class QWidget;

namespace ui {

/// Handing out a blind packet and bringing its readings in, without a window: for the command line as well.
struct PacketOrder {
    double share = 0.1;                            ///< above 0, at most 1
    std::int64_t seed = 0;                         ///< 0 to session::limits::number
    bool copies = true;                            ///< footage goes along; else the packet says where it is
    std::set<session::CaptureId> notToBeRead = {}; ///< whose footage nobody has let be read
};
struct WrittenPacket {
    session::Packet record;         ///< goes into the session by session::handOutPacket()
    std::vector<std::string> notes; ///< footage that wasn't copied, one sentence each
};
/// Writes the packet's folder. Footage is copied where it is what the session was read from, by its checksum: whatever
/// else lies at its path stays here. Throws core::Error (AtOdds where nothing can be drawn), core::Cancelled.
WrittenPacket writeBlindPacket(const session::Document&, const std::filesystem::path& sessionFolder,
                               const std::filesystem::path& packetFolder, const PacketOrder&, std::stop_token stop = {},
                               const std::function<void(std::int64_t, std::int64_t)>& progress = {});
/// Readings of a packet (its folder or its session file) that fit, marks compared with the pictures of the footage that
/// is here, crops taken into the session's evidence. Throws core::Error, core::Cancelled.
analysis::IncomingReadings readBlindPacket(const session::Document&, const std::filesystem::path& sessionFolder,
                                           session::EvidenceStore& evidence, const std::filesystem::path& packet,
                                           const std::set<session::CaptureId>& notToBeRead = {},
                                           std::stop_token stop = {});
/// "24 readings by B. Two brought in, 2 not read yet." and what was refused, one sentence a line.
QStringList broughtInWords(const analysis::IncomingReadings&);

/// The same by dialogs.
class BlindPackets : public QObject {
    Q_OBJECT
public:
    BlindPackets(SessionModel& model, QWidget& window);
    void handOut();
    void bringIn();
    void handOutTo(const QString& folder, const PacketOrder& order); ///< once the dialogs have asked
    void bringInFrom(const QString& path);
    bool busy() const { return m_busy; }

signals:
    void problem(const QString& sentence);
    void said(const QString& sentence); ///< how it ended, when it ended well

private:
    void askAboutRejects(const analysis::IncomingReadings& incoming);

    SessionModel& m_model;
    QWidget& m_window;
    bool m_busy = false;
    Worker m_worker; ///< last: its jobs end before anything above goes
};

} // namespace ui
