#pragma once
#include <QByteArray>
#include <QString>

namespace app {

/// Opens the session in the real window, waits until its footage is there, and gives what the reading desk shows at
/// 1920 x 1080 as PNG. Needs a QApplication with the look applied. Throws core::Error.
QByteArray deskPicture(const QString& session);

} // namespace app
