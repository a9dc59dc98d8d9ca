#pragma once
#include <QStringList>
#include <optional>
#include <utility>

class QWidget;

/// What the window remembers from one start to the next; never what a session holds. Read when it is asked for first
/// and written on a thread of its own, so that a disk that doesn't answer holds nobody up: the program goes without.
/// For the window's thread.
namespace ui::memory {

bool lightLook();
void setLightLook(bool light);
QStringList recent(); ///< session files, newest first, at most 8
void addRecent(const QString& path);
void saveGeometry(const QWidget& window);
void restoreGeometry(QWidget& window); ///< most of the screen at the first start
QStringList movedKeys();               ///< as keys::moved() has them
void setMovedKeys(const QStringList& pairs);
int pictureMebibytes(); ///< what decoded pictures may take, MiB; 1024 until it is chosen
void setPictureMebibytes(int mebibytes);
QString clockSection(); ///< what of the clock page was worked on last; empty at the first start
void setClockSection(const QString& id);
QString lastFolder(); ///< where a session was chosen last
void setLastFolder(const QString& folder);
QString lastFootageFolder(); ///< the same for footage; empty until some was
void setLastFootageFolder(const QString& folder);
/// Where in a session the analyst was when it was closed: numbers of a capture and of a frame. Of recent() sessions.
std::optional<std::pair<qint64, qint64>> place(const QString& session);
void setPlace(const QString& session, qint64 capture, qint64 frame);
QStringList footageFolders(); ///< where any session may read footage, though it isn't its own folder
void addFootageFolders(const QStringList& folders);
QStringList refusedFolders(const QString& session); ///< where this one may not
void setRefusedFolders(const QString& session, const QStringList& folders);
bool keep();      ///< waits for what is being written, half a second at most; false when it still is
void readAgain(); ///< as the next start of the program does

} // namespace ui::memory
