#pragma once
#include <QObject>
#include "core/packets/packet_exchange.h"
#include "ui/model/session_model.h"
#include "ui/model/worker.h"

class QWidget;

namespace ui {

/// "24 readings by B. Two brought in, 2 not read yet." and what was refused, one sentence a line.
QStringList broughtInWords(const analysis::IncomingReadings&);

/// Handing out a blind packet and bringing its readings in, by dialogs.
class BlindPackets : public QObject {
    Q_OBJECT
public:
    BlindPackets(SessionModel& model, QWidget& window);
    void handOut();
    void bringIn();
    void handOutTo(const QString& folder, const packets::Order& order); ///< once the dialogs have asked
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
